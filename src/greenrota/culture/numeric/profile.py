"""Profile intervals: the range of one parameter over which the others can be refitted nearly as well."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from greenrota.culture.numeric.least_squares import Fit, Residuals, Slopes, Vector, minimum

# (value held, starts for the other parameters) -> the others refitted, their residual sum of squares
Refit = Callable[[float, list[Vector]], tuple[Vector, float]]

_CLOSE = 1e-3  # our choice: the end is found to this share of the deviation asked for
_TRIES_MOST = 60  # our choice: an end that is there is found in about five
_WIDEN = 2.0  # our choice: how fast the search walks outward


def profile_interval(
    refit: Refit,
    fit: Fit,
    index: int,
    deviation: float,
    limits: tuple[float, float] = (-math.inf, math.inf),
) -> tuple[float, float]:
    """Where the residual sum of squares, the other parameters refitted, has grown by `deviation` squared.

    `refit` holds the parameter at a value and fits the others, as `refitted` does for a plain model. `deviation` is
    1.96 for 95 % when residuals are in units of known errors, else the Student quantile times the residual standard
    deviation. An end that is not reached inside `limits` comes back as -inf or inf.
    Source: Venzon & Moolgavkar (1988); for least squares Bates & Watts (1988) ch. 6, from memory.

    >>> x = np.array([0.0, 1.0, 2.0, 3.0])
    >>> from greenrota.culture.numeric.least_squares import least_squares
    >>> off = lambda p: p[0] * x - np.array([0.1, 1.9, 4.2, 5.9])
    >>> refit = lambda value, starts: refitted(off, None, 0, value, starts)
    >>> [round(end, 3) for end in profile_interval(refit, least_squares(off, [1.0], known_errors=True), 0, 1.96)]
    [1.476, 2.524]
    """
    low, high = (
        _end(refit, fit, index, deviation, side, limit)
        for side, limit in zip((-1.0, 1.0), limits, strict=True)
    )
    return low, high


def with_held(others: Vector, index: int, value: float) -> Vector:
    """All parameters again: the others with one put in at its place."""
    return np.concatenate((others[:index], (value,), others[index:]))


def refitted(
    residuals: Residuals, slopes: Slopes | None, index: int, value: float, starts: list[Vector]
) -> tuple[Vector, float]:
    """The others refitted with one held at a value, from the first start inside the model; their sum of squares.

    An infinite sum says that no start lies inside the model.
    """

    def held(others: Vector) -> Vector:
        return residuals(with_held(others, index, value))

    def held_slopes(others: Vector) -> Vector:
        assert slopes is not None
        return np.delete(slopes(with_held(others, index, value)), index, axis=1)

    best = next((start for start in starts if np.all(np.isfinite(held(start)))), starts[-1])
    return minimum(held, best, held_slopes if slopes is not None else None)


def _end(refit: Refit, fit: Fit, index: int, deviation: float, side: float, limit: float) -> float:
    """One end of a profile interval (`side` -1.0 or 1.0); -inf or inf if it lies beyond `limit`.

    Walks outward until the deviation is passed, then closes in: the root of the sum of squares is nearly straight.
    """
    at = float(fit.parameters[index])
    inner, inner_value = at, -deviation
    outer, outer_value = math.nan, math.nan
    others = np.delete(fit.parameters, index)
    lean = np.delete(fit.covariance[:, index], index) / fit.covariance[index, index]
    step = deviation * math.sqrt(fit.covariance[index, index] / fit.scatter) if fit.scatter else 0.0
    for _ in range(_TRIES_MOST):
        tried = at + side * step
        if not math.isnan(outer):
            tried = _between(inner, inner_value, outer, outer_value)
        elif side * (tried - limit) > 0.0:
            tried = limit
        found, rss = refit(tried, [np.delete(fit.parameters, index) + lean * (tried - at), others])
        value = math.sqrt(max(0.0, rss - fit.rss)) - deviation if math.isfinite(rss) else math.inf
        if abs(value) <= _CLOSE * deviation:
            return tried
        if value > 0.0:
            outer, outer_value = tried, value
        elif tried == limit:
            break
        else:
            inner, inner_value, others = tried, value, found
            step *= _WIDEN
        if not math.isnan(outer) and abs(outer - inner) <= 1e-12 * abs(outer):
            return outer
    return side * math.inf if math.isnan(outer) else _between(inner, inner_value, outer, outer_value)


def _between(inner: float, inner_value: float, outer: float, outer_value: float) -> float:
    """The next try inside a bracket: on the straight line, kept off the ends, the middle if one end is unknown."""
    share = -inner_value / (outer_value - inner_value) if math.isfinite(outer_value) else 0.5
    return inner + min(0.95, max(0.05, share)) * (outer - inner)
