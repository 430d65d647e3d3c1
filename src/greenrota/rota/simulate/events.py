"""Events and intervals: the records of a simulation, from which tasks, rations, charts and the score are made."""

from collections.abc import Iterable
from datetime import date
from typing import NamedTuple

from greenrota.culture.growth.broth import ML_PER_L, Broth
from greenrota.rota.ids import prepare_id, task_id
from greenrota.rota.kinds import EventKind
from greenrota.rota.plan import Away
from greenrota.rota.simulate.before_away import Reseeding
from greenrota.rota.simulate.projection import Projection
from greenrota.rota.simulate.restarts import Restart
from greenrota.rota.state.backups import BankOrder
from greenrota.rota.state.salt_water import Fill
from greenrota.rota.state.state import Batch


class FirstFilling(NamedTuple):
    """A vessel is filled for the first time: from a harvest of its strain, or from a starter."""

    from_harvest: bool


Facts = FirstFilling | Restart | Reseeding | BankOrder


class Event(NamedTuple):
    """One thing to be done to a batch on a day.

    `volume_ml` is the culture that is moved: inoculum, harvest, keep-back or bottle filling. `label_doses_l` is the
    nutrient poured, in litres at label strength; `barred`: what is harvested is suspect. `number` tells the top-ups of
    a batch apart, from 1 on. `facts` are what led to it, for a start, a re-seed, a renewal and a back-up.
    """

    kind: EventKind
    on: date
    batch: Batch
    before: Broth | None
    after: Broth | None
    volume_ml: float = 0.0
    seawater_l: float = 0.0
    label_doses_l: float = 0.0
    barred: bool = False
    number: int = 1
    facts: Facts | None = None

    @property
    def light_h(self) -> float | None:
        """A photoperiod that a re-seeded batch is put under instead of the vessel's usual one."""
        return self.facts.light_h if isinstance(self.facts, Reseeding) else None

    @property
    def away(self) -> Away | None:
        """The days away for which a re-seed is thinner or darker, or a vessel is broken down."""
        return self.facts.away if isinstance(self.facts, Reseeding) else None


class Interval(NamedTuple):
    """A stretch of days in which nothing is done to a batch: its broth on the first day, and the last day (included).

    `light_h` is a photoperiod other than the vessel's usual one.
    """

    batch: Batch
    first: date
    last: date
    broth: Broth
    light_h: float | None = None


class HarvestChoice(NamedTuple):
    """A harvest day that was chosen: the batch, its projection, the possible days, and the day taken (None: none)."""

    batch: Batch
    projection: Projection
    options: tuple[date, ...]
    taken: date | None


class TopUpChoice(NamedTuple):
    """A day that was chosen for a top-up: the id of its task, its batch, the possible days, and the day taken."""

    task: str
    batch: Batch
    options: tuple[date, ...]
    taken: date


class RestartChoice(NamedTuple):
    """A day that was chosen to restart an emptied vessel: the batch it opens, the possible days, and the day taken."""

    batch: str
    options: tuple[date, ...]
    taken: date


def first_starts(events: Iterable[Event]) -> dict[str, date]:
    """The days on which vessels are filled for the first time; restarts after a renewal or a crash are left out."""
    return {v.batch.vessel: v.on for v in events if v.kind == "start" and v.batch.number == 1}


def fills_of(events: Iterable[Event]) -> list[Fill]:
    """The salt water that events pour, one after the other."""
    return [
        Fill(
            event.on,
            task_id(event.batch.id, event.kind, event.number),
            prepare_id(event.batch.id, event.kind, event.number),
            event.batch.id,
            event.seawater_l * ML_PER_L,
            event.kind == "start",
        )
        for event in events
        if event.seawater_l > 0.0
    ]
