"""Start state: the state a simulation begins with."""

from collections.abc import Mapping
from datetime import date
from typing import NamedTuple

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.frozen import FrozenDict
from greenrota.rota.feed.bottles import BottleEntry
from greenrota.rota.plan import Plan
from greenrota.rota.state.opendays import DAY, OpenDays
from greenrota.rota.state.salt_water import MixedWater, Mixing
from greenrota.rota.state.state import State, first_state


class StartState(NamedTuple):
    """A state on a day, with what the logbook adds to it.

    `suspect` are batches and bottles that may not give; `emptied` the day a vessel was last emptied, `causes` why
    it crashed; `done` the ids of tasks already fulfilled or skipped; `renewals` whether the previous rota breaks
    a vessel down at the harvest of a batch (True) or re-seeds it; `put_off` the day on which a vessel's start or
    harvest was last skipped; `salt_water` what was mixed and is not poured yet; `bottle_entries` what was logged of
    harvest bottles; `rate_spreads` how unsure the growth rate of a vessel still is after its counts, by vessel, as the
    standard deviation of its natural log: that of the strain where nothing was counted.
    """

    state: State
    as_of: date
    suspect: frozenset[str] = frozenset()
    emptied: Mapping[str, date] = FrozenDict()
    causes: Mapping[str, str] = FrozenDict()
    done: frozenset[str] = frozenset()
    renewals: Mapping[str, bool] = FrozenDict()
    put_off: Mapping[str, date] = FrozenDict()
    salt_water: tuple[MixedWater, ...] = ()
    bottle_entries: tuple[BottleEntry, ...] = ()
    rate_spreads: Mapping[str, float] = FrozenDict()

    def is_broken_down(self, vessel: str) -> bool:
        """Whether a vessel stands empty because somebody emptied it, and not because its culture was lost."""
        return vessel in self.emptied and vessel not in self.causes

    def mixing(self, plan: Plan, open_days: OpenDays) -> Mixing:
        """What the days of mixing salt water depend on."""
        most_ml = plan.water.bucket_l * ML_PER_L
        return Mixing(open_days, self.as_of, most_ml, self.salt_water, self.done)

    def not_before(self, vessel: str, least_on: date) -> date:
        """The first day from today on a vessel may be started or harvested: not on the day that was skipped."""
        put_off = self.put_off.get(vessel)
        return max(self.as_of, least_on, self.as_of if put_off is None else put_off + DAY)


def start_from_plan(plan: Plan) -> StartState:
    """The start state of a plan before anything was done."""
    return StartState(first_state(plan), plan.start)
