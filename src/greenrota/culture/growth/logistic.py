"""Logistic growth with a lag: densities, times, and the saw-tooth of semi-continuous cropping.

Densities in cells per mL, rates per day (natural log, averaged over light and dark), times in days.
Every function takes floats or numpy arrays that broadcast against each other, and gives back the like.
Source: Verhulst (1838), the logistic law and its closed form; the saw-tooth is derived in `docs/model.md`.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, TypeVar

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Real = TypeVar("Real", float, NDArray[Any])
else:
    Real = TypeVar("Real")


def _exp(x: Any) -> Any:
    """exp of a float or an array; for a float math.exp is faster and numpy is not loaded."""
    if isinstance(x, (float, int)):
        return math.exp(x)
    import numpy

    return numpy.exp(x)


def _grown_days(days: Any, lag_days: Any) -> Any:
    """Days that count for growth: what is left of `days` after the lag, never below zero."""
    if isinstance(days, (float, int)) and isinstance(lag_days, (float, int)):
        return max(0.0, days - lag_days)
    import numpy

    return numpy.maximum(0.0, numpy.subtract(days, lag_days))


def _divided(above: Any, below: Any, otherwise: Any) -> Any:
    """A quotient of floats or arrays; `otherwise` where there is nothing to divide by."""
    if isinstance(below, (float, int)):
        return above / below if below else otherwise
    import numpy

    above, below, otherwise = numpy.broadcast_arrays(above, below, otherwise)
    return numpy.divide(above, below, out=numpy.array(otherwise, dtype=float), where=below != 0.0)


def density(
    start_per_ml: Real, ceiling_per_ml: Real, rate_per_day: Real, days: Real, lag_days: Real | float = 0.0
) -> Real:
    """Density after some days of logistic growth, with no growth during the lag.

    Holds for start >= 0, ceiling >= 0, rate >= 0, days >= 0; a start above the ceiling falls towards it. No cells stay
    no cells; under a ceiling of 0 (a nutrient is missing altogether) none are left once growth sets in.
    Source: Verhulst (1838), N = K / (1 + (K/N0 - 1) exp(-r t)), written so that N0 = 0 stays 0.

    >>> round(density(1e5, 2e6, 0.5, 5.0), 2)
    781367.52
    """
    decay = _exp(-rate_per_day * _grown_days(days, lag_days))
    below = start_per_ml + (ceiling_per_ml - start_per_ml) * decay
    grown: Real = _divided(start_per_ml * ceiling_per_ml, below, start_per_ml)
    return grown


def days_to_density(
    start_per_ml: float, goal_per_ml: float, ceiling_per_ml: float, rate_per_day: float, lag_days: float = 0.0
) -> float:
    """Days of logistic growth from one density to another, the lag included.

    Holds for 0 < start <= goal < ceiling and rate > 0; otherwise ValueError names the goal or the rate. Infinite where
    the start is too thin for the ratio to be a float.
    Source: Verhulst (1838), the logistic law solved for time.

    >>> round(days_to_density(1e5, 1e6, 2e6, 0.7), 2)
    4.21
    """
    if not 0.0 < start_per_ml <= goal_per_ml < ceiling_per_ml:
        raise ValueError(
            f"goal {goal_per_ml:g} is not between start {start_per_ml:g} and ceiling {ceiling_per_ml:g}"
        )
    if rate_per_day <= 0.0:
        raise ValueError(f"rate {rate_per_day:g} per day: nothing grows")
    if goal_per_ml == start_per_ml:
        return 0.0
    room = (ceiling_per_ml - start_per_ml) / (ceiling_per_ml - goal_per_ml)
    return lag_days + math.log(goal_per_ml / start_per_ml * room) / rate_per_day


def doubling_time_h(rate_per_day: Real) -> Real:
    """Hours in which an unchecked culture doubles; rate > 0.

    Source: Barsanti & Gualtieri (2006) p. 249 eq. 6.6, Tg = ln 2 / mu.

    >>> round(doubling_time_h(0.5), 2)
    33.27
    """
    hours: Real = 24.0 * math.log(2.0) / rate_per_day
    return hours


def wash_out_share(rate_per_day: Real, interval_days: Real) -> Real:
    """The keep-back share below which regular cropping washes the culture out: exp(-rate x interval).

    Source: derived from the saw-tooth below, steady density above zero needs keep > E.

    >>> round(wash_out_share(0.5, 2.0), 4)
    0.3679
    """
    share: Real = _exp(-rate_per_day * interval_days)
    return share


def sawtooth_peak_share(keep_share: float, interval_days: float, rate_per_day: float) -> float:
    """Steady density just before harvest, as a share of the ceiling, under regular cropping.

    `keep_share` of the volume stays at each harvest (0 < keep <= 1), every `interval_days` (> 0).
    0.0 where the culture washes out (keep share <= exp(-rate x interval)). ValueError names what is out of range.
    Source: fixed point of the logistic law after dilution to the keep share, (1 - E/k)/(1 - E).

    >>> round(sawtooth_peak_share(0.75, 7 / 3, 0.5), 5)
    0.84926
    """
    if not 0.0 < keep_share <= 1.0:
        raise ValueError(f"keep-back share {keep_share:g} is not between 0 and 1")
    if interval_days <= 0.0 or rate_per_day <= 0.0:
        raise ValueError(f"interval {interval_days:g} d and rate {rate_per_day:g} /day must be above zero")
    decay = math.exp(-rate_per_day * interval_days)
    return 0.0 if decay >= keep_share else (1.0 - decay / keep_share) / (1.0 - decay)
