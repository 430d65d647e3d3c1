"""Agenda: what is to be done at which vessel on which day of a simulation, and the harvest days chosen so far.

A harvest day that no decision names is the cheapest of the possible days, judged by what is known when the batch opens.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from datetime import date

from greenrota.rota.ids import batch_and_number, task_id
from greenrota.rota.kinds import TASK_KINDS, EventKind
from greenrota.rota.simulate.context import CachedProjection, Context
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.events import HarvestChoice, TopUpChoice
from greenrota.rota.simulate.projection import Projection, harvest_days, project
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.cycle import Cycle
from greenrota.rota.state.opendays import DAY
from greenrota.rota.state.scale_up import scale_up
from greenrota.rota.state.state import Culture

# Costs in "days of waiting": what a day must save before it is worth this. All our choice.
EARLY_DAY_COST = 20  # each day before the culture is ripe
OVER_DAY_COST = 30  # each day over-ripe
CROWDED_COST = 15  # the day already has all the jobs wanted
SHARED_COST = 2  # another vessel of the strain is harvested that day


class Load:
    """How much is already planned on each day of a simulation."""

    def __init__(self, jobs_per_day: int | None) -> None:
        self._jobs_per_day = jobs_per_day
        self._jobs: Counter[date] = Counter()
        self._harvests: Counter[tuple[date, str]] = Counter()

    def add(self, on: date, strain_harvested: str | None = None) -> None:
        """Note one more job on a day, and whose harvest it is."""
        self._jobs[on] += 1
        if strain_harvested is not None:
            self._harvests[on, strain_harvested] += 1

    def is_full(self, on: date) -> bool:
        """True when the day has as many jobs as the plan wants on a day."""
        return self._jobs_per_day is not None and self._jobs.get(on, 0) >= self._jobs_per_day

    def harvests(self, on: date, strain: str) -> int:
        """Harvests of a strain already planned on a day."""
        return self._harvests.get((on, strain), 0)


def pick_day(options: Sequence[date], projection: Projection, load: Load, strain: str) -> date | None:
    """The cheapest of the possible days, which stand in order, the earliest of equals; None if there is none."""
    due = projection.pinned_on or projection.ripe_on
    if due is None or not options:
        return None
    over = projection.over_on

    def cost(day: date) -> int:
        wait = (day - due).days
        total = wait if wait >= 0 else -wait * EARLY_DAY_COST
        if over is not None and day >= over:
            total += OVER_DAY_COST * ((day - over).days + 1)
        if load.is_full(day):
            total += CROWDED_COST
        return total + SHARED_COST * load.harvests(day, strain)

    return min(options, key=cost)


class Agenda:
    """The days ahead of a simulation. A batch is harvested on the decided day if it is possible, else on the cheapest.

    `done` are tasks already fulfilled; `choices` are by batch id, in the order in which batches were opened, `topups`
    the top-ups of the horizon in order of batch and number.
    """

    def __init__(self, context: Context, decisions: Decisions, done: frozenset[str]) -> None:
        self._context = context
        self._decisions = decisions
        self._done = done
        self._through = context.through
        self._load = Load(context.plan.work.jobs_per_day)
        self._steps: dict[date, list[tuple[int, str, EventKind]]] = defaultdict(list)
        self.choices: dict[str, HarvestChoice] = {}
        self.topups: list[TopUpChoice] = []
        self._topup_days: dict[str, dict[int, date]] = defaultdict(dict)
        for topup, on in decisions.topups.items():
            batch, number = batch_and_number(topup)
            self._topup_days[batch][number] = on

    def take(self, day: date) -> list[tuple[EventKind, str]]:
        """What is done on a day to which vessel, in the order of work; it is off the agenda then."""
        return [(kind, vessel) for _, vessel, kind in sorted(self._steps.pop(day, ()))]

    def _put(self, on: date, kind: EventKind, vessel: str, strain_harvested: str | None = None) -> None:
        self._steps[on].append((TASK_KINDS[kind].day_order, vessel, kind))
        self._load.add(on, strain_harvested)

    def plan_start(self, vessel: str, options: tuple[date, ...], usual: date) -> None:
        """Put the first filling of a vessel on the decided day if it is possible, else on the usual one."""
        decided = self._decisions.starts.get(vessel)
        on = decided if decided in options else usual
        self._put(on, "start", vessel)

    def plan_batch(self, bench: Bench, culture: Culture, earliest: date) -> None:
        """Choose the harvest day of a batch and put it on the agenda, with all that is done to the batch before."""
        _, projection, options, topups = self._projected(bench, culture, earliest)
        vessel = bench.vessel.name
        if f"{culture.batch.id}/harvest" in self._done:  # only the re-seed is left to do
            soon = self._context.open_days.on_or_after(earliest, self._through)
            options, topups = () if soon is None else (soon,), ()
        elif (settled := self._context.settled) is not None:
            options = tuple(day for day in options if settled.may_harvest(culture.batch.id, day))
        taken = self._decisions.harvests.get(culture.batch.id)
        if taken is not None and self._falls_after(taken, projection):
            taken, options = None, ()
        elif taken not in options and not self._still_holds(taken, projection, earliest):
            taken = pick_day(options, projection, self._load, bench.strain.name)
        if taken is not None:
            self._put(taken, "harvest", vessel, bench.strain.name)
        last = self._through if taken is None else min(self._through, taken - DAY)
        if projection.feed_on is not None and projection.feed_on <= last:
            self._put(projection.feed_on, "feed", vessel)
        for topup in topups:
            if topup.on <= last:
                self._put(topup.on, "topup", vessel)
                name = task_id(culture.batch.id, "topup", topup.number)
                days = tuple(day for day in topup.options if day <= self._through)
                self.topups.append(TopUpChoice(name, culture.batch, days, topup.on))
        self.choices[culture.batch.id] = HarvestChoice(culture.batch, projection, options, taken)

    def _falls_after(self, decided: date, projection: Projection) -> bool:
        """True for a day after the horizon on which the batch may still be harvested, for all that is known."""
        over_on, pinned = projection.over_on, projection.pinned_on is not None
        return decided > self._through and not pinned and (over_on is None or decided < over_on)

    def _still_holds(self, decided: date | None, projection: Projection, earliest: date) -> bool:
        """True for a decided day that is no option only because the batch is now ripe just after the horizon."""
        if decided is None or projection.ready_on is None or projection.pinned_on is not None:
            return False
        last = self._through if projection.over_on is None else min(self._through, projection.over_on - DAY)
        return max(earliest, projection.ready_on) <= decided <= last and self._context.open_days.is_open(
            decided
        )

    def _projected(self, bench: Bench, culture: Culture, earliest: date) -> CachedProjection:
        """The projection of a batch and its possible harvest days, worked out once per context."""
        batch = culture.batch
        fed = culture.fed_on is not None or f"{batch.id}/feed" in self._done
        decided = self._topup_days.get(batch.id, {}) if culture.filling else {}
        key = (id(culture), earliest, fed, tuple(decided.items()))
        cached = self._context.projections.get(key)
        if cached is None:
            open_days = self._context.open_days
            cycle, place = self._context.cycles[batch.vessel], bench.lit(culture.light_h)
            if culture.filling:
                cached = self._filling(place, cycle, culture, earliest, fed, decided)
            else:
                projection = project(place, cycle, culture.broth, batch.started, culture.on, fed, open_days)
                options = harvest_days(projection, earliest, self._through, open_days)
                cached = CachedProjection(culture, projection, tuple(options))
            self._context.projections[key] = cached
        return cached

    def _filling(
        self,
        place: Bench,
        cycle: Cycle,
        culture: Culture,
        earliest: date,
        fed: bool,
        decided: Mapping[int, date],
    ) -> CachedProjection:
        """A batch that is being filled: its top-ups, then as one that was filled on the day of the last of them.

        It is harvested once it is full, also where the plan pins an earlier day: a re-seed would be too thin.
        """
        open_days, started = self._context.open_days, culture.batch.started
        ahead = scale_up(place, culture.broth, culture.on, earliest, open_days, culture.topups, decided)
        projection = project(place, cycle, ahead.broth, started, ahead.on, fed, open_days, filled=ahead.on)
        if not ahead.full:
            projection = Projection(None, None, None, projection.pinned_on, None, 0.0)
        first = max(earliest, ahead.on + DAY) if ahead.full else earliest
        options = harvest_days(projection, first, self._through, open_days)
        return CachedProjection(culture, projection, tuple(options), ahead.topups)
