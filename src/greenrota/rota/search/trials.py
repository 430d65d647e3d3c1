"""Trials: decisions simulated and scored one after the other, within a budget; the best is kept.

The budget counts simulated batches, not seconds, so the same plan gives the same rota on every machine.
"""

from collections.abc import Callable, Mapping
from datetime import date
from functools import cached_property
from typing import TYPE_CHECKING, NamedTuple

from greenrota.rota.search.score import Score, Scorer
from greenrota.rota.simulate.context import Context
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.events import HarvestChoice, first_starts
from greenrota.rota.simulate.simulation import Simulation, simulate
from greenrota.rota.simulate.start import StartState
from greenrota.rota.state.sharing import Sharing
from greenrota.rota.state.state import vessel_of

if TYPE_CHECKING:
    from greenrota.rota.search.stands import Stands

BETTER = 1e-9  # less is rounding

Progress = Callable[[float], None]


class BudgetSpent(Exception):
    """The next trial would cost more than the budget has left."""


class Trial(NamedTuple):
    """One set of decisions with its simulation and its score.

    `decisions` are what was done within the horizon, and lead to the same simulation again, unless days after it were
    decided before: those are not among them. Shares of a starter may then differ by rounding.
    """

    decisions: Decisions
    simulated: Simulation
    score: Score


class Trials:
    """Tries decisions from one start state and keeps the best.

    `budget` and `limit` are in simulated batches: `progress` gets the share of `budget` that is spent, 0..1, and a
    trial that would take `spent` past `limit` raises BudgetSpent. The first trial holds `first` (None: `previous`) and
    costs nothing.
    """

    def __init__(
        self,
        context: Context,
        start_state: StartState,
        previous: Decisions,
        progress: Progress | None,
        first: Decisions | None = None,
    ) -> None:
        self.context = context
        self.start_state = start_state
        self.previous = previous
        self.progress = progress
        self.scorer = Scorer(context, start_state, previous)
        self.spent = self.budget = self.limit = 0
        self.best = self._try(previous if first is None else first)

    @cached_property
    def stands(self) -> "Stands":
        """What the batches of each vessel cost by how long they stand; loaded for a search only."""
        from greenrota.rota.search.stands import Stands

        return Stands(self.context, self.scorer, self.start_state.as_of)

    def give_budget(self, budget: int, limit: int | None = None) -> None:
        """Begin a new budget; `limit` is where it really ends, if not at the budget itself."""
        self.spent, self.budget, self.limit = 0, budget, budget if limit is None else limit

    def weigh(self, decisions: Decisions) -> Trial:
        """Simulate and score; remember the best. Raises BudgetSpent."""
        if self.spent + self.cost(self.best) > self.limit:
            raise BudgetSpent
        found = self._try(decisions)
        self.spent += self.cost(found)
        if self.progress is not None:
            self.progress(min(1.0, self.spent / self.budget))
        if found.score.total < self.best.score.total - BETTER:
            self.best = found
        return found

    def _try(self, decisions: Decisions) -> Trial:
        simulated = simulate(self.context, self.start_state, decisions)
        return Trial(_taken(simulated, self.previous), simulated, self.scorer.score(simulated))

    def cost(self, trial: Trial) -> int:
        """What a simulation costs, in batches; a vessel that waits all the time costs as much as one batch."""
        return max(len(trial.simulated.choices), len(self.context.benches))

    def free_starts(self, at: Trial) -> dict[str, tuple[date, ...]]:
        """The possible days of each start that no previous decision holds."""
        options = at.simulated.start_options
        return {vessel: days for vessel, days in options.items() if vessel not in self.previous.starts}

    def free_choices(self, at: Trial) -> list[HarvestChoice]:
        """The harvests that may be moved: those with several possible days, unless a previous decision holds them."""
        held = self.previous.harvests
        return [
            choice
            for choice in at.simulated.choices
            if len(choice.options) > 1 and held.get(choice.batch.id) not in choice.options
        ]

    def free_topups(self, at: Trial) -> dict[str, tuple[date, ...]]:
        """The days of each top-up that may be moved, by the id of its task, as `free_choices`."""
        return _movable({each.task: each.options for each in at.simulated.topups}, self.previous.topups)

    def free_restarts(self, at: Trial) -> dict[str, tuple[date, ...]]:
        """The days of each restart that may be moved, by the batch that it opens, as `free_choices`."""
        return _movable({each.batch: each.options for each in at.simulated.restarts}, self.previous.restarts)

    def free_sharings(self, at: Trial) -> dict[str, tuple[Sharing, ...]]:
        """The ways to share out each starter that no previous decision holds, nor the start of one of its vessels."""
        held = self.previous
        return {
            each.taken.source: each.ways
            for each in at.simulated.allotments
            if each.taken.source not in held.sharings
            and len(each.ways) > 1
            and held.starts.keys().isdisjoint(each.taken.vessels)
        }

    def free_keeps(self, at: Trial) -> dict[str, tuple[float, ...]]:
        """The carry-overs of each harvest that no previous decision holds, by batch; sorted."""
        held = self.previous.keeps
        cycles = self.context.cycles
        return {
            batch: cycles[vessel_of(batch)].carry_overs for batch in at.simulated.keeps if batch not in held
        }


def better(trials: Trials, at: Trial, decisions: Decisions) -> Trial:
    """What the decisions lead to if that is better, else the rota as it is. Raises BudgetSpent."""
    found = trials.weigh(decisions)
    return found if found.score.total < at.score.total - BETTER else at


def _movable(
    options: Mapping[str, tuple[date, ...]], held: Mapping[str, date]
) -> dict[str, tuple[date, ...]]:
    """The days of what has several, unless one of them is held."""
    return {name: days for name, days in options.items() if len(days) > 1 and held.get(name) not in days}


def _taken(simulated: Simulation, previous: Decisions) -> Decisions:
    """What a simulation did, as decisions; how starters were shared out before stays known."""
    harvests = {choice.batch.id: choice.taken for choice in simulated.choices if choice.taken is not None}
    taken = {each.taken.source: each.taken for each in simulated.allotments}
    sharings = {**previous.sharings, **taken}
    topups = {choice.task: choice.taken for choice in simulated.topups}
    restarts = {choice.batch: choice.taken for choice in simulated.restarts}
    return Decisions(harvests, first_starts(simulated.events), simulated.keeps, sharings, topups, restarts)
