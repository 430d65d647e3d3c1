"""History: what the logbook tells, folded up to a day."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from greenrota.errors import Problem
from greenrota.rota.replay.gone_vessels import GoneVessels
from greenrota.rota.simulate.recorder import Recorder
from greenrota.rota.simulate.start import StartState
from greenrota.rota.state.lineage import Suspicion


@dataclass(frozen=True, slots=True)
class Crash:
    """A batch that was lost: its vessel, the day it was seen, why, and since when it may have been wrong."""

    vessel: str
    batch: str
    on: date
    cause: str
    since: date


@dataclass(slots=True)
class LoggedState:
    """The state on a day as the logbook tells it.

    `diary` holds the shelf and the stretches of every batch so far; `done` the ids of tasks that were fulfilled
    or skipped; `put_off` the day on which a vessel's start or harvest was last skipped; `problems` what could not
    be taken as written; `poured` mL by nutrient; `elsewhere` the vessels that are not in the plan.
    """

    recorder: Recorder
    as_of: date
    crashes: list[Crash] = field(default_factory=list)
    suspects: dict[str, Suspicion] = field(default_factory=dict)
    done: set[str] = field(default_factory=set)
    put_off: dict[str, date] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    poured: dict[str, float] = field(default_factory=dict)
    gone_vessels: GoneVessels = field(default_factory=GoneVessels)

    def start_state(self) -> StartState:
        """The standpoint for planning forward from that day."""
        causes = {crash.vessel: f"{crash.cause} on {crash.on}" for crash in self.crashes}
        return StartState(
            state=self.recorder.state,
            as_of=self.as_of,
            suspect=frozenset(self.suspects),
            emptied=dict(self.recorder.emptied),
            causes={name: why for name, why in causes.items() if name not in self.recorder.state.cultures},
            done=frozenset(self.done),
            put_off=dict(self.put_off),
        )
