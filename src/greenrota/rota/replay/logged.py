"""Logged state: all that follows from the logbook up to a day, and what has to be inspected."""

from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple

from greenrota.errors import Problem
from greenrota.rota.feed.bottles import BottleEntry
from greenrota.rota.replay.gone_vessels import GoneVessels
from greenrota.rota.simulate.recorder import Recorder
from greenrota.rota.simulate.start import StartState
from greenrota.rota.state.lineage import Suspicion
from greenrota.rota.state.salt_water import MixedWater


class Crash(NamedTuple):
    """A lost batch: its vessel, the day the loss was seen, the cause, and since when something may have been wrong."""

    vessel: str
    batch: str
    on: date
    cause: str
    since: date


class DoubtfulCount(NamedTuple):
    """A count far below what was projected, in cells per mL: a crash, or a slip of the counting."""

    vessel: str
    batch: str
    on: date
    counted_per_ml: float
    projected_per_ml: float


@dataclass(slots=True)
class LoggedState:
    """The state on a day by the logbook.

    `recorder` holds the state and the intervals of every batch so far; `done` the ids of tasks that were fulfilled
    or skipped; `put_off` the day on which a vessel's start or harvest was last skipped; `problems` what could not
    be taken as written; `poured` mL by nutrient; `salt_water` what was mixed, less what was poured since;
    `gone_vessels` the vessels that are not in the plan. `bottle_entries` are what happened to harvest bottles,
    `condemned` those of them that were looked at and found bad; `doubtful_counts` are by vessel.
    `planned_starts` are the cells per mL that the amounts poured at a start should give, by batch; a guess is left out.
    """

    recorder: Recorder
    as_of: date
    crashes: list[Crash] = field(default_factory=list)
    suspects: dict[str, Suspicion] = field(default_factory=dict)
    done: set[str] = field(default_factory=set)
    put_off: dict[str, date] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    poured: dict[str, float] = field(default_factory=dict)
    salt_water: tuple[MixedWater, ...] = ()
    gone_vessels: GoneVessels = field(default_factory=GoneVessels)
    bottle_entries: list[BottleEntry] = field(default_factory=list)
    condemned: set[str] = field(default_factory=set)
    doubtful_counts: dict[str, DoubtfulCount] = field(default_factory=dict)
    planned_starts: dict[str, float] = field(default_factory=dict)

    def copy(self, as_of: date) -> "LoggedState":
        """The state on a day, in a copy that stays as it is when more of the logbook is read."""
        return LoggedState(
            self.recorder.copy(),
            as_of,
            list(self.crashes),
            dict(self.suspects),
            set(self.done),
            dict(self.put_off),
            list(self.problems),
            dict(self.poured),
            self.salt_water,
            self.gone_vessels.copy(),
            list(self.bottle_entries),
            set(self.condemned),
            dict(self.doubtful_counts),
            dict(self.planned_starts),
        )

    def start_state(self) -> StartState:
        """Where the simulation from that day on starts."""
        causes = {crash.vessel: f"{crash.cause} on {crash.on}" for crash in self.crashes}
        return StartState(
            state=self.recorder.state,
            as_of=self.as_of,
            suspect=frozenset(self.suspects),
            emptied=dict(self.recorder.emptied),
            causes={name: why for name, why in causes.items() if name not in self.recorder.state.cultures},
            done=frozenset(self.done),
            put_off=dict(self.put_off),
            salt_water=self.salt_water,
            bottle_entries=tuple(self.bottle_entries),
        )


class Inspection(NamedTuple):
    """Something that may be contaminated: look at it, then log it as cleared or condemned."""

    subject: str
    on: date
    since: date
    because: str


def inspections(logged: LoggedState) -> tuple[Inspection, ...]:
    """Every suspect culture in a vessel or in the fridge, by the day of suspicion; harvest bottles are left out."""
    state = logged.recorder.state
    alive = {culture.batch.id for culture in state.cultures.values()} | set(state.bottles)
    found = [
        Inspection(subject, logged.as_of, why.since, why.because)
        for subject, why in logged.suspects.items()
        if subject in alive
    ]
    return tuple(sorted(found, key=lambda each: (each.since, each.subject)))
