"""Recorder: planned actions, done on a state and recorded as events and intervals."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator
from datetime import date

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.rota.kinds import EventKind
from greenrota.rota.simulate.before_away import Reseeding
from greenrota.rota.simulate.cache import ActionCache
from greenrota.rota.simulate.events import Event, Facts, Interval
from greenrota.rota.state import actions
from greenrota.rota.state.actions import Effect
from greenrota.rota.state.backups import BankOrder
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.state import Culture, State, back_up_id


class Recorder:
    """A state with a record of what is planned to be done to it.

    `events` are the planned actions in order; `intervals` the undisturbed stretches of every batch between them.
    """

    def __init__(self, state: State, cache: ActionCache) -> None:
        self.state = state
        self.cache = cache
        self.events: list[Event] = []
        self.intervals: list[Interval] = []
        self.emptied: dict[str, date] = {}

    def copy(self) -> Recorder:
        """A copy that can go on without changing this one."""
        other = Recorder(self.state.copy(), self.cache)
        other.events, other.intervals = list(self.events), list(self.intervals)
        other.emptied = dict(self.emptied)
        return other

    def bring_up_to(self, bench: Bench, on: date) -> Culture | None:
        """The culture of a vessel grown to a day and put back into the state; the interval before it is recorded."""
        name = bench.vessel.name
        before = self.state.cultures.get(name)
        if before is None or before.on == on:
            return before

        def grow() -> tuple[Culture, Interval]:
            grown = self.state.at(bench, on)
            assert grown is not None  # `before` stands
            self.state.cultures[name] = grown
            return grown, Interval(before.batch, before.on, on, before.broth, before.light_h)

        culture, interval = self.cache.do(self.state, (name,), before, ("grow", on), grow)
        self.intervals.append(interval)
        return culture

    def living(self, bench: Bench, on: date) -> Culture:
        """As `bring_up_to`, for a vessel that is known to be filled."""
        culture = self.bring_up_to(bench, on)
        assert culture is not None  # the caller's business
        return culture

    def start(
        self,
        bench: Bench,
        giver: Bench | None,
        source: str,
        volume_ml: float,
        on: date,
        facts: Facts,
        filled_l: float | None = None,
    ) -> None:
        """Fill an empty vessel from a source; `giver` is the bench of a living source, `filled_l` as in `actions`."""
        root: object = self.state.bottles.get(source) if giver is None else self.bring_up_to(giver, on)

        def act() -> Event:
            done = actions.start(self.state, bench, source, volume_ml, on, filled_l)
            return _event("start", on, done, volume_ml)

        number = self.state.numbers.get(bench.vessel.name, 0)
        figures = ("start", bench.vessel.name, number, source, volume_ml, on, filled_l)
        touched = (bench.vessel.name, source if giver is None else giver.vessel.name)
        started = self.cache.do(self.state, touched, root, figures, act)
        self.events.append(started._replace(facts=facts))

    def act(
        self,
        kind: EventKind,
        bench: Bench,
        on: date,
        action: Callable[[], Effect],
        *figures: Hashable,
        number: int = 1,
    ) -> None:
        """Do something to what grows in a vessel and nowhere else.

        `figures` are all that the effect depends on besides the culture; `number` tells several of a kind apart.
        """
        culture = self.living(bench, on)

        def act() -> Event:
            return _event(kind, on, action(), number=number)

        self.events.append(self.cache.do(self.state, (bench.vessel.name,), culture, (kind, *figures), act))

    def topup(self, bench: Bench, to_l: float, on: date) -> None:
        """Top a culture up that is being filled."""
        number = self.living(bench, on).topups + 1
        self.act("topup", bench, on, lambda: actions.topup(self.state, bench, to_l, on), to_l, number=number)

    def feed(self, bench: Bench, strength: float, on: date) -> None:
        """Give a second dose."""
        self.act("feed", bench, on, lambda: actions.feed(self.state, bench, strength, on), strength)

    def harvest(self, bench: Bench, volume_ml: float, on: date, barred: bool = False) -> None:
        """Take culture out into a harvest bottle; `barred`: it is suspect and nobody is given any of it."""
        culture = self.living(bench, on)

        def act() -> Event:
            done = actions.harvest(self.state, bench, volume_ml, on, barred)
            return _event("harvest", on, done, volume_ml, barred)

        figures = ("harvest", volume_ml, barred)
        self.events.append(self.cache.do(self.state, (bench.vessel.name,), culture, figures, act))

    def bank(self, bench: Bench, order: BankOrder, on: date) -> None:
        """Fill a fridge back-up; the bottles it replaces are retired."""
        culture, volume_ml = self.living(bench, on), order.volume_ml
        for old in order.retires:
            actions.retire(self.state, bench, old, on)

        def act() -> Event:
            return _event("bank", on, actions.bank(self.state, bench, volume_ml, on), volume_ml, facts=order)

        touched = (bench.vessel.name, back_up_id(culture.batch.id))
        self.events.append(self.cache.do(self.state, touched, culture, ("bank", order), act))

    def reseed(self, bench: Bench, on: date, way: Reseeding) -> None:
        """Top up on what was kept back, under the light of the way chosen."""
        culture = self.living(bench, on)
        keep_l = culture.broth.volume_l

        def act() -> Event:
            done = actions.reseed(self.state, bench, on, way.light_h)
            return _event("reseed", on, done, keep_l * ML_PER_L, facts=way)

        self.events.append(self.cache.do(self.state, (bench.vessel.name,), culture, ("reseed", way), act))

    def renew(self, bench: Bench, on: date, way: Reseeding) -> None:
        """Break a vessel down, after enough re-seeds or to park the strain while nobody is there."""
        self.events.append(_event("renew", on, self.empty(bench, on), facts=way))

    def empty(self, bench: Bench, on: date) -> Effect:
        """Pour a vessel away, and note the day."""
        name = bench.vessel.name
        self.bring_up_to(bench, on)
        done = actions.empty(self.state, bench, on)
        self.emptied.pop(name, None)  # so that the order stays that of the calendar
        self.emptied[name] = on
        return done

    def emptied_since(self, first: date) -> Iterator[tuple[str, date]]:
        """The vessels emptied on a day or later, the last one first; they are emptied in the order of the calendar."""
        for vessel in reversed(self.emptied):
            if self.emptied[vessel] < first:
                return
            yield vessel, self.emptied[vessel]

    def close(self, last: date) -> None:
        """Close the stretches still open at the end of the horizon."""
        for culture in self.state.cultures.values():
            self.intervals.append(Interval(culture.batch, culture.on, last, culture.broth, culture.light_h))


def _event(
    kind: EventKind,
    on: date,
    done: Effect,
    volume_ml: float = 0.0,
    barred: bool = False,
    number: int = 1,
    facts: Facts | None = None,
) -> Event:
    return Event(
        kind,
        on,
        done.batch,
        done.before,
        done.after,
        volume_ml,
        done.seawater_l,
        done.label_doses_l,
        barred,
        number,
        facts,
    )
