"""Start state: the state a simulation begins with."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from greenrota.rota.feed.bottles import BottleEntry
from greenrota.rota.plan import Plan
from greenrota.rota.state.opendays import DAY
from greenrota.rota.state.state import State, first_state


@dataclass(frozen=True, slots=True)
class StartState:
    """A state on a day, with what the logbook adds to it.

    `suspect` are batches and bottles that may not give; `emptied` the day a vessel was last emptied, `causes` why
    it crashed; `done` the ids of tasks already fulfilled or skipped; `renewals` whether the previous rota breaks
    a vessel down at the harvest of a batch (True) or re-seeds it; `put_off` the day on which a vessel's start or
    harvest was last skipped; `mixed_ml` the seawater of the prepare tasks done; `bottle_entries` what was logged of
    harvest bottles.
    """

    state: State
    as_of: date
    suspect: frozenset[str] = frozenset()
    emptied: Mapping[str, date] = field(default_factory=dict)
    causes: Mapping[str, str] = field(default_factory=dict)
    done: frozenset[str] = frozenset()
    renewals: Mapping[str, bool] = field(default_factory=dict)
    put_off: Mapping[str, date] = field(default_factory=dict)
    mixed_ml: Mapping[str, float] = field(default_factory=dict)
    bottle_entries: tuple[BottleEntry, ...] = ()

    def is_broken_down(self, vessel: str) -> bool:
        """Whether a vessel stands empty because somebody emptied it, and not because its culture was lost."""
        return vessel in self.emptied and vessel not in self.causes

    def not_before(self, vessel: str, least_on: date) -> date:
        """The first day from today on a vessel may be started or harvested: not on the day that was skipped."""
        put_off = self.put_off.get(vessel)
        return max(self.as_of, least_on, self.as_of if put_off is None else put_off + DAY)


def start_from_plan(plan: Plan) -> StartState:
    """The start state of a plan before anything was done."""
    return StartState(first_state(plan), plan.start)
