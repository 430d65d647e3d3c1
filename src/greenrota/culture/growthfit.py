"""Growth fit: rate, ceiling and start densities of a vessel from its counts, with intervals."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from greenrota.culture.course import Event, Start
from greenrota.culture.fit import Fit, NotTold, Vector, inverse_of_square, least_squares, minimum
from greenrota.culture.growthmodel import (
    CROWDING,
    LAG,
    RATE,
    Model,
    counted_only,
    first_guess,
    sum_of_squares,
)
from greenrota.culture.profile import profile_interval, refitted, with_held
from greenrota.culture.quantile import CONFIDENCE, chi_square_quantile, normal_deviation, student_deviation
from greenrota.culture.tally import Noise

RATE_MOST_PER_DAY = 5.0  # our choice: beyond any figure known for a culture at home, as in the plan
_LAG_MOST_DAYS = 30.0  # our choice
_TOO_MUCH_SCATTER = 0.95  # our choice: share of series with only the stated errors that pass


@dataclass(frozen=True, slots=True)
class FittedValue:
    """An estimate with its standard error and the ends of its 95 % profile interval.

    An end is infinite where the counts set none. `told` is False where the counts do not determine the figure;
    `value` is then that of the best curve, and others fit nearly as well (inf for a ceiling that no count shows).
    """

    value: float
    standard_error: float
    low: float
    high: float
    told: bool = True


@dataclass(frozen=True, slots=True)
class GrowthFit:
    """The fit of one vessel. Rates per day, densities in cells per mL.

    `starts` are in the order of the fresh starts in `events`; starts without any count are left out of both.
    `fitted` holds density and relative standard error at every reading. `rss` is in units of the stated errors;
    `widened` the factor by which the scatter made the intervals wider (1: none).
    """

    events: tuple[Event, ...]
    rate: FittedValue
    ceiling: FittedValue
    lag: FittedValue | None
    starts: tuple[FittedValue, ...]
    fitted: tuple[tuple[float, float], ...]
    rss: float
    dof: int
    widened: float
    theta: Vector
    covariance: Vector


def fit_growth(
    events: Sequence[Event],
    guess_rate_per_day: float,
    guess_ceiling_per_ml: float,
    noise: Noise | None = None,
    fit_lag: bool = False,
) -> GrowthFit:
    """Rate, ceiling and start densities of a series of counts, each with a 95 % profile interval.

    `events` in order of time, a Start first. The guesses only start the search. Errors are those of `tally`,
    widened when the counts scatter more than those errors explain (chi-square test at 5 %). A ceiling that no
    count bends towards, and a rate that no rise shows, come back as not told.
    Raises NotTold when there are fewer counts than parameters or the counts can not tell them apart.
    Source: logistic growth of Verhulst (1838) by nonlinear least squares.

    >>> from greenrota.culture.course import Reading
    >>> day = [0.0, 2.0, 4.0, 6.0, 8.0, 12.0]
    >>> count = [1.0e5, 2.503e5, 5.600e5, 1.028e6, 1.484e6, 1.910e6]
    >>> fit = fit_growth([Start(0.0), *(Reading(t, n) for t, n in zip(day, count))], 0.7, 1e6)
    >>> round(fit.rate.value, 2), f"{fit.ceiling.value:.1e}"
    (0.5, '2.0e+06')
    """
    model = Model(counted_only(events), noise or Noise(), fit_lag)
    best = _fitted(model, guess_rate_per_day, guess_ceiling_per_ml, fit_lag)
    widened, deviation = _widening(best)
    lag = None
    if fit_lag:
        lag = _lag(model, best, widened, deviation)
        if best.parameters[LAG] <= 0.0:
            unlagged = [replace(e, lag_days=0.0) if isinstance(e, Start) else e for e in events]
            without = fit_growth(unlagged, guess_rate_per_day, guess_ceiling_per_ml, noise)
            return replace(without, lag=lag)
    rate = _figure(model, best, RATE, widened, deviation, (0.0, RATE_MOST_PER_DAY))
    densities, slopes = model.densities(best.parameters)
    covariance = best.covariance * widened**2
    spread = curve_error(slopes, covariance) / densities
    return GrowthFit(
        events=model.events,
        rate=replace(rate, told=rate.value > 0.0 and math.isfinite(rate.low) and math.isfinite(rate.high)),
        ceiling=_ceiling(model, best, widened, deviation),
        lag=lag,
        starts=tuple(
            _start(_figure(model, best, index, widened, deviation))
            for index in range(model.first_start, model.size)
        ),
        fitted=tuple(zip(densities.tolist(), spread.tolist(), strict=True)),
        rss=best.rss,
        dof=best.dof,
        widened=widened,
        theta=best.parameters,
        covariance=covariance,
    )


def curve_error(slopes: Vector, covariance: Vector) -> Vector:
    """Standard errors of modelled densities from their n x p slopes; a rounding below zero is zero."""
    error: Vector = np.sqrt(np.maximum(0.0, np.einsum("ij,jk,ik->i", slopes, covariance, slopes)))
    return error


def _fitted(model: Model, rate: float, ceiling: float, fit_lag: bool) -> Fit:
    """The best fit with its errors; NotTold where the counts are too few or do not determine all figures."""
    if len(model.readings) < model.size:
        raise NotTold(
            f"the counts (there are {len(model.readings)}) are too few for {max(3, model.size)} figures "
            "(rate, ceiling, every start density)"
        )
    theta, bounded = _best(model, rate, ceiling)
    try:
        return _with_errors(model, theta, bounded)
    except NotTold:
        why = "the days of the counts do not tell rate, ceiling and start density apart"
        if fit_lag:
            why = "a lag and a start density are only told apart by counts during the lag"
        raise NotTold(why) from None


def _best(model: Model, rate: float, ceiling: float) -> tuple[Vector, bool]:
    """The best of the optima reached from several guesses; True if growth without any ceiling fits best."""
    tries = [
        first_guess(model, guess, crowding)
        for guess in (rate, 0.4 * rate, 2.0 * rate)
        for crowding in (1.0 / ceiling, 0.9 / model.scale, 0.0)
    ]
    inside = [theta for theta in tries if np.all(np.isfinite(model.residuals(theta)))]
    if not inside:
        raise NotTold("the counts do not look like growth at all")
    inside.sort(key=lambda theta: sum_of_squares(model, theta))
    found = [minimum(model.residuals, theta, model.slopes) for theta in inside[:3]]
    theta = min(found, key=lambda pair: pair[1])[0]
    if theta[CROWDING] > 0.0:
        return theta, False
    others, _ = refitted(model.residuals, model.slopes, CROWDING, 0.0, [np.delete(theta, CROWDING)])
    return with_held(others, CROWDING, 0.0), True


def _with_errors(model: Model, theta: Vector, bounded: bool) -> Fit:
    """The fit from its optimum; where nutrients set every ceiling, the crowding gets a standard error of 1."""
    slopes = model.slopes(theta)
    if np.any(slopes[:, CROWDING]):
        if not bounded:
            return least_squares(model.residuals, theta, model.slopes, known_errors=True)
        covariance = inverse_of_square(slopes)
        rss, dof = sum_of_squares(model, theta), len(model.readings) - model.size
        return Fit(theta, np.sqrt(np.diag(covariance)), covariance, rss, dof, 1.0)

    def held(others: Vector) -> Vector:
        return with_held(others, CROWDING, float(theta[CROWDING]))

    others = least_squares(
        lambda rest: model.residuals(held(rest)),
        np.delete(theta, CROWDING),
        lambda rest: np.delete(model.slopes(held(rest)), CROWDING, axis=1),
        known_errors=True,
    )
    covariance = np.insert(np.insert(others.covariance, CROWDING, 0.0, axis=0), CROWDING, 0.0, axis=1)
    covariance[CROWDING, CROWDING] = 1.0
    errors = np.sqrt(np.diag(covariance))
    return replace(others, parameters=held(others.parameters), standard_errors=errors, covariance=covariance)


def _widening(fit: Fit) -> tuple[float, float]:
    """Factor on standard errors, and the deviation of the 95 % interval in units of the stated errors."""
    if fit.dof > 0 and fit.rss > chi_square_quantile(_TOO_MUCH_SCATTER, fit.dof):
        factor = math.sqrt(fit.rss / fit.dof)
        return factor, factor * student_deviation(CONFIDENCE, fit.dof)
    return 1.0, normal_deviation(CONFIDENCE)


def _figure(
    model: Model,
    fit: Fit,
    index: int,
    widened: float,
    deviation: float,
    limits: tuple[float, float] = (-math.inf, math.inf),
) -> FittedValue:
    """The estimate of one parameter with its profile interval; the crowding is kept at zero or above."""
    other = CROWDING - (index < CROWDING)

    def refit(value: float, starts: list[Vector]) -> tuple[Vector, float]:
        others, rss = refitted(model.residuals, model.slopes, index, value, starts)
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

    low, high = profile_interval(refit, fit, index, deviation, limits)
    error = float(fit.standard_errors[index]) * widened
    return FittedValue(float(fit.parameters[index]), error, low, high)


def _ceiling(model: Model, fit: Fit, widened: float, deviation: float) -> FittedValue:
    """The ceiling from the profile of its inverse; there is no upper end where that profile reaches zero."""
    crowd = _figure(model, fit, CROWDING, widened, deviation, (0.0, math.inf))
    low = model.scale / crowd.high if math.isfinite(crowd.high) else 0.0
    if crowd.value <= 0.0:
        return FittedValue(math.inf, math.inf, low, math.inf, told=False)
    value = model.scale / crowd.value
    error = crowd.standard_error * value**2 / model.scale
    told = math.isfinite(crowd.low) and crowd.low > 0.0 and low > 0.0
    return FittedValue(value, error, low, model.scale / crowd.low if told else math.inf, told)


def _lag(model: Model, fit: Fit, widened: float, deviation: float) -> FittedValue:
    """The lag in days; a fitted lag below zero is given as 0."""
    lag = _figure(model, fit, LAG, widened, deviation, (-_LAG_MOST_DAYS, _LAG_MOST_DAYS))
    return replace(lag, low=max(0.0, lag.low), value=max(0.0, lag.value), told=math.isfinite(lag.high))


def _start(log: FittedValue) -> FittedValue:
    value = math.exp(log.value)
    return FittedValue(value, value * log.standard_error, math.exp(log.low), math.exp(min(log.high, 700.0)))
