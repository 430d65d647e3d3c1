"""Growth fit: rate, ceiling and start densities of a vessel from its counts, with intervals."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from greenrota.culture.fit.course import Event, Start
from greenrota.culture.fit.growthmodel import (
    CROWDING,
    LAG,
    Model,
    counted_only,
    first_guess,
    sum_of_squares,
)
from greenrota.culture.fit.intervals import FittedValue, Intervals
from greenrota.culture.fit.tally import Noise
from greenrota.culture.numeric.least_squares import (
    Fit,
    Vector,
    inverse_of_square,
    least_squares,
    minimum,
)
from greenrota.culture.numeric.profile import refitted, with_held
from greenrota.culture.numeric.undetermined import Undetermined


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
    count bends towards, and a rate that no rise shows, come back as not determined.
    Raises Undetermined when there are fewer counts than parameters or the counts can not tell them apart.
    Source: logistic growth of Verhulst (1838) by nonlinear least squares.

    >>> from greenrota.culture.fit.course import Reading
    >>> day = [0.0, 2.0, 4.0, 6.0, 8.0, 12.0]
    >>> count = [1.0e5, 2.503e5, 5.600e5, 1.028e6, 1.484e6, 1.910e6]
    >>> fit = fit_growth([Start(0.0), *(Reading(t, n) for t, n in zip(day, count))], 0.7, 1e6)
    >>> round(fit.rate.value, 2), f"{fit.ceiling.value:.1e}"
    (0.5, '2.0e+06')
    """
    model = Model(counted_only(events), noise or Noise(), fit_lag)
    best = _fitted(model, guess_rate_per_day, guess_ceiling_per_ml, fit_lag)
    intervals = Intervals.of(model, best)
    lag = intervals.lag() if fit_lag else None
    if fit_lag and best.parameters[LAG] <= 0.0:
        unlagged = [replace(e, lag_days=0.0) if isinstance(e, Start) else e for e in events]
        without = fit_growth(unlagged, guess_rate_per_day, guess_ceiling_per_ml, noise)
        return replace(without, lag=lag)
    return _result(intervals, lag)


def _result(intervals: Intervals, lag: FittedValue | None) -> GrowthFit:
    model, best = intervals.model, intervals.fit
    densities, slopes = model.densities(best.parameters)
    covariance = best.covariance * intervals.widened**2
    spread = curve_error(slopes, covariance) / densities
    return GrowthFit(
        events=model.events,
        rate=intervals.rate(),
        ceiling=intervals.ceiling(),
        lag=lag,
        starts=intervals.starts(),
        fitted=tuple(zip(densities.tolist(), spread.tolist(), strict=True)),
        rss=best.rss,
        dof=best.dof,
        widened=intervals.widened,
        theta=best.parameters,
        covariance=covariance,
    )


def curve_error(slopes: Vector, covariance: Vector) -> Vector:
    """Standard errors of modelled densities from their n x p slopes; a rounding below zero is zero."""
    error: Vector = np.sqrt(np.maximum(0.0, np.einsum("ij,jk,ik->i", slopes, covariance, slopes)))
    return error


def _fitted(model: Model, rate: float, ceiling: float, fit_lag: bool) -> Fit:
    """The best fit with its errors; Undetermined where the counts are too few or do not determine all figures."""
    if len(model.readings) < model.size:
        raise Undetermined(
            f"the counts (there are {len(model.readings)}) are too few for {max(3, model.size)} figures "
            "(rate, ceiling, every start density)"
        )
    theta, bounded = _best(model, rate, ceiling)
    try:
        return _with_errors(model, theta, bounded)
    except Undetermined:
        why = "the days of the counts do not tell rate, ceiling and start density apart"
        if fit_lag:
            why = "a lag and a start density are only told apart by counts during the lag"
        raise Undetermined(why) from None


def _best(model: Model, rate: float, ceiling: float) -> tuple[Vector, bool]:
    """The best of the optima reached from several guesses; True if growth without any ceiling fits best."""
    tries = [
        first_guess(model, guess, crowding)
        for guess in (rate, 0.4 * rate, 2.0 * rate)
        for crowding in (1.0 / ceiling, 0.9 / model.scale, 0.0)
    ]
    inside = [theta for theta in tries if np.all(np.isfinite(model.residuals(theta)))]
    if not inside:
        raise Undetermined("the counts do not look like growth at all")
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
