"""Diary: planned deeds, done on the shelf and written down as visits and spans."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date

from greenrota.culture.broth import ML_PER_L
from greenrota.rota import deed
from greenrota.rota.absence import Provision
from greenrota.rota.bench import Bench
from greenrota.rota.deed import Outcome
from greenrota.rota.memory import Memory
from greenrota.rota.plan import Away
from greenrota.rota.shelf import Shelf, Standing
from greenrota.rota.visit import Span, Visit
from greenrota.rota.wording import numbered


class Diary:
    """A shelf with a record of what is planned to be done to it.

    `visits` are the planned deeds in order; `spans` the untouched stretches of every batch between them.
    """

    def __init__(self, shelf: Shelf, memory: Memory) -> None:
        self.shelf = shelf
        self.memory = memory
        self.visits: list[Visit] = []
        self.spans: list[Span] = []
        self.emptied: dict[str, date] = {}

    def bring_up_to(self, bench: Bench, on: date) -> Standing | None:
        """What stands in a vessel on a day, written back to the shelf, with the stretch before it closed."""
        name = bench.vessel.name
        before = self.shelf.standing.get(name)
        if before is None or before.on == on:
            return before

        def grow() -> tuple[Standing, Span]:
            grown = self.shelf.at(bench, on)
            assert grown is not None  # `before` stands
            self.shelf.standing[name] = grown
            return grown, Span(before.batch, before.on, on, before.broth, before.light_h)

        standing, span = self.memory.do(self.shelf, (name,), (before,), ("grow", on), grow)
        self.spans.append(span)
        return standing

    def living(self, bench: Bench, on: date) -> Standing:
        """As `bring_up_to`, for a vessel that is known to be filled."""
        standing = self.bring_up_to(bench, on)
        assert standing is not None  # the caller's business
        return standing

    def start(
        self, bench: Bench, giver: Bench | None, source: str, volume_ml: float, on: date, reason: str
    ) -> None:
        """Fill an empty vessel from a source; `giver` is the bench of a living source."""
        root: object = self.shelf.bottles.get(source) if giver is None else self.bring_up_to(giver, on)

        def act() -> Visit:
            return _visit(
                "start", on, deed.start(self.shelf, bench, source, volume_ml, on), volume_ml, reason
            )

        number = self.shelf.numbers.get(bench.vessel.name, 0)
        figures = ("start", bench.vessel.name, number, source, volume_ml, on, reason)
        touched = (bench.vessel.name, source if giver is None else giver.vessel.name)
        self.visits.append(self.memory.do(self.shelf, touched, (root,), figures, act))

    def feed(self, bench: Bench, strength: float, on: date, why: Callable[[], str]) -> None:
        """Give a second dose."""
        standing = self.living(bench, on)

        def act() -> Visit:
            return _visit("feed", on, deed.feed(self.shelf, bench, strength, on), reason=why())

        self.visits.append(
            self.memory.do(self.shelf, (bench.vessel.name,), (standing,), ("feed", strength), act)
        )

    def harvest(self, bench: Bench, volume_ml: float, on: date, remark: str, why: Callable[[], str]) -> None:
        """Take feed out."""
        standing = self.living(bench, on)

        def act() -> Visit:
            return _visit(
                "harvest", on, deed.harvest(self.shelf, bench, volume_ml, on), volume_ml, why() + remark
            )

        self.visits.append(
            self.memory.do(self.shelf, (bench.vessel.name,), (standing,), ("harvest", volume_ml, remark), act)
        )

    def bank(self, bench: Bench, volume_ml: float, retires: tuple[str, ...], on: date, reason: str) -> None:
        """Fill a fridge back-up; the bottles it replaces are retired."""
        standing = self.living(bench, on)
        for old in retires:
            del self.shelf.bottles[old]

        def act() -> Visit:
            return _visit("bank", on, deed.bank(self.shelf, bench, volume_ml, on), volume_ml, reason)

        touched = (bench.vessel.name, f"fridge:{standing.batch.id}")
        self.visits.append(self.memory.do(self.shelf, touched, (standing,), ("bank", volume_ml, reason), act))

    def reseed(self, bench: Bench, on: date, way: Provision) -> None:
        """Top up on what was kept back, under the light of the way chosen."""
        standing = self.living(bench, on)
        keep_l = standing.broth.volume_l

        def act() -> Visit:
            done = deed.reseed(self.shelf, bench, on, way.light_h)
            share = keep_l / bench.vessel.fill_l
            reason = f"topped up on the {share:.0%} kept back from {done.batch.parent}{way.reason}"
            return _visit("reseed", on, done, keep_l * ML_PER_L, reason, way.light_h, way.away)

        self.visits.append(
            self.memory.do(self.shelf, (bench.vessel.name,), (standing,), ("reseed", way), act)
        )

    def renew(self, bench: Bench, on: date, way: Provision) -> None:
        """Break a vessel down, after enough re-seeds or to park the strain while nobody is there."""
        standing = self.living(bench, on)
        times = standing.batch.reseeds
        reason = f"re-seeded {numbered(times, 'time')}: break down, clean, restart from a younger line"
        if way.away is not None:
            reason = f"break down, clean, restart when back{way.reason}"
        self.visits.append(_visit("renew", on, self.empty(bench, on), reason=reason, away=way.away))

    def empty(self, bench: Bench, on: date) -> Outcome:
        """Pour a vessel away, and note the day."""
        name = bench.vessel.name
        self.bring_up_to(bench, on)
        done = deed.empty(self.shelf, bench, on)
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
        for standing in self.shelf.standing.values():
            self.spans.append(Span(standing.batch, standing.on, last, standing.broth, standing.light_h))


def _visit(
    kind: str,
    on: date,
    done: Outcome,
    volume_ml: float = 0.0,
    reason: str = "",
    light_h: float | None = None,
    away: Away | None = None,
) -> Visit:
    return Visit(
        kind,
        on,
        done.batch,
        done.before,
        done.after,
        volume_ml,
        done.seawater_l,
        done.label_doses_l,
        light_h,
        reason,
        away,
    )
