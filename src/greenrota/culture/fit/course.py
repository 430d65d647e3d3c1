"""Course: the density of a vessel through starts, re-seeds, feeds and counts, with its derivatives.

Between events growth is logistic. The rate and the ceiling are the same all along; every fresh start has a start
density (and a lag) of its own; a re-seed multiplies the density by the share kept. The ceiling enters as its inverse,
the `crowding` (mL), so that growth without a ceiling is a crowding of 0.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

_EXPONENT_MOST = 300.0  # keeps exp() and its square inside the range of floats
_DENSITY_MOST = 1e60  # cells/mL; so is its inverse: no density, and its square is still a float


@dataclass(frozen=True, slots=True)
class Start:
    """A fresh filling on a day (counted from the first), with a start density of its own.

    `cap_per_ml` is the density that the nutrients in the vessel can build. `planned_per_ml` is the start density that
    the amounts poured should give, None if it is not known; a fit does without it, an update uses it.
    """

    day: float
    lag_days: float = 0.0
    cap_per_ml: float = math.inf
    planned_per_ml: float | None = None


@dataclass(frozen=True, slots=True)
class Turn:
    """A re-seed that keeps a share (above 0) of the cells per mL, or (share 1) a feed; either may change the cap."""

    day: float
    share: float = 1.0
    cap_per_ml: float = math.inf


@dataclass(frozen=True, slots=True)
class Reading:
    """A count. `looked_at_ml` is the culture that was looked through, None if only a density was written down."""

    day: float
    density_per_ml: float
    looked_at_ml: float | None = None


Event = Start | Turn | Reading


class Point(NamedTuple):
    """The modelled density at a reading, and how it moves with each parameter; `start` numbers the fresh start."""

    density_per_ml: float
    by_rate: float
    by_crowding: float
    by_log_start: float
    by_lag: float
    start: int


_State = tuple[float, float, float, float, float]
_OUTSIDE = (math.nan, math.nan, math.nan, math.nan, math.nan)


def _shared(state: _State, share: float) -> _State:
    """What is left of a density and its derivatives where a share of the culture stays."""
    a, b, c, d, e = state
    return a * share, b * share, c * share, d * share, e * share


def course(
    events: Sequence[Event],
    rate_per_day: float,
    crowding_ml: float,
    log_starts: Sequence[float],
    lag_days: float | None = None,
) -> list[Point]:
    """The modelled density at every reading, in the order of the events.

    `events` in order of time, a Start first; `crowding_ml` is 1 / ceiling; `log_starts` holds ln(cells/mL) of every
    Start; `lag_days` replaces the lags of the starts (below zero: growth ahead of the start). Densities are NaN
    where a negative crowding has no solution.
    Source: Verhulst (1838), differentiated by hand.

    >>> events = [Start(0.0), Reading(5.0, 0.0)]
    >>> round(course(events, 0.5, 1 / 2e6, [math.log(1e5)])[0].density_per_ml, 2)
    781367.52
    """
    points: list[Point] = []
    state: _State = _OUTSIDE
    day = lag_left = begun = 0.0
    cap, number = 0.0, -1
    for event in events:
        if isinstance(event, Start):
            number += 1
            density = math.exp(log_starts[number])
            state, cap = (density, 0.0, 0.0, density, 0.0), 1.0 / event.cap_per_ml
            lag_left, begun = event.lag_days if lag_days is None else lag_days, event.day
        else:
            if event.day > day:
                grown = max(0.0, event.day - day - lag_left)
                by_lag = -1.0 if grown > 0.0 and (lag_left or day == begun) else 0.0
                state = _grown(state, rate_per_day, crowding_ml, cap, grown, by_lag)
                lag_left = max(0.0, lag_left - (event.day - day))
            if isinstance(event, Reading):
                points.append(Point(*state, number))
            else:
                state, cap = _shared(state, event.share), 1.0 / event.cap_per_ml
        day = event.day
    return points


def _grown(
    state: _State,
    rate: float,
    crowding: float,
    cap: float,
    days: float,
    days_by_lag: float,
) -> _State:
    """Density and derivatives after some days: N / (kN + (1 - kN) e^-rt), the chain rule for the rest."""
    density, by_rate, by_crowding, by_start, by_lag = state
    if days <= 0.0:
        return state
    if abs(rate) * days > _EXPONENT_MOST:
        return _OUTSIDE
    crowd = max(crowding, cap)
    decay = math.exp(-rate * days)
    filled = crowd * density
    below = filled + (1.0 - filled) * decay
    if not below > 0.0 or not 1.0 / _DENSITY_MOST < density / below < _DENSITY_MOST:
        return _OUTSIDE
    carried = decay / below**2
    by_growth = density * (1.0 - filled) * carried  # for one unit of rate times days
    own = -(density**2) * (1.0 - decay) / below**2 if crowding >= cap else 0.0
    return (
        density / below,
        by_rate * carried + days * by_growth,
        by_crowding * carried + own,
        by_start * carried,
        by_lag * carried + rate * days_by_lag * by_growth,
    )
