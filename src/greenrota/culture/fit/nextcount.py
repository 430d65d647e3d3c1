"""Next count: the day on which one more count would sharpen the least known figure most."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

import numpy as np

from greenrota.culture.fit.course import Event, Reading, Start, Turn
from greenrota.culture.fit.growthmodel import CROWDING, RATE, Model, counted_only
from greenrota.culture.fit.tally import Noise, looked_at_ml
from greenrota.culture.numeric.least_squares import Vector

DAYS_AHEAD = 14  # our choice: a batch at home is rarely left longer
_NEARLY = 0.9  # our choice: an earlier count is taken when it brings this share of the best one's gain
_MOST_GROWN = (
    30.0  # e-folds from start to count, our choice: from one cell in ten litres to a million per mL it is 23
)
USUAL_SHARE = 0.2  # our choice: share kept at a re-seed where none has been written down yet


@dataclass(frozen=True, slots=True)
class NextCount:
    """`day` days after the last event in this batch, or into the next batch if `next_batch`.

    `figure` ("rate" or "ceiling") is what it sharpens: its relative standard error now and expected afterwards.
    A guess at the size of the figures stands behind both, so they are finite even where nothing is determined yet.
    """

    next_batch: bool
    day: int
    figure: str
    relative_error_now: float
    relative_error_then: float


def best_next_count(
    events: Sequence[Event],
    rate_per_day: float,
    ceiling_per_ml: float,
    noise: Noise | None = None,
    alive: bool = True,
    first_day: int = 0,
) -> NextCount:
    """The count with the largest expected gain for the less well known of rate and ceiling.

    `events` as in `fit_growth`; rate (> 0) and ceiling (> 0, finite) are the best figures there are, fitted or the
    strain's own. Tried: every day from `first_day` (days after the last event) on in this batch if it is `alive`,
    and every day of a batch re-seeded from it the usual way; the first that brings nearly the most.
    ValueError for a rate or ceiling out of range.
    Source: expected (Fisher) information, one row of the Jacobian a count, as in Bates & Watts (1988) s. 3.14, from
    memory.

    >>> best_next_count([Start(0.0), Reading(0.0, 1e5), Reading(2.0, 2.5e5)], 0.5, 2e6).figure
    'ceiling'
    """
    if not (rate_per_day > 0.0 and 0.0 < ceiling_per_ml < math.inf):
        raise ValueError(f"rate {rate_per_day:g} or ceiling {ceiling_per_ml:g} is not above zero")
    known = counted_only(events) or (Start(0.0),)
    tries = [(False, day) for day in range(max(0, first_day), DAYS_AHEAD + 1) if alive]
    tries += [(True, day) for day in range(DAYS_AHEAD + 1)]
    noise = noise or Noise()
    figures = _Figures(rate_per_day, ceiling_per_ml, _log_starts(known, rate_per_day, ceiling_per_ml))
    information = figures.information(Model(known, noise))
    added = [
        figures.rows(Model(_asked(known, again, day, ceiling_per_ml), noise))[-1] for again, day in tries
    ]
    now = _relative_errors(information)
    worst = int(now[1] > now[0])
    then = [_relative_errors(information + np.outer(row, row))[worst] for row in added]
    gained = [now[worst] ** 2 - error**2 for error in then]
    best = next(i for i, gain in enumerate(gained) if gain >= _NEARLY * max(gained))
    again, day = tries[best]
    return NextCount(again, day, ("rate", "ceiling")[worst], float(now[worst]), float(then[best]))


@dataclass(frozen=True, slots=True)
class _Figures:
    """The best figures there are; the start densities as ln."""

    rate_per_day: float
    ceiling_per_ml: float
    log_starts: list[float]

    def rows(self, model: Model) -> Vector:
        """Slopes of the scores by ln(rate), ln(ceiling) and ln(starts); 0 for a count outside the model."""
        theta = np.array([self.rate_per_day, model.scale / self.ceiling_per_ml, *self.log_starts])
        slopes = model.slopes(theta).copy()
        slopes[:, RATE] *= self.rate_per_day
        slopes[:, CROWDING] *= -model.scale / self.ceiling_per_ml
        return np.nan_to_num(slopes, nan=0.0)

    def information(self, counted: Model) -> Vector:
        """What the counts say, and a guess that is good to a factor of e (our choice)."""
        information: Vector = np.eye(2 + len(self.log_starts))
        if counted.readings:
            rows = self.rows(counted)
            information = information + rows.T @ rows
        return information


def _asked(known: Sequence[Event], next_batch: bool, day: int, ceiling_per_ml: float) -> list[Event]:
    """The events with one more count; it looks through as much culture as the counts before."""
    seen = [ml for e in known if isinstance(e, Reading) and (ml := looked_at_ml(e)) is not None]
    last = known[-1].day
    shares = [event.share for event in known if isinstance(event, Turn) and event.share < 1.0]
    caps = [event.cap_per_ml for event in known if not isinstance(event, Reading)]
    turn = [Turn(last, median(shares) if shares else USUAL_SHARE, max(caps))] if next_batch else []
    return [*known, *turn, Reading(last + day, ceiling_per_ml, median(seen) if seen else None)]


def _log_starts(known: Sequence[Event], rate: float, ceiling: float) -> list[float]:
    """ln of every start density, so that the first count before any dilution is met; a usual one without."""
    starts: list[float] = []
    begun = 0.0
    open_start = False
    for event in known:
        if isinstance(event, Start):
            begun, open_start = event.day + event.lag_days, True
            starts.append(math.log(USUAL_SHARE * ceiling))
        elif isinstance(event, Turn):
            open_start = open_start and event.share >= 1.0
        elif open_start:
            open_start = False
            counted = min(max(event.density_per_ml, 1e-3 * ceiling), 0.98 * ceiling)
            grown = min(_MOST_GROWN, rate * max(0.0, event.day - begun))
            odds = counted / (ceiling - counted) * math.exp(-grown)
            starts[-1] = math.log(ceiling * odds / (1.0 + odds))
    return starts


def _relative_errors(information: Vector) -> tuple[float, float]:
    variances = np.diag(np.linalg.inv(information))
    return math.sqrt(variances[RATE]), math.sqrt(variances[CROWDING])
