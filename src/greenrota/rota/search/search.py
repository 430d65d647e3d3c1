"""Search: the best harvest and start dates, exact where a plan is small, a good search beyond.

Every candidate is a set of `Wishes` walked by `forecast` and scored by `Judge`; the search knows no rule of its own.
It is deterministic: it counts walks, not seconds.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import product
from math import prod

from greenrota.rota.search.score import Score, Scorer
from greenrota.rota.simulate.context import Context
from greenrota.rota.simulate.events import Decisions, HarvestChoice, first_starts, with_harvest, with_start
from greenrota.rota.simulate.simulation import Simulation, simulate
from greenrota.rota.simulate.start import StartState

# Walked batches a search may take: the cube of the rota's batches over twelve, within bounds. Three vessels and a month
# take a twentieth of a second on a small computer, eight vessels and two months about one. Our choice.
CUBE_OVER = 12
HUGE_BATCHES = 2_500  # a rota of more, some fifty vessels for a year, is left as its first walk has it
FEWEST_BATCHES, MOST_BATCHES = 1_000, 40_000
EXACT_BATCHES = 10_000  # walked batches that trying everything may look like taking at the most; our choice
EXACT_SLACK = 2.0  # times that it may really take, for the first walk does not show every choice; our choice
KICKS = 3  # choices changed at once when the search starts afresh from its best; our choice
BETTER = 1e-9  # less is rounding

Progress = Callable[[float], None]


@dataclass(frozen=True, slots=True)
class SearchResult:
    """The best rota found: its dates, the walk, the score, and how sure it is.

    `exact` is True when every choice was tried; `cut_short` when the search was interrupted.
    """

    decisions: Decisions
    simulated: Simulation
    score: Score
    exact: bool = False
    cut_short: bool = False


def search(
    context: Context,
    start_state: StartState,
    previous: Decisions,
    progress: Progress | None = None,
    budget: int | None = None,
) -> SearchResult:
    """The best dates found from a standpoint. The dates in `standing` are held as long as they are possible.

    `progress` is told the share of the budget that is spent, 0..1; `budget` is in walked batches, and with none
    nothing is tried: the standing dates stay, the others are the first that will do. A KeyboardInterrupt ends the
    search with the best so far, marked `cut_short`.
    """
    return _Search(context, start_state, previous, progress, budget).run()


class _Spent(Exception):
    """The budget is used up."""


class _Search:
    def __init__(
        self,
        context: Context,
        start_state: StartState,
        previous: Decisions,
        progress: Progress | None,
        budget: int | None,
    ) -> None:
        self.context = context
        self.start_state = start_state
        self.previous = previous
        self.scorer = Scorer(context, start_state, previous)
        self.progress = progress
        self.dice = random.Random(0)  # a fixed seed: the same plan gives the same rota
        self.spent = 0
        first = simulate(context, start_state, previous)
        size = len(first.choices)
        usual = min(MOST_BATCHES, max(FEWEST_BATCHES, size**3 // CUBE_OVER))
        if size > HUGE_BATCHES:
            usual = 0
        self.budget = self.limit = usual if budget is None else budget
        self.best = SearchResult(_taken(first), first, self.scorer.score(first))

    def run(self) -> SearchResult:
        try:
            if self._enumerate():
                return self._found(exact=True)
            self.spent, self.limit = 0, self.budget
            leans = (self._by_interval, _first_day, _last_day)
            places = [self.best, *(self._leaning(lean) for lean in leans)]
            for place in sorted(places, key=lambda found: found.score.total):
                self._descend(place)
            while True:
                self._descend(self._kicked(self.best))
        except _Spent:
            return self._found()
        except KeyboardInterrupt:
            return self._found(cut_short=True)

    def _found(self, exact: bool = False, cut_short: bool = False) -> SearchResult:
        best = self.best
        return SearchResult(best.decisions, best.simulated, best.score, exact, cut_short)

    def _weigh(self, decisions: Decisions) -> SearchResult:
        """Walk and score; remember the best."""
        if self.spent + self._cost(self.best.simulated) > self.limit:
            raise _Spent
        simulated = simulate(self.context, self.start_state, decisions)
        self.spent += self._cost(simulated)
        if self.progress is not None:
            self.progress(min(1.0, self.spent / self.budget))
        found = SearchResult(_taken(simulated), simulated, self.scorer.score(simulated))
        if found.score.total < self.best.score.total - BETTER:
            self.best = found
        return found

    def _cost(self, simulated: Simulation) -> int:
        """What a walk costs, in batches; a vessel that waits all the time costs as much as one batch."""
        return max(len(simulated.choices), len(self.context.benches))

    def _enumerate(self) -> bool:
        """Try every choice there is, depth first; False if they are too many."""
        if self.budget <= 0 or self._ways() * self._cost(self.best.simulated) > EXACT_BATCHES:
            return False
        self.limit = int(EXACT_BATCHES * EXACT_SLACK)
        try:
            for starts in self._start_sets():
                self._deepen(Decisions(self.previous.harvests, starts))
        except _Spent:
            return False
        return True

    def _ways(self) -> int:
        """How many rotas there are, as far as the first walk shows."""
        days = [*self._free_starts(self.best).values(), *(c.options for c in self._free_choices(self.best))]
        return prod(map(len, days))

    def _start_sets(self) -> Iterator[dict[str, date]]:
        """Every way to choose the starts that are free; one at a time, for they can be many."""
        free = self._free_starts(self.best)
        for days in product(*free.values()):
            yield {**self.previous.starts, **dict(zip(free, days, strict=True))}

    def _free_starts(self, at: SearchResult) -> dict[str, tuple[date, ...]]:
        options = at.simulated.start_options
        return {vessel: days for vessel, days in options.items() if vessel not in self.previous.starts}

    def _free_choices(self, at: SearchResult) -> list[HarvestChoice]:
        """The harvests that may be moved: those with several days, unless the standing rota holds them."""
        held = self.previous.harvests
        return [
            choice
            for choice in at.simulated.choices
            if len(choice.options) > 1 and held.get(choice.batch.id) not in choice.options
        ]

    def _deepen(self, decisions: Decisions) -> None:
        found = self._weigh(decisions)
        for choice in self._free_choices(found):
            if choice.batch.id not in decisions.harvests:
                for day in choice.options:
                    self._deepen(Decisions({**decisions.harvests, choice.batch.id: day}, decisions.starts))
                return

    def _descend(self, at: SearchResult) -> None:
        """Change one date at a time as long as that helps."""
        improved = True
        while improved:
            improved = False
            for key in self._keys(at):
                better = self._best_of(at, key)
                if better is not None:
                    at, improved = better, True

    def _keys(self, at: SearchResult) -> list[str]:
        return [*self._free_starts(at), *(choice.batch.id for choice in self._free_choices(at))]

    def _best_of(self, at: SearchResult, key: str) -> SearchResult | None:
        """The best rota that differs in one date (and in what follows from it); None if none is better."""
        best = None
        for decisions in self._neighbours(at, key):
            found = self._weigh(decisions)
            if found.score.total < (best or at).score.total - BETTER:
                best = found
        return best

    def _neighbours(self, at: SearchResult, key: str) -> Iterator[Decisions]:
        """Other days for one start or harvest: with the later dates of the vessel kept, and with them chosen anew."""
        if key in at.simulated.start_options:
            for day in at.simulated.start_options[key]:
                if day != at.decisions.starts.get(key):
                    yield with_start(at.decisions, key, day)
            return
        options = next((choice.options for choice in at.simulated.choices if choice.batch.id == key), ())
        for day in options:
            if day != at.decisions.harvests.get(key):
                yield from with_harvest(at.decisions, key, day)

    def _leaning(self, lean: Callable[[HarvestChoice], date]) -> SearchResult:
        """A rota with every harvest on the day that `lean` likes: another place to set out from."""
        found = self.best
        for _ in found.simulated.choices:
            days = {choice.batch.id: lean(choice) for choice in self._free_choices(found)}
            if days.items() <= found.decisions.harvests.items():
                break
            found = self._weigh(Decisions({**self.previous.harvests, **days}, self.previous.starts))
        return found

    def _by_interval(self, choice: HarvestChoice) -> date:
        """The first possible day once the usual interval has passed, as a wall calendar would have it."""
        batch = choice.batch
        due = batch.started + timedelta(days=self.context.cycles[batch.vessel].days)
        return next((day for day in choice.options if day >= due), choice.options[-1])

    def _kicked(self, at: SearchResult) -> SearchResult:
        """The best rota with a few dates thrown, to get out of a dead end."""
        free = self._free_choices(at)
        if not free:
            raise _Spent
        harvests = dict(at.decisions.harvests)
        for choice in self.dice.sample(free, min(KICKS, len(free))):
            harvests[choice.batch.id] = self.dice.choice(choice.options)
        return self._weigh(Decisions(harvests, at.decisions.starts))


def _first_day(choice: HarvestChoice) -> date:
    return choice.options[0]


def _last_day(choice: HarvestChoice) -> date:
    return choice.options[-1]


def _taken(simulated: Simulation) -> Decisions:
    """The dates of a walk as wishes that would lead to it again."""
    harvests = {choice.batch.id: choice.taken for choice in simulated.choices if choice.taken is not None}
    return Decisions(harvests, first_starts(simulated.events))
