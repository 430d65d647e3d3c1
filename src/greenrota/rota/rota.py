"""Rota: the result of scheduling, with everything a view or a check may want to know."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from datetime import date

from greenrota.errors import Problem
from greenrota.rota.feed.bottles import BottleRecord
from greenrota.rota.feed.daily import DailyRations, daily_rations
from greenrota.rota.plan import Plan
from greenrota.rota.replay.gone_vessels import GoneVessels
from greenrota.rota.replay.logged import Crash, DoubtfulCount, Inspection
from greenrota.rota.search.search import SearchResult
from greenrota.rota.simulate.context import Context, Settled, context_for, context_through
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.events import Interval
from greenrota.rota.simulate.simulation import Simulation
from greenrota.rota.simulate.start import StartState
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.cycle import Cycle
from greenrota.rota.state.lineage import Suspicion
from greenrota.rota.state.state import State
from greenrota.rota.tasks.task import Task
from greenrota.rota.warning import PlanWarning
from greenrota.rota.wording import numbered


@dataclass(frozen=True, slots=True)
class Rota:
    """A plan turned into dates.

    `start_state` is the state it was planned from, `previous` the dates it was to keep where they are still possible,
    `found` the result of the search with its score, `warnings` what to know before trusting it.

    The rest comes from the logbook: `past` intervals of batches, `crashes`, `suspects` by id of batch or bottle,
    `inspections` still to be made, `overdue` with the day each overdue task was due (by task id), `problems` of
    entries, `poured` mL by nutrient, vessels that are not in the plan, every harvest bottle with its state, ids of
    bottles found bad (`condemned`), and counts far below the projection.
    """

    context: Context
    as_of: date
    start_state: StartState
    previous: Decisions
    found: SearchResult
    tasks: tuple[Task, ...]
    warnings: tuple[PlanWarning, ...] = ()
    past: tuple[Interval, ...] = ()
    crashes: tuple[Crash, ...] = ()
    suspects: Mapping[str, Suspicion] = field(default_factory=dict)
    inspections: tuple[Inspection, ...] = ()
    overdue: Mapping[str, date] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    poured: Mapping[str, float] = field(default_factory=dict)
    gone_vessels: GoneVessels = field(default_factory=GoneVessels)
    bottles: tuple[BottleRecord, ...] = ()
    condemned: frozenset[str] = frozenset()
    doubtful_counts: tuple[DoubtfulCount, ...] = ()

    def __repr__(self) -> str:
        """One line; the records are there to be asked."""
        return (
            f"<Rota {self.plan.name!r} as of {self.as_of} through {self.through}: {numbered(len(self.tasks), 'task')}, "
            f"{numbered(len(self.warnings), 'warning')}, {numbered(len(self.bottles), 'harvest bottle')}>"
        )

    def __eq__(self, other: object) -> bool:
        """True for the same plan with the same result; what the search remembers of its way does not count."""
        if not isinstance(other, Rota):
            return NotImplemented
        return self.plan == other.plan and self._results() == other._results()

    def __reduce__(self) -> tuple[Callable[..., Rota], tuple[object, ...]]:
        """How pickle and copy make it again: from plan and results. The memory of the search is left behind.

        That memory goes by the identity of records, which a copy does not share.
        """
        return _again, (self.plan, self.context.through, self.context.settled, self._results())

    def _results(self) -> tuple[object, ...]:
        """Every field but the context, in order."""
        return tuple(getattr(self, each.name) for each in fields(self)[1:])

    @property
    def plan(self) -> Plan:
        """The plan behind it."""
        return self.context.plan

    @property
    def through(self) -> date:
        """Last day of the horizon, included."""
        return self.context.through

    @property
    def benches(self) -> Mapping[str, Bench]:
        """The vessels' benches by name."""
        return self.context.benches

    @property
    def cycles(self) -> Mapping[str, Cycle]:
        """How each vessel is worked, by name."""
        return self.context.cycles

    @property
    def simulation(self) -> Simulation:
        """The simulation from which the tasks were made."""
        return self.found.simulated

    @property
    def withheld(self) -> tuple[BottleRecord, ...]:
        """The suspect or condemned harvest bottles that are not empty: nothing of them may be given."""
        return tuple(record for record in self.bottles if record.withheld and not record.planned)

    def rations(self) -> DailyRations:
        """Harvest bottles and rations day by day, from the first day of the plan to the end of the horizon."""
        entries = self.start_state.bottle_entries
        return daily_rations(self.plan, self.simulation.state.harvests, self.through, entries)

    @property
    def state(self) -> State:
        """The state the rota was planned from."""
        return self.start_state.state


def _again(plan: Plan, through: date, settled: Settled | None, results: tuple[object, ...]) -> Rota:
    """The rota of a plan up to a day from its other fields, in order."""
    return Rota(context_through(context_for(plan), through, settled), *results)  # type: ignore[arg-type]
