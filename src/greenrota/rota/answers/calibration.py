"""Calibration: what a vessel's own counts say about rate and ceiling, ready to go into the plan."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import NamedTuple

from greenrota.culture.fit.course import Event, Reading, Start
from greenrota.culture.fit.estimate import far_from_plan
from greenrota.culture.fit.growthfit import GrowthFit, fit_growth
from greenrota.culture.fit.intervals import FittedValue
from greenrota.culture.fit.nextcount import NextCount, best_next_count
from greenrota.culture.fit.tally import Noise
from greenrota.culture.growth.broth import bench_ceiling_per_ml
from greenrota.culture.numeric.undetermined import Undetermined
from greenrota.logbook.entry import Entry
from greenrota.rota.replay.counts import VesselCounts, vessel_counts
from greenrota.rota.simulate.context import Context
from greenrota.rota.state.bench import Bench

_WORSE = 3.841  # chi-square, one degree of freedom, 95 %: the counts speak against the nutrients' ceiling
_GUESS_RATE_PER_DAY = 0.5  # our choice, where the bench itself allows no growth


class FittedStart(NamedTuple):
    """The start density of a batch as fitted, and as the amounts poured should give it (None: not known)."""

    batch: str
    found: FittedValue
    planned_per_ml: float | None

    @property
    def far_from_plan(self) -> bool:
        """True if the counts can hardly come from the density that was planned."""
        found = self.found
        if self.planned_per_ml is None or not found.determined or found.value <= 0.0:
            return False
        return far_from_plan(found.value, self.planned_per_ml, found.standard_error / found.value)


class Calibration(NamedTuple):
    """The fit of one vessel. `fit` is None where `refused` says why.

    `plateau_per_ml` is where the counts level off when the nutrients' ceilings are left out, None if they do not;
    `place_factor` is the share of the best rate that temperature, light and salinity of the place leave; `richer` is
    True when the counts rise above what the plan's nutrients should build, which is then left out of the fit.
    `next_on` is the day of the next count, None if it belongs into the next batch.
    """

    bench: Bench
    counts: VesselCounts
    fit: GrowthFit | None
    refused: str
    richer: bool
    plateau_per_ml: float | None
    next_count: NextCount
    next_on: date | None

    @property
    def place_factor(self) -> float:
        """Share of the rate at its best that is left in this place, 0..1."""
        bench = self.bench
        return bench.temperature_factor * bench.photoperiod_factor * bench.salinity_factor

    @property
    def rate_at_best_per_day(self) -> float | None:
        """The rate as the plan wants it: at best temperature and salinity, 16 h of light. None without a fit of it."""
        if self.fit is None or not self.fit.rate.determined or self.place_factor <= 0.0:
            return None
        return self.fit.rate.value / self.place_factor

    @property
    def ceiling_per_ml(self) -> float | None:
        """The ceiling as the plan wants it; None if the counts give none."""
        return self.fit.ceiling.value if self.fit is not None and self.fit.ceiling.determined else None

    @property
    def starts(self) -> tuple[FittedStart, ...]:
        """The fresh starts that were fitted, in order."""
        if self.fit is None:
            return ()
        kept = {event.day for event in self.fit.events if isinstance(event, Start)}
        pairs = zip(self.counts.events, self.counts.batches, strict=True)
        fitted = [(event, name) for event, name in pairs if isinstance(event, Start) and event.day in kept]
        return tuple(
            FittedStart(name, found, event.planned_per_ml)
            for (event, name), found in zip(fitted, self.fit.starts, strict=True)
        )


def calibrate(
    context: Context,
    entries: Sequence[Entry],
    vessel: str,
    as_of: date,
    noise: Noise | None = None,
    fit_lag: bool = False,
) -> Calibration:
    """Fit rate and ceiling to what was logged of a vessel up to a day.

    `entries` are those that no void takes back, by day and then as written. KeyError: no such vessel.
    """
    noise = noise or Noise()
    bench = context.benches[vessel]
    counts = vessel_counts(context, entries, vessel, as_of)
    rate = bench.rate_per_day or _GUESS_RATE_PER_DAY
    ceiling = bench_ceiling_per_ml(bench.strain, bench.vessel.fill_l)
    refused, richer, plateau = "", False, None
    fit: GrowthFit | None = None
    try:
        freed = fit_growth([_freed(event) for event in counts.events], rate, ceiling, noise, fit_lag)
        fit = fit_growth(counts.events, rate, ceiling, noise, fit_lag)
        plateau = freed.ceiling.value if freed.ceiling.determined else None
        richer = fit.rss - freed.rss > _WORSE
        fit = freed if richer else fit
    except Undetermined as reason:
        refused = str(reason)
    events = fit.events if fit is not None else counts.events
    if fit is not None:
        rate = fit.rate.value if fit.rate.determined else rate
        ceiling = fit.ceiling.value if fit.ceiling.determined else max(ceiling, fit.ceiling.low)
    last = counts.first + timedelta(days=counts.events[-1].day if counts.events else 0.0)
    asked = best_next_count(events, rate, ceiling, noise, counts.alive, (as_of - last).days)
    next_on = None if asked.next_batch else last + timedelta(days=asked.day)
    return Calibration(bench, counts, fit, refused, richer, plateau, asked, next_on)


def _freed(event: Event) -> Event:
    return event if isinstance(event, Reading) else replace(event, cap_per_ml=math.inf)
