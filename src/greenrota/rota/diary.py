"""Diary: planned deeds, done on the shelf and written down as visits and spans."""

from __future__ import annotations

from datetime import date

from greenrota.rota import deed
from greenrota.rota.bench import Bench
from greenrota.rota.deed import ML_PER_L
from greenrota.rota.shelf import Shelf, Standing
from greenrota.rota.visit import Span, Visit


class Diary:
    """A shelf with a record of what is planned to be done to it.

    `visits` are the planned deeds in order; `spans` the untouched stretches of every batch between them.
    """

    def __init__(self, shelf: Shelf) -> None:
        self.shelf = shelf
        self.visits: list[Visit] = []
        self.spans: list[Span] = []
        self.emptied: dict[str, date] = {}

    def bring_up_to(self, bench: Bench, on: date) -> Standing | None:
        """What stands in a vessel on a day, written back to the shelf, with the stretch before it closed."""
        name = bench.vessel.name
        before = self.shelf.standing.get(name)
        standing = self.shelf.at(bench, on)
        if before is not None and standing is not None and standing is not before:
            self.spans.append(Span(before.batch, before.on, on, before.broth, before.light_h))
            self.shelf.standing[name] = standing
        return standing

    def start(
        self, bench: Bench, giver: Bench | None, source: str, volume_ml: float, on: date, reason: str
    ) -> None:
        """Fill an empty vessel from a source; `giver` is the bench of a living source."""
        if giver is not None:
            self.bring_up_to(giver, on)
        done = deed.start(self.shelf, bench, source, volume_ml, on)
        fill_l = bench.vessel.fill_l
        self.visits.append(
            Visit(
                "start", on, done.batch, None, done.after, volume_ml, done.seawater_l, fill_l, reason=reason
            )
        )

    def feed(self, bench: Bench, strength: float, on: date, reason: str) -> None:
        """Give a second dose."""
        standing = self.bring_up_to(bench, on)
        done = deed.feed(self.shelf, bench, strength, on)
        label_doses_l = standing.broth.volume_l * strength if standing is not None else 0.0
        self.visits.append(
            Visit("feed", on, done.batch, done.before, done.after, label_doses_l=label_doses_l, reason=reason)
        )

    def harvest(self, bench: Bench, volume_ml: float, on: date, reason: str) -> None:
        """Take feed out."""
        self.bring_up_to(bench, on)
        done = deed.harvest(self.shelf, bench, volume_ml, on)
        self.visits.append(
            Visit("harvest", on, done.batch, done.before, done.after, volume_ml, reason=reason)
        )

    def bank(self, bench: Bench, volume_ml: float, retires: tuple[str, ...], on: date, reason: str) -> None:
        """Fill a fridge back-up; the bottles it replaces are retired."""
        self.bring_up_to(bench, on)
        for old in retires:
            del self.shelf.bottles[old]
        done = deed.bank(self.shelf, bench, volume_ml, on)
        self.visits.append(Visit("bank", on, done.batch, done.before, done.after, volume_ml, reason=reason))

    def reseed(self, bench: Bench, on: date, light_h: float | None = None, remark: str = "") -> None:
        """Top up on what was kept back; `light_h` is a photoperiod to leave it under."""
        self.bring_up_to(bench, on)
        done = deed.reseed(self.shelf, bench, on, light_h)
        keep_ml = done.before.volume_l * ML_PER_L if done.before is not None else 0.0
        share = keep_ml / ML_PER_L / bench.vessel.fill_l
        reason = f"topped up on the {share:.0%} kept back from {done.batch.parent}{remark}"
        new_l = done.seawater_l
        self.visits.append(
            Visit("reseed", on, done.batch, done.before, done.after, keep_ml, new_l, new_l, light_h, reason)
        )

    def renew(self, bench: Bench, on: date, remark: str = "") -> None:
        """Break a vessel down."""
        self.bring_up_to(bench, on)
        done = deed.empty(self.shelf, bench, on)
        times = done.batch.reseeds
        reason = f"re-seeded {times} times: break down, clean, restart from a younger line"
        if remark:
            reason = f"break down, clean, restart when back{remark}"
        self.visits.append(Visit("renew", on, done.batch, done.before, None, reason=reason))
        self.emptied[bench.vessel.name] = on

    def close(self, last: date) -> None:
        """Close the stretches still open at the end of the horizon."""
        for standing in self.shelf.standing.values():
            self.spans.append(Span(standing.batch, standing.on, last, standing.broth, standing.light_h))
