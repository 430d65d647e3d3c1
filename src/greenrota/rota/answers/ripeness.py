"""Ripeness of a vessel: the day on which each of its batches is ripe, with the range that holds it 19 times in 20.

The range comes from the spreads of the strain, and after counts from the vessel's own counts. Nothing is stored:
without a count the answer is what it was before it.
"""

import math
from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from typing import TYPE_CHECKING, NamedTuple

from greenrota.culture.fit.course import Event, Turn
from greenrota.culture.fit.estimate import START_SPREAD, Estimate
from greenrota.culture.fit.ripeness import Ripeness, ripeness
from greenrota.culture.growth.broth import Broth, days_to_share
from greenrota.logbook.entry import Entry
from greenrota.rota.answers.contents import choice_of
from greenrota.rota.kinds import MIXED_FOR
from greenrota.rota.replay.counts import (
    VesselCounts,
    all_counts,
    newest_counts,
    nutrient_ceiling_per_ml,
    vessel_counts,
)
from greenrota.rota.replay.spreads import MOST_COUNTS, after_counts, before_counts
from greenrota.rota.rota import Rota
from greenrota.rota.simulate.events import Event as Visit
from greenrota.rota.simulate.events import HarvestChoice
from greenrota.rota.simulate.projection import ROUNDING, fed_broth
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.cycle import RIPE_SHARE

if TYPE_CHECKING:
    from greenrota.culture.fit.update import Update


class RipeDay(NamedTuple):
    """When a batch is ripe: the middle day and the ends of the 95 % range, whole days.

    A day is None where the culture never gets there. A batch that is ripe already has the day of the newest entry about
    it, or the day the rota stands at.
    """

    batch: str
    on: date | None
    earliest: date | None
    latest: date | None


class VesselRipeness(NamedTuple):
    """What is known of a vessel's rate and ceiling, `before` and `after` its counts, and when its batches are ripe.

    `counts` is how many counts went in. `days` are by batch, in order, for those that are still to be harvested.
    """

    before: Estimate
    after: Estimate
    counts: int
    days: tuple[RipeDay, ...]

    def day_of(self, batch: str) -> RipeDay:
        """The ripe day of a batch; all None for one that was harvested or is not looked ahead to."""
        none = RipeDay(batch, None, None, None)
        return next((day for day in self.days if day.batch == batch), none)


def vessel_ripeness(rota: Rota, vessel: str, entries: Sequence[Entry] = ()) -> VesselRipeness:
    """The ripe days of all batches of a vessel; `entries` are the living ones of the logbook.

    A planned batch counts from its planned start: what was harvested or poured before it is taken to be as planned.
    KeyError: no such vessel.
    """
    known = _Known.of(rota, vessel, vessel_counts(rota.context, entries, vessel, rota.as_of))
    living = rota.state.cultures.get(vessel)
    begins = _filled(rota)
    days = []
    for choice in rota.simulation.choices:
        batch = choice.batch.id
        if choice.batch.vessel == vessel and batch in begins:
            days.append(_of_planned(rota, known, choice, begins[batch]))
        elif living is not None and batch == living.batch.id:
            days.append(_of_living(rota, known, choice))
    return VesselRipeness(known.before, known.after, known.counted, tuple(days))


def ripe_days_of(rota: Rota, vessels: Iterable[str], entries: Sequence[Entry]) -> dict[str, RipeDay]:
    """The ripe days of the batches that stand in some vessels, by batch; without those of which no harvest is ahead."""
    found, begins = {}, _filled(rota)
    series = all_counts(rota.context, entries, vessels, rota.as_of)
    for vessel, counts in series.items():
        culture = rota.state.cultures.get(vessel)
        choice = None if culture is None else choice_of(rota, culture.batch.id)
        if choice is None:
            continue
        known, filled = _Known.of(rota, vessel, counts), begins.get(choice.batch.id)
        found[choice.batch.id] = (
            _of_living(rota, known, choice) if filled is None else _of_planned(rota, known, choice, filled)
        )
    return found


def _filled(rota: Rota) -> dict[str, Visit]:
    """The planned event that fills each batch to its end, by batch: its filling, or the last of its top-ups."""
    return {
        event.batch.id: event
        for event in rota.simulation.events
        if event.kind in MIXED_FOR and event.after is not None
    }


class _Known(NamedTuple):
    """The place, its logbook, and what both say of rate and ceiling; `update` is None with nothing to weigh."""

    bench: Bench
    series: VesselCounts
    before: Estimate
    update: "Update | None"

    @classmethod
    def of(cls, rota: Rota, vessel: str, counts: VesselCounts) -> "_Known":
        bench = rota.benches[vessel]
        before = before_counts(bench)
        series = newest_counts(counts, MOST_COUNTS)
        return cls(
            bench, series, before, after_counts(before, [*series.events, *_feed_ahead(rota, series, bench)])
        )

    @property
    def after(self) -> Estimate:
        return self.before if self.update is None or not self.counted else self.update.after

    @property
    def counted(self) -> int:
        return 0 if self.update is None else self.update.counts


def _feed_ahead(rota: Rota, series: VesselCounts, bench: Bench) -> list[Event]:
    """The second dose that is planned for the batch that stands in the vessel."""
    living = rota.state.cultures.get(bench.vessel.name)
    choice = None if living is None else choice_of(rota, living.batch.id)
    if living is None or choice is None or choice.projection.feed_on is None:
        return []
    fed = fed_broth(bench, rota.cycles[bench.vessel.name], living.broth)
    day = float((choice.projection.feed_on - series.first).days)
    return [Turn(day, 1.0, nutrient_ceiling_per_ml(bench, fed))]


def _of_living(rota: Rota, known: _Known, choice: HarvestChoice) -> RipeDay:
    """The ripe day of the batch that stands there, through all that was logged of the vessel.

    Without any count the middle day is that of the rota itself.
    """
    culture, update, series = rota.state.cultures[choice.batch.vessel], known.update, known.series
    if update is None or update.grid.density_per_ml is None or series.batches[-1] != choice.batch.id:
        return _ahead(rota, known, choice, culture.broth, culture.on, from_own_ceiling=False)
    slower = known.bench.lit(culture.light_h).rate_per_day / known.bench.rate_per_day
    since = series.first + timedelta(days=update.day)
    found = update.ripeness(RIPE_SHARE)
    ripe = _days(choice, since, Ripeness(*(days / slower if slower > 0.0 else math.inf for days in found)))
    return ripe if known.counted else _around(ripe, choice.projection.ripe_on)


def _of_planned(rota: Rota, known: _Known, choice: HarvestChoice, begins: Visit) -> RipeDay:
    assert begins.after is not None
    return _ahead(rota, known, choice, begins.after, begins.on, begins.kind == "reseed")


def _ahead(
    rota: Rota, known: _Known, choice: HarvestChoice, broth: Broth, on: date, from_own_ceiling: bool
) -> RipeDay:
    """The ripe day of a broth that is taken as it is projected, from a day on.

    `from_own_ceiling`: it was kept from a ripe culture of the vessel, so it is a share of the true ceiling.
    """
    bench, feed_on = known.bench, choice.projection.feed_on
    fed = broth if feed_on is None else fed_broth(bench, rota.cycles[bench.vessel.name], broth)
    top_per_ml = bench.ceiling(fed).per_ml
    place = bench.lit(choice_light_h(rota, choice))
    share_of_rate = place.rate_per_day / bench.rate_per_day if bench.rate_per_day > 0.0 else 0.0
    ceiling_per_ml = min(known.after.ceiling_per_ml, nutrient_ceiling_per_ml(bench, fed))
    estimate = known.after._replace(
        rate_per_day=known.after.rate_per_day * share_of_rate, ceiling_per_ml=ceiling_per_ml
    )
    grown = ceiling_per_ml / top_per_ml if from_own_ceiling and top_per_ml > 0.0 else 1.0
    held_back = 0.0 if feed_on is None else _held_back_days(place, broth, fed, (feed_on - on).days)
    found = ripeness(
        broth.density_per_ml * grown,
        estimate,
        RIPE_SHARE,
        START_SPREAD,
        broth.lag_days + held_back,
        start_tracks_ceiling=from_own_ceiling,
    )
    return _days(choice, on, found)


def choice_light_h(rota: Rota, choice: HarvestChoice) -> float | None:
    """The photoperiod of a batch where it is not the vessel's usual one."""
    stretches = (each for each in rota.simulation.intervals if each.batch.id == choice.batch.id)
    return next((each.light_h for each in stretches), None)


def _held_back_days(bench: Bench, broth: Broth, fed: Broth, until_feed: int) -> float:
    """What the lower ceiling before a second dose costs, by the figures of the plan."""
    top_per_ml, rate = bench.ceiling(fed).per_ml, bench.rate_per_day
    at_feed = fed._replace(density_per_ml=(later := bench.grow(broth, float(until_feed))).density_per_ml)
    rest = days_to_share(at_feed._replace(lag_days=later.lag_days), RIPE_SHARE, top_per_ml, rate)
    at_once = days_to_share(fed, RIPE_SHARE, top_per_ml, rate)
    return max(0.0, until_feed + rest - at_once) if math.isfinite(rest) and math.isfinite(at_once) else 0.0


def _days(choice: HarvestChoice, since: date, found: Ripeness) -> RipeDay:
    return RipeDay(choice.batch.id, *(_whole_day(since, days) for days in found))


def _whole_day(since: date, days: float) -> date | None:
    """The first whole day on which the culture is ripe; None past the end of the calendar."""
    try:
        return since + timedelta(days=math.ceil(days - ROUNDING))
    except OverflowError:
        return None


def _around(ripe: RipeDay, on: date | None) -> RipeDay:
    """The range, stretched where it does not hold the day."""
    if on is None:
        return ripe
    earliest = on if ripe.earliest is None else min(on, ripe.earliest)
    return RipeDay(ripe.batch, on, earliest, None if ripe.latest is None else max(on, ripe.latest))
