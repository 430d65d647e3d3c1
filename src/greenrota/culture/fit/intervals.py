"""Fitted values of a growth fit: each with its standard error and its 95 % profile interval."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from greenrota.culture.fit.growthmodel import CROWDING, LAG, RATE, Model
from greenrota.culture.numeric.least_squares import Fit, Vector, minimum
from greenrota.culture.numeric.profile import profile_interval, refitted, with_held
from greenrota.culture.numeric.quantile import (
    CONFIDENCE,
    chi_square_quantile,
    normal_deviation,
    student_deviation,
)

RATE_MOST_PER_DAY = 5.0  # our choice: beyond any figure known for a culture at home, as in the plan
_LAG_MOST_DAYS = 30.0  # our choice
_TOO_MUCH_SCATTER = 0.95  # our choice: share of series with only the stated errors that pass


@dataclass(frozen=True, slots=True)
class FittedValue:
    """An estimate with its standard error and the ends of its 95 % profile interval.

    An end is infinite where the counts set none. `determined` is False where the counts do not determine the figure;
    `value` is then that of the best curve, and others fit nearly as well (inf for a ceiling that no count shows).
    """

    value: float
    standard_error: float
    low: float
    high: float
    determined: bool = True


@dataclass(frozen=True, slots=True)
class Intervals:
    """The values of one fit; `widened` is the factor on standard errors where the counts scatter too much.

    `deviation` is the half width of the 95 % interval in units of the stated errors.
    """

    model: Model
    fit: Fit
    widened: float
    deviation: float

    @classmethod
    def of(cls, model: Model, fit: Fit) -> Intervals:
        """Intervals of a fit, widened where a chi-square test at 5 % finds more scatter than the stated errors."""
        if fit.dof > 0 and fit.rss > chi_square_quantile(_TOO_MUCH_SCATTER, fit.dof):
            factor = math.sqrt(fit.rss / fit.dof)
            return cls(model, fit, factor, factor * student_deviation(CONFIDENCE, fit.dof))
        return cls(model, fit, 1.0, normal_deviation(CONFIDENCE))

    def rate(self) -> FittedValue:
        """The rate per day; not determined where no rise shows it."""
        rate = self._parameter(RATE, (0.0, RATE_MOST_PER_DAY))
        return replace(
            rate, determined=rate.value > 0.0 and math.isfinite(rate.low) and math.isfinite(rate.high)
        )

    def ceiling(self) -> FittedValue:
        """The ceiling from the profile of its inverse; there is no upper end where that profile reaches zero."""
        scale, crowd = self.model.scale, self._parameter(CROWDING, (0.0, math.inf))
        low = scale / crowd.high if math.isfinite(crowd.high) else 0.0
        if crowd.value <= 0.0:
            return FittedValue(math.inf, math.inf, low, math.inf, determined=False)
        value = scale / crowd.value
        error = crowd.standard_error * value**2 / scale
        determined = math.isfinite(crowd.low) and crowd.low > 0.0 and low > 0.0
        return FittedValue(value, error, low, scale / crowd.low if determined else math.inf, determined)

    def lag(self) -> FittedValue:
        """The lag in days; a fitted lag below zero is given as 0."""
        lag = self._parameter(LAG, (-_LAG_MOST_DAYS, _LAG_MOST_DAYS))
        return replace(
            lag, low=max(0.0, lag.low), value=max(0.0, lag.value), determined=math.isfinite(lag.high)
        )

    def starts(self) -> tuple[FittedValue, ...]:
        """The start densities, cells per mL, in the order of the fresh starts."""
        return tuple(self._start(index) for index in range(self.model.first_start, self.model.size))

    def _start(self, index: int) -> FittedValue:
        log = self._parameter(index)
        value = math.exp(log.value)
        return FittedValue(
            value, value * log.standard_error, math.exp(log.low), math.exp(min(log.high, 700.0))
        )

    def _parameter(self, index: int, limits: tuple[float, float] = (-math.inf, math.inf)) -> FittedValue:
        """The estimate of one parameter with its profile interval; the crowding is kept at zero or above."""

        def refit(value: float, starts: list[Vector]) -> tuple[Vector, float]:
            return _refit(self.model, index, value, starts)

        low, high = profile_interval(refit, self.fit, index, self.deviation, limits)
        error = float(self.fit.standard_errors[index]) * self.widened
        return FittedValue(float(self.fit.parameters[index]), error, low, high)


def _refit(model: Model, index: int, value: float, starts: list[Vector]) -> tuple[Vector, float]:
    """The other parameters with one held at a value, and the sum of squares; the crowding is not below zero."""
    others, rss = refitted(model.residuals, model.slopes, index, value, starts)
    other = CROWDING - (index < CROWDING)
    if index == CROWDING or others[other] >= 0.0:
        return others, rss

    def held(rest: Vector) -> Vector:
        return with_held(with_held(rest, other, 0.0), index, value)

    def residuals(rest: Vector) -> Vector:
        return model.residuals(held(rest))

    def slopes(rest: Vector) -> Vector:
        return np.delete(np.delete(model.slopes(held(rest)), index, axis=1), other, axis=1)

    rest, rss = minimum(residuals, np.delete(others, other), slopes)
    return with_held(rest, other, 0.0), rss
