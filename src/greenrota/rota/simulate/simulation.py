"""Simulation: a state carried forward day by day, every batch fed, harvested, re-seeded, renewed and banked.

The rules for living batches are here, those for empty vessels in `empty_vessels`. Harvest and start days come from the
`Decisions` passed in where they are possible, and from the rules elsewhere. The result depends on the arguments alone.
"""

from collections.abc import Mapping
from datetime import date
from typing import NamedTuple, assert_never

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.frozen import FrozenDict
from greenrota.rota.simulate.agenda import Agenda
from greenrota.rota.simulate.before_away import Reseeding, leaving_on, reseeding
from greenrota.rota.simulate.context import Context
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.empty_vessels import Waiting
from greenrota.rota.simulate.events import Event, HarvestChoice, Interval, RestartChoice, TopUpChoice
from greenrota.rota.simulate.recorder import Recorder
from greenrota.rota.simulate.start import StartState
from greenrota.rota.state import backups, scale_up
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.cycle import Cycle
from greenrota.rota.state.opendays import DAY
from greenrota.rota.state.sharing import Allotment
from greenrota.rota.state.state import Culture, State

LATEST_RENEWAL = 3  # re-seeds by which a renewal may be put off for that; our choice
LEAST_HARVEST_ML = 1.0  # less than this is not worth a task; our choice


class Simulation(NamedTuple):
    """What was simulated: events, the intervals between them, the days chosen, and the state at the end.

    `waiting` are the vessels that found no inoculum within the horizon; `allotments` the starters that are shared out,
    `start_options` the days on which a vessel with a share may be started; `keeps` is the share of the fill that stays.
    """

    as_of: date
    through: date
    events: tuple[Event, ...]
    intervals: tuple[Interval, ...]
    choices: tuple[HarvestChoice, ...]
    state: State
    waiting: tuple[str, ...]
    start_options: Mapping[str, tuple[date, ...]]
    allotments: tuple[Allotment, ...] = ()
    keeps: Mapping[str, float] = FrozenDict()
    topups: tuple[TopUpChoice, ...] = ()
    restarts: tuple[RestartChoice, ...] = ()


class _Harvest(NamedTuple):
    """What is to become of a batch at its harvest of the day.

    `emptying`: the vessel stands empty afterwards; `kept_l` is what no restart may take from it.
    """

    bench: Bench
    emptying: bool
    way: Reseeding
    kept_l: float


def simulate(context: Context, start_state: StartState, decisions: Decisions) -> Simulation:
    """Simulate from a start state to the end of the horizon. The start state is not changed."""
    return _Run(context, start_state, decisions).run()


class _Run:
    def __init__(self, context: Context, start_state: StartState, decisions: Decisions) -> None:
        self.context = context
        self.start_state = start_state
        self.as_of = start_state.as_of
        self.through = context.through
        self.suspect = start_state.suspect
        self.recorder = Recorder(start_state.state.copy(), context.cache)
        self.recorder.emptied.update(start_state.emptied)
        self.agenda = Agenda(context, decisions, start_state.done)
        self.waiting = Waiting(context, start_state, self.recorder, self.agenda, decisions)
        self.decided_keeps = decisions.keeps
        self.keeps: dict[str, float] = {}
        self.last_away = max((gone.last for gone in context.plan.away), default=date.min)

    def run(self) -> Simulation:
        """Simulate every day of the horizon."""
        self._take_stock()
        day = self.as_of
        while day <= self.through:
            self._work(day)
            day += DAY
        if self.as_of <= self.through:
            self.recorder.close(self.through)
        return Simulation(
            self.as_of,
            self.through,
            tuple(self.recorder.events),
            tuple(self.recorder.intervals),
            tuple(self.agenda.choices.values()),
            self.recorder.state,
            tuple(self.waiting.patient + self.waiting.urgent),
            self.waiting.start_options,
            self.waiting.allotments,
            self.keeps,
            tuple(self.agenda.topups),
            tuple(self.waiting.restarts.values()),
        )

    def _work(self, day: date) -> None:
        """One day: first fillings, top-ups, doses, restarts, harvests. What is harvested may give before it is."""
        harvests: list[_Harvest] = []
        emptied: list[Bench] = []
        for kind, vessel in self.agenda.take(day):
            bench = self.context.benches[vessel]
            match kind:
                case "start":
                    self.waiting.start_from_gift(bench, day)
                case "topup":
                    self._top_up(bench, day)
                case "feed":
                    self.recorder.feed(bench, self.context.cycles[vessel].feed_dose, day)
                case "harvest":
                    harvests.append(self._decide(bench, day, emptied))
                    emptied += [bench] if harvests[-1].emptying else []
                case "reseed" | "renew" | "bank":
                    pass  # done with the harvest
                case _:
                    assert_never(kind)
        if self.waiting.urgent and self.context.open_days.is_open(day):
            kept_l = {harvest.bench.vessel.name: harvest.kept_l for harvest in harvests}
            self.waiting.serve_urgent(day, self.suspect, kept_l)
        for harvest in harvests:
            self._harvest(harvest, day)

    def _take_stock(self) -> None:
        """Plan the living batches, and line up the empty vessels."""
        empty = []
        for name, bench in sorted(self.context.benches.items()):
            culture = self.recorder.bring_up_to(bench, self.as_of)
            if culture is None:
                empty.append(name)
            else:
                earliest = self.start_state.not_before(name, culture.batch.started + DAY)
                self.agenda.plan_batch(bench, culture, earliest)
        self.waiting.line_up(empty)

    def _top_up(self, bench: Bench, on: date) -> None:
        to_l = scale_up.topup_l(bench, self.recorder.living(bench, on).broth)
        if to_l is not None:
            self.recorder.topup(bench, to_l, on)

    def _decide(self, bench: Bench, on: date, emptied: list[Bench]) -> _Harvest:
        """What becomes of a batch at its harvest of the day; `emptied` are vessels that are emptied that day."""
        cycle = self.context.cycles[bench.vessel.name]
        culture = self.recorder.living(bench, on)
        renewing = self._is_time_to_renew(bench, culture, on, emptied)
        share = 0.0 if renewing else self._keep_share(culture.batch.id, cycle)
        keep_l = min(culture.broth.volume_l, share * bench.vessel.fill_l)
        way = Reseeding(keep_l) if renewing else self._reseeding(bench, culture, keep_l, on, emptied)
        poured = f"{culture.batch.id}/harvest" not in self.start_state.done
        kept_l = way.keep_l if poured else culture.broth.volume_l
        return _Harvest(bench, renewing or way.park, way, kept_l)

    def _keep_share(self, batch: str, cycle: Cycle) -> float:
        """The share of the working volume that stays at a harvest: as decided, else the usual one."""
        if not cycle.carry_overs:
            return cycle.keep_share
        share = self.keeps[batch] = self.decided_keeps.get(batch, cycle.keep_share)
        return share

    def _harvest(self, harvest: _Harvest, on: date) -> None:
        bench, way = harvest.bench, harvest.way
        name = bench.vessel.name
        culture = self.recorder.living(bench, on)
        if culture.batch.id not in self.suspect:
            self.waiting.give_at_harvest(bench, culture, on)
            self._bank_if_due(bench, way.keep_l, on, harvest.emptying)
        if f"{culture.batch.id}/harvest" not in self.start_state.done:
            self._pour_harvest(bench, way.keep_l, on)
        if harvest.emptying:
            self.recorder.renew(bench, on, way)
            self.waiting.break_down(name)
        else:
            self.recorder.reseed(bench, on, way)
            if culture.batch.id in self.suspect:
                self.suspect |= {self.recorder.state.cultures[name].batch.id}
            self.agenda.plan_batch(bench, self.recorder.state.cultures[name], on + DAY)

    def _is_time_to_renew(self, bench: Bench, culture: Culture, on: date, emptied: list[Bench]) -> bool:
        """True after enough re-seeds, unless another vessel of the strain is just being renewed: one at a time."""
        known = self.start_state.renewals.get(culture.batch.id)
        if known is not None:
            return known
        late = culture.batch.reseeds - self.context.cycles[bench.vessel.name].renew_after
        if late < 0 or late > LATEST_RENEWAL:
            return late >= 0
        own, strain = bench.vessel.name, bench.strain.name
        if any(name != own for name in self.waiting.lately_empty(on).get(strain, ())):
            return False
        return not any(other.strain.name == strain for other in emptied)

    def _reseeding(
        self, bench: Bench, culture: Culture, keep_l: float, on: date, emptied: list[Bench]
    ) -> Reseeding:
        """How a vessel is re-seeded at its harvest; worked out once where days away lie ahead."""
        if on >= self.last_away:
            return Reseeding(keep_l)
        spared = self._has_kin(bench, emptied)
        return self.context.cache.do(
            self.recorder.state,
            (),
            culture,
            ("provision", keep_l, spared),
            lambda: reseeding(self.context, bench, culture.broth, keep_l, on, spared),
        )

    def _has_kin(self, bench: Bench, emptied: list[Bench]) -> bool:
        """True if the strain lives in another vessel, one that is not emptied that day."""
        strain, gone = bench.strain.name, {bench.vessel.name, *(each.vessel.name for each in emptied)}
        cultures = self.recorder.state.cultures
        # Its own vessels are asked first, for one of them nearly always lives: of a thousand few are looked at.
        for name in self.context.kin[strain]:
            if name in cultures and name not in gone and cultures[name].batch.strain == strain:
                return True
        return any(name not in gone and other.batch.strain == strain for name, other in cultures.items())

    def _pour_harvest(self, bench: Bench, keep_l: float, on: date) -> None:
        culture = self.recorder.state.cultures[bench.vessel.name]
        harvest_ml = max(0.0, culture.broth.volume_l - keep_l) * ML_PER_L
        if harvest_ml >= LEAST_HARVEST_ML:
            self.recorder.harvest(bench, harvest_ml, on, culture.batch.id in self.suspect)

    def _bank_if_due(self, bench: Bench, keep_l: float, on: date, renewing: bool) -> None:
        culture = self.recorder.state.cultures[bench.vessel.name]
        most_ml = backups.most_backup_ml(self.context.plan.cycle)
        order = backups.bank_order(
            self.recorder.state,
            self.context.benches,
            bench,
            culture,
            on,
            renewing,
            self.context.least_cells[bench.strain.name],
            self.suspect,
            most_ml,
            leaving_on(self.context.plan, on),
        )
        if f"{culture.batch.id}/bank" in self.start_state.done:
            return
        if order is not None and order.volume_ml <= (culture.broth.volume_l - keep_l) * ML_PER_L:
            self.recorder.bank(bench, order, on)
