"""Counts: the logbook of one vessel as a series of starts, re-seeds, feeds and counts that can be fitted."""

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import NamedTuple

from greenrota.culture.bench.count import LARGE_SQUARE_ML
from greenrota.culture.fit.course import Event, Reading, Start, Turn
from greenrota.culture.growth.broth import ML_PER_L, Broth, ceiling
from greenrota.logbook.entry import Entry
from greenrota.logbook.vocabulary import KINDS
from greenrota.rota.replay.accumulator import logged_density_per_ml
from greenrota.rota.replay.replay import replay
from greenrota.rota.simulate.context import Context
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.state import State

DENSEST_PER_ML = 2.5e11  # geometry: cells of 4 um3, as small as any strain here, packed without a gap
_LOOKED_AT_LEAST_ML, _LOOKED_AT_MOST_ML = 1e-9, 1.0  # our choice: wider than any chamber, diluted or not


class VesselCounts(NamedTuple):
    """What was logged of a vessel. `events` count days from `first`; `alive`: a batch stands in it now.

    `batches` names the batch of every event; `impossible` is how many counts were denser than cells can be packed.
    """

    first: date
    events: tuple[Event, ...]
    batches: tuple[str, ...]
    alive: bool
    impossible: int

    @property
    def readings(self) -> int:
        """How many counts there are."""
        return sum(isinstance(event, Reading) for event in self.events)


def vessel_counts(context: Context, entries: Sequence[Entry], vessel: str, as_of: date) -> VesselCounts:
    """The series of one vessel; see `all_counts`."""
    return all_counts(context, entries, [vessel], as_of)[vessel]


def all_counts(
    context: Context, entries: Sequence[Entry], vessels: Iterable[str], as_of: date
) -> dict[str, VesselCounts]:
    """The series of some vessels up to and including a day, from entries in order, without voided ones.

    Amounts, nutrients and lags are those of the state when the logbook is replayed; the density that a start, a
    harvest or a bank entry gives is a count like any other. What the amounts poured should give is the plan of a start,
    where the logbook names them. Counts from the day on which a crashed batch went wrong
    are left out.
    """
    series = {vessel: Series(context.benches[vessel], as_of) for vessel in vessels}

    def see(entry: Entry, state: State) -> None:
        for each in series.values():
            each.see(entry, state)

    logged = replay(context, entries, as_of, see)
    return {vessel: each.counts(logged.planned_starts) for vessel, each in series.items()}


def newest_counts(series: VesselCounts, most: int) -> VesselCounts:
    """The newest batches of a series, whole as long as they hold no more than so many counts in all.

    Of a newest batch with more the oldest counts are left out. A batch that was re-seeded from one that is left out
    begins like a fresh start of unknown density.
    """
    if series.readings <= most:
        return series
    names, left = series.batches, series.readings
    first = 0
    for n, event in enumerate(series.events):
        if n and names[n] != names[n - 1]:  # the newest batch, or the first one from which all fit
            first = n
            if left <= most:
                break
        left -= isinstance(event, Reading)
    kept = list(zip(series.events[first:], names[first:], strict=True))
    spare = sum(isinstance(event, Reading) for event, _ in kept) - most
    for place in [n for n, (event, _) in enumerate(kept) if isinstance(event, Reading)][: max(0, spare)][
        ::-1
    ]:
        del kept[place]
    head, name = kept[0]
    if isinstance(head, Turn):
        kept[0] = (Start(head.day, 0.0, head.cap_per_ml), name)
    return series._replace(events=tuple(event for event, _ in kept), batches=tuple(name for _, name in kept))


class Series:
    """The series of one vessel while a logbook is read: `see` every entry; days are ordinals until the end."""

    def __init__(self, bench: Bench, as_of: date) -> None:
        self.bench = bench
        self.first = as_of.toordinal()
        self.events: list[Event] = []
        self.batches: list[str] = []
        self.batch = ""
        self.broth: Broth | None = None
        self.impossible = 0

    def see(self, entry: Entry, state: State) -> None:
        """Note what an entry did to the vessel."""
        culture = state.cultures.get(self.bench.vessel.name)
        before, self.broth = self.broth, None if culture is None else culture.broth
        if entry.kind == "crashed" and entry.subject == self.bench.vessel.name:
            self._forget(self.batch, (entry.date("since") or entry.on).toordinal())
        if culture is None or entry.subject != self.bench.vessel.name:
            return
        day, broth = float(entry.on.toordinal()), culture.broth
        if entry.kind == "started":
            self.first = self.first if self.events else entry.on.toordinal()
            self.batch = culture.batch.id
            self._add(Start(day, broth.lag_days, self._cap(broth)))
        elif entry.kind == "fed":
            self._add(Turn(day, 1.0, self._cap(broth)))
        elif entry.kind == "topped-up" and before is not None and broth.volume_l > 0.0:
            self._add(Turn(day, before.volume_l / broth.volume_l, self._cap(broth)))
        elif entry.kind == "reseeded" and before is not None:
            self.batch = culture.batch.id
            kept_l = before.volume_l
            logged_ml = entry.volume_ml("inoculum")
            kept_l = kept_l if logged_ml is None else min(kept_l, logged_ml / ML_PER_L)
            share, cap = kept_l / broth.volume_l, self._cap(broth)
            # a share of nothing (all was harvested first, the logbook says) leaves the new start unknown
            self._add(Turn(day, share, cap) if share > 0.0 else Start(day, 0.0, cap))
        self._count(entry, day)

    def counts(self, planned: Mapping[str, float]) -> VesselCounts:
        """What was seen, its days counted from the first."""
        self.plan_starts(planned)
        moved = [replace(event, day=event.day - self.first) for event in self.events]
        first = date.fromordinal(self.first)
        return VesselCounts(first, tuple(moved), tuple(self.batches), self.broth is not None, self.impossible)

    def plan_starts(self, planned: Mapping[str, float]) -> None:
        """Give every start the density that was planned for its batch, where that is known."""
        self.events = [
            replace(event, planned_per_ml=planned.get(name) or None) if isinstance(event, Start) else event
            for event, name in zip(self.events, self.batches, strict=True)
        ]

    def _count(self, entry: Entry, day: float) -> None:
        if "density" not in KINDS[entry.kind].keys or not self.events:
            return
        try:
            density = logged_density_per_ml(entry)
        except ValueError:  # the replay reports it
            return
        if density is not None and density > DENSEST_PER_ML:
            self.impossible += 1
        elif density is not None:
            self._add(Reading(day, density, _looked_at_ml(entry, density)))

    def _cap(self, broth: Broth) -> float:
        return nutrient_ceiling_per_ml(self.bench, broth)

    def _add(self, event: Event) -> None:
        self.events.append(event)
        self.batches.append(self.batch)

    def _forget(self, batch: str, since: int) -> None:
        kept = [
            (event, name)
            for event, name in zip(self.events, self.batches, strict=True)
            if not (name == batch and isinstance(event, Reading) and event.day >= since)
        ]
        self.events, self.batches = [event for event, _ in kept], [name for _, name in kept]


def nutrient_ceiling_per_ml(bench: Bench, broth: Broth) -> float:
    """The density (cells/mL) that the nutrients in a broth can build, whatever light and air carry."""
    unlit = replace(bench.strain, ceiling_per_ml=math.inf)
    return ceiling(broth, unlit, bench.vessel.fill_l).per_ml


def _looked_at_ml(entry: Entry, density_per_ml: float) -> float | None:
    """The culture looked through at a count: from the squares, else from the cells and their density."""
    if entry.kind != "counted":
        return None
    cells, squares = entry.figure("cells"), entry.figure("squares")
    ml = None
    if squares:
        ml = squares * LARGE_SQUARE_ML / (entry.figure("dilution") or 1.0)
    elif cells and density_per_ml * _LOOKED_AT_MOST_ML > cells:
        ml = cells / density_per_ml
    return ml if ml is not None and _LOOKED_AT_LEAST_ML <= ml <= _LOOKED_AT_MOST_ML else None
