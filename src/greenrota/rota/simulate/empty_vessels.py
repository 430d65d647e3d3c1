"""Empty vessels of a simulation, and how each gets its inoculum.

A vessel that was never filled is started from its share of a starter, or from a harvest of its strain. One that was
emptied is restarted by the rule of `state.donors`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.rota.simulate import restarts
from greenrota.rota.simulate.agenda import Agenda
from greenrota.rota.simulate.context import CachedAllotments, Context
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.events import Facts, FirstFilling, RestartChoice
from greenrota.rota.simulate.recorder import Recorder
from greenrota.rota.simulate.start import StartState
from greenrota.rota.state import donors, scale_up
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.opendays import DAY
from greenrota.rota.state.sharing import Allotment, StarterShare, allot
from greenrota.rota.state.state import Culture, batch_id

RENEWAL_GAP_DAYS = 3  # between the renewals of two vessels of a strain; our choice
MOST_WAIT = 3  # open days by which a restart may wait once a source gives it a start; our choice


class Waiting:
    """The empty vessels. `patient` were never filled and wait for a harvest; `urgent` are started as soon as possible.

    `allotments` are the starters that are shared out, `start_options` the days on which a vessel with a share may be
    started, `restarts` the days chosen for emptied vessels, by the batch that is opened.
    """

    def __init__(
        self,
        context: Context,
        start_state: StartState,
        recorder: Recorder,
        agenda: Agenda,
        decisions: Decisions,
    ) -> None:
        self._context = context
        self._decided = decisions.sharings
        self._decided_restarts = decisions.restarts
        self.restarts: dict[str, RestartChoice] = {}
        self._start_state = start_state
        self._recorder = recorder
        self._agenda = agenda
        self._gifts: dict[str, StarterShare] = {}
        self.allotments: tuple[Allotment, ...] = ()
        self.start_options: dict[str, tuple[date, ...]] = {}
        self.patient: list[str] = []
        self.urgent: list[str] = []
        self._broken_down: set[str] = set()
        self._empty: tuple[date | None, Mapping[str, list[str]]] = None, {}

    def line_up(self, empty: Sequence[str]) -> None:
        """Share starters out among vessels that were never filled, and line up those that wait for an inoculum."""
        state, benches = self._recorder.state, self._context.benches
        unused = [name for name in empty if name not in state.numbers]
        opened = self._context.plan.start
        first = max(self._start_state.as_of, opened)
        self.allotments = self._shared_out(unused, first)
        for gift in (share for allotment in self.allotments for share in allotment.shares):
            options = self._start_days(gift)
            if options:
                usual = next((day for day in options if day >= gift.first_on), options[-1])
                self._gifts[gift.vessel] = gift
                self.start_options[gift.vessel] = options
                self._agenda.plan_start(gift.vessel, options, usual)
        growing = {benches[name].strain.name for name in (*state.cultures, *self._gifts)}
        for name in sorted(empty):
            if name not in self._gifts:
                hopeful = name in unused and benches[name].strain.name in growing
                (self.patient if hopeful else self.urgent).append(name)
        self._broken_down = {name for name in self.urgent if self._start_state.is_broken_down(name)}

    def _shared_out(self, unused: Sequence[str], first: date) -> tuple[Allotment, ...]:
        """The starters shared out over vessels that were never filled, worked out once for a start state and a way."""
        context, start_state = self._context, self._start_state
        decided = ((each.source, each.vessels, each.volumes_ml) for each in self._decided.values())
        key = (id(start_state), tuple(decided))
        known = context.allotments.get(key)
        if known is None:
            state, opened = self._recorder.state, context.plan.start
            shared = allot(state, context.benches, context.cycles, unused, first, opened, self._decided)
            known = context.allotments[key] = CachedAllotments(start_state, tuple(shared))
        return known.allotments

    def break_down(self, vessel: str) -> None:
        """Line up a vessel that was emptied on plan."""
        self.urgent.append(vessel)
        self._broken_down.add(vessel)

    def lately_empty(self, on: date) -> Mapping[str, list[str]]:
        """Vessels that wait or were emptied in the days before a day, by strain, as they are when it is first asked."""
        asked_on, found = self._empty
        if asked_on != on:
            found = defaultdict(list)
            since = on - timedelta(days=RENEWAL_GAP_DAYS)
            lately = [name for name, emptied in self._recorder.emptied_since(since) if emptied < on]
            for name in (*self.urgent, *lately):
                if name in self._context.benches:
                    found[self._context.benches[name].strain.name].append(name)
            self._empty = on, found
        return found

    def _start_days(self, gift: StarterShare) -> tuple[date, ...]:
        """The open days within one cycle on which a vessel may be started; the first one after it if none is."""
        open_days = self._context.open_days
        least_on = self._start_state.not_before(gift.vessel, gift.least_on)
        good = min(self._context.horizon(self._start_state.as_of), gift.last_on)
        last = min(good, least_on + timedelta(days=self._context.cycles[gift.vessel].days))
        days = open_days.between(least_on, last)
        first = open_days.on_or_after(least_on, good)
        return tuple(days) if days or first is None else (first,)

    def start_from_gift(self, bench: Bench, on: date) -> None:
        """Start a vessel from what was set aside for it."""
        gift = self._gifts.pop(bench.vessel.name)
        self._start(bench, gift.source, gift.volume_ml, on, FirstFilling(from_harvest=False))

    def give_at_harvest(self, bench: Bench, culture: Culture, on: date) -> None:
        """Let one patient vessel of the strain take its first filling from this harvest."""
        if not self.patient:
            return
        strain, put_off, benches = bench.strain.name, self._start_state.put_off, self._context.benches
        takers = (n for n in self.patient if put_off.get(n) != on and benches[n].strain.name == strain)
        name = next(takers, None)
        if name is None:
            return
        taker = benches[name]
        volume_ml = restarts.harvest_gift_ml(self._context.cycles, bench, taker, culture)
        if volume_ml > 0.0:
            self.patient.remove(name)
            self._start(taker, culture.batch.id, volume_ml, on, FirstFilling(from_harvest=True))

    def serve_urgent(self, on: date, suspect: frozenset[str], kept_l: Mapping[str, float]) -> None:
        """Restart emptied vessels, the day after they were emptied at the earliest; the least needy comes first.

        `kept_l` is what each vessel that is harvested today keeps for itself, by vessel.
        """
        emptied, put_off = self._recorder.emptied, self._start_state.put_off
        takers = self._least_needy_first(
            [
                name
                for name in self.urgent
                if on not in (emptied.get(name), put_off.get(name)) and not self._waits(name, on)
            ]
        )
        day = self._day(on, suspect, kept_l)
        for turn in donors.ORDER:
            for name in [n for n in takers if turn.after_loss or n in self._broken_down]:
                given = restarts.offer(day, self._context.benches[name], turn)
                if given is not None:
                    takers.remove(name)
                    if given.source is not None and self._is_chosen(name, on):
                        self._restart(day, name, turn, given.source, given.volume_ml)

    def _waits(self, name: str, on: date) -> bool:
        """True for a vessel that could have been restarted before and was put on a later day."""
        choice = self.restarts.get(self._next_batch(name))
        return choice is not None and on < choice.taken

    def _is_chosen(self, name: str, on: date) -> bool:
        """Whether a vessel to which a source gives a start is restarted on that day.

        The first such day and `MOST_WAIT` open days after it are possible; the decided one is taken, else the first.
        """
        batch = self._next_batch(name)
        if batch not in self.restarts:
            options, last = [on], self._context.horizon(on)
            while len(options) <= MOST_WAIT:
                later = self._context.open_days.on_or_after(options[-1] + DAY, last)
                if later is None:
                    break
                options.append(later)
            decided = self._decided_restarts.get(batch)
            taken = on if decided not in options else decided
            self.restarts[batch] = RestartChoice(batch, tuple(options), taken)
        return self.restarts[batch].taken <= on

    def _next_batch(self, name: str) -> str:
        return batch_id(name, self._recorder.state.numbers.get(name, 0) + 1)

    def _least_needy_first(self, vessels: Sequence[str]) -> list[str]:
        """Vessels in the order in which they are served; of equals, the first by name."""
        benches = self._context.benches
        return sorted(vessels, key=lambda name: (benches[name].least_cells, name))

    def _day(self, on: date, suspect: frozenset[str], kept_l: Mapping[str, float]) -> restarts.Day:
        promised_ml: dict[str, float] = defaultdict(float)
        for allotted in self._gifts.values():
            promised_ml[allotted.source] += allotted.volume_ml
        context = self._context
        last = min(on + timedelta(days=donors.WAIT_DAYS), context.horizon(on))
        return restarts.Day(
            context.benches,
            context.cycles,
            self._recorder.state,
            on,
            suspect,
            promised_ml,
            kept_l,
            context.open_days.on_or_before(last, on) or on,
            known={},
            harvested={},
        )

    def _restart(
        self, day: restarts.Day, name: str, turn: donors.Turn, source: str, volume_ml: float
    ) -> None:
        bench, causes = self._context.benches[name], self._start_state.causes
        lost = name in causes and name not in self._broken_down
        self.urgent.remove(name)
        self._broken_down.discard(name)
        facts = restarts.facts(day, name, turn, source, causes[name] if lost else "")
        self._start(bench, source, volume_ml, day.on, facts)

    def _start(self, bench: Bench, source: str, volume_ml: float, on: date, facts: Facts) -> None:
        batch = self._recorder.state.batches.get(source)
        giver = self._context.benches[batch.vessel] if batch is not None else None
        filled_l = self._first_fill_l(bench, giver, source, volume_ml, on)
        self._recorder.start(bench, giver, source, volume_ml, on, facts, filled_l)
        self._agenda.plan_batch(bench, self._recorder.state.cultures[bench.vessel.name], on + DAY)

    def _first_fill_l(
        self, bench: Bench, giver: Bench | None, source: str, volume_ml: float, on: date
    ) -> float | None:
        """A first fill that is topped up later, None for the working volume."""
        if giver is None:
            bottle = self._recorder.state.bottles[source]
            seed = bench.bottled(volume_ml / ML_PER_L, bottle.density_per_ml, bottle.filled, on)
        else:
            seed = self._recorder.living(giver, on).broth
        filled_l = scale_up.first_fill_l(bench, volume_ml / ML_PER_L, seed.density_per_ml)
        return None if filled_l == bench.vessel.fill_l else filled_l
