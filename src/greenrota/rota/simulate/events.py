"""Visits: the light records a forecast leaves behind, from which tasks, ledger, chart and score are made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from greenrota.culture.broth import Broth
from greenrota.rota.kinds import EventKind
from greenrota.rota.plan import Away
from greenrota.rota.simulate.projection import Projection
from greenrota.rota.state.state import Batch, vessel_and_number


@dataclass(frozen=True, slots=True)
class Event:
    """One thing to be done to a batch on a day.

    `volume_ml` is the culture that is moved: inoculum,
    harvest, keep-back or bottle filling. `label_doses_l` is the nutrient poured, in litres at label strength;
    `light_h` a photoperiod the new batch is put under instead of the vessel's usual one; `away` the days away for
    which a re-seed is thinner or darker, or a vessel is broken down; `barred`: what is harvested is suspect.
    """

    kind: EventKind
    on: date
    batch: Batch
    before: Broth | None
    after: Broth | None
    volume_ml: float = 0.0
    seawater_l: float = 0.0
    label_doses_l: float = 0.0
    light_h: float | None = None
    reason: str = ""
    away: Away | None = None
    barred: bool = False


@dataclass(frozen=True, slots=True)
class Interval:
    """A stretch in which nothing touches a batch: the broth at its first day and the day it ends (included).

    `light_h` is a photoperiod other than the vessel's usual one.
    """

    batch: Batch
    first: date
    last: date
    broth: Broth
    light_h: float | None = None


@dataclass(frozen=True, slots=True)
class Decisions:
    """Days to use instead of the forecast's own choice: harvests by batch id, starts by vessel."""

    harvests: Mapping[str, date] = field(default_factory=dict)
    starts: Mapping[str, date] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class HarvestChoice:
    """A harvest date that was chosen: the batch, what was looked at, and what was taken."""

    batch: Batch
    projection: Projection
    options: tuple[date, ...]
    taken: date | None


def first_starts(events: Iterable[Event]) -> dict[str, date]:
    """The days on which vessels are filled for the first time; restarts after a renewal or a crash are left out."""
    return {v.batch.vessel: v.on for v in events if v.kind == "start" and v.batch.number == 1}


def with_harvest(decisions: Decisions, batch: str, on: date) -> list[Decisions]:
    """The wishes with another day for a harvest: the later dates of the vessel kept, then with them left open."""
    later = _without_later(decisions.harvests, *vessel_and_number(batch))
    others = [decisions.harvests] if len(later) == len(decisions.harvests) else [decisions.harvests, later]
    return [Decisions({**harvests, batch: on}, decisions.starts) for harvests in others]


def with_start(decisions: Decisions, vessel: str, on: date) -> Decisions:
    """The wishes with another day for a first filling; the later dates of the vessel are left open."""
    return Decisions(_without_later(decisions.harvests, vessel, 0), {**decisions.starts, vessel: on})


def _without_later(harvests: Mapping[str, date], vessel: str, number: int) -> Mapping[str, date]:
    """The harvests without those of a vessel's batches after a number."""

    def is_later(batch: str) -> bool:
        name, counted = vessel_and_number(batch)
        return name == vessel and counted > number

    return {batch: day for batch, day in harvests.items() if not is_later(batch)}
