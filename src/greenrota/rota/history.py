"""History: what the logbook tells, folded up to a day."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from greenrota.errors import Problem
from greenrota.rota.diary import Diary
from greenrota.rota.elsewhere import Elsewhere
from greenrota.rota.lineage import Suspicion
from greenrota.rota.standpoint import Standpoint


@dataclass(frozen=True, slots=True)
class Crash:
    """A batch that was lost: its vessel, the day it was seen, why, and since when it may have been wrong."""

    vessel: str
    batch: str
    on: date
    cause: str
    since: date


@dataclass(slots=True)
class History:
    """The state on a day as the logbook tells it.

    `diary` holds the shelf and the stretches of every batch so far; `done` the ids of tasks that were fulfilled
    or skipped; `put_off` the day on which a vessel's start or harvest was last skipped; `problems` what could not
    be taken as written; `poured` mL by nutrient; `elsewhere` the vessels that are not in the plan.
    """

    diary: Diary
    as_of: date
    crashes: list[Crash] = field(default_factory=list)
    suspects: dict[str, Suspicion] = field(default_factory=dict)
    done: set[str] = field(default_factory=set)
    put_off: dict[str, date] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    poured: dict[str, float] = field(default_factory=dict)
    elsewhere: Elsewhere = field(default_factory=Elsewhere)

    def standpoint(self) -> Standpoint:
        """The standpoint for planning forward from that day."""
        causes = {crash.vessel: f"{crash.cause} on {crash.on}" for crash in self.crashes}
        return Standpoint(
            shelf=self.diary.shelf,
            as_of=self.as_of,
            suspect=frozenset(self.suspects),
            emptied=dict(self.diary.emptied),
            causes={name: why for name, why in causes.items() if name not in self.diary.shelf.standing},
            done=frozenset(self.done),
            put_off=dict(self.put_off),
        )
