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

from greenrota.rota.forecast import Forecast, forecast
from greenrota.rota.score import Judge, Score
from greenrota.rota.setting import Setting
from greenrota.rota.standpoint import Standpoint
from greenrota.rota.visit import Choice, Wishes, first_starts, with_harvest, with_start

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
class Found:
    """The best rota found: its dates, the walk, the score, and how sure it is.

    `exact` is True when every choice was tried; `cut_short` when the search was interrupted.
    """

    wishes: Wishes
    walked: Forecast
    score: Score
    exact: bool = False
    cut_short: bool = False


def search(
    setting: Setting,
    standpoint: Standpoint,
    standing: Wishes,
    progress: Progress | None = None,
    budget: int | None = None,
) -> Found:
    """The best dates found from a standpoint. The dates in `standing` are held as long as they are possible.

    `progress` is told the share of the budget that is spent, 0..1; `budget` is in walked batches, and with none
    nothing is tried: the standing dates stay, the others are the first that will do. A KeyboardInterrupt ends the
    search with the best so far, marked `cut_short`.
    """
    return _Search(setting, standpoint, standing, progress, budget).run()


class _Spent(Exception):
    """The budget is used up."""


class _Search:
    def __init__(
        self,
        setting: Setting,
        standpoint: Standpoint,
        standing: Wishes,
        progress: Progress | None,
        budget: int | None,
    ) -> None:
        self.setting = setting
        self.standpoint = standpoint
        self.standing = standing
        self.judge = Judge(setting, standpoint, standing)
        self.progress = progress
        self.dice = random.Random(0)  # a fixed seed: the same plan gives the same rota
        self.spent = 0
        first = forecast(setting, standpoint, standing)
        size = len(first.choices)
        usual = min(MOST_BATCHES, max(FEWEST_BATCHES, size**3 // CUBE_OVER))
        if size > HUGE_BATCHES:
            usual = 0
        self.budget = self.limit = usual if budget is None else budget
        self.best = Found(_taken(first), first, self.judge.score(first))

    def run(self) -> Found:
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

    def _found(self, exact: bool = False, cut_short: bool = False) -> Found:
        best = self.best
        return Found(best.wishes, best.walked, best.score, exact, cut_short)

    def _weigh(self, wishes: Wishes) -> Found:
        """Walk and score; remember the best."""
        if self.spent + self._cost(self.best.walked) > self.limit:
            raise _Spent
        walked = forecast(self.setting, self.standpoint, wishes)
        self.spent += self._cost(walked)
        if self.progress is not None:
            self.progress(min(1.0, self.spent / self.budget))
        found = Found(_taken(walked), walked, self.judge.score(walked))
        if found.score.total < self.best.score.total - BETTER:
            self.best = found
        return found

    def _cost(self, walked: Forecast) -> int:
        """What a walk costs, in batches; a vessel that waits all the time costs as much as one batch."""
        return max(len(walked.choices), len(self.setting.benches))

    def _enumerate(self) -> bool:
        """Try every choice there is, depth first; False if they are too many."""
        if self.budget <= 0 or self._ways() * self._cost(self.best.walked) > EXACT_BATCHES:
            return False
        self.limit = int(EXACT_BATCHES * EXACT_SLACK)
        try:
            for starts in self._start_sets():
                self._deepen(Wishes(self.standing.harvests, starts))
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
            yield {**self.standing.starts, **dict(zip(free, days, strict=True))}

    def _free_starts(self, at: Found) -> dict[str, tuple[date, ...]]:
        options = at.walked.start_options
        return {vessel: days for vessel, days in options.items() if vessel not in self.standing.starts}

    def _free_choices(self, at: Found) -> list[Choice]:
        """The harvests that may be moved: those with several days, unless the standing rota holds them."""
        held = self.standing.harvests
        return [
            choice
            for choice in at.walked.choices
            if len(choice.options) > 1 and held.get(choice.batch.id) not in choice.options
        ]

    def _deepen(self, wishes: Wishes) -> None:
        found = self._weigh(wishes)
        for choice in self._free_choices(found):
            if choice.batch.id not in wishes.harvests:
                for day in choice.options:
                    self._deepen(Wishes({**wishes.harvests, choice.batch.id: day}, wishes.starts))
                return

    def _descend(self, at: Found) -> None:
        """Change one date at a time as long as that helps."""
        improved = True
        while improved:
            improved = False
            for key in self._keys(at):
                better = self._best_of(at, key)
                if better is not None:
                    at, improved = better, True

    def _keys(self, at: Found) -> list[str]:
        return [*self._free_starts(at), *(choice.batch.id for choice in self._free_choices(at))]

    def _best_of(self, at: Found, key: str) -> Found | None:
        """The best rota that differs in one date (and in what follows from it); None if none is better."""
        best = None
        for wishes in self._neighbours(at, key):
            found = self._weigh(wishes)
            if found.score.total < (best or at).score.total - BETTER:
                best = found
        return best

    def _neighbours(self, at: Found, key: str) -> Iterator[Wishes]:
        """Other days for one start or harvest: with the later dates of the vessel kept, and with them chosen anew."""
        if key in at.walked.start_options:
            for day in at.walked.start_options[key]:
                if day != at.wishes.starts.get(key):
                    yield with_start(at.wishes, key, day)
            return
        options = next((choice.options for choice in at.walked.choices if choice.batch.id == key), ())
        for day in options:
            if day != at.wishes.harvests.get(key):
                yield from with_harvest(at.wishes, key, day)

    def _leaning(self, lean: Callable[[Choice], date]) -> Found:
        """A rota with every harvest on the day that `lean` likes: another place to set out from."""
        found = self.best
        for _ in found.walked.choices:
            days = {choice.batch.id: lean(choice) for choice in self._free_choices(found)}
            if days.items() <= found.wishes.harvests.items():
                break
            found = self._weigh(Wishes({**self.standing.harvests, **days}, self.standing.starts))
        return found

    def _by_interval(self, choice: Choice) -> date:
        """The first possible day once the usual interval has passed, as a wall calendar would have it."""
        batch = choice.batch
        due = batch.started + timedelta(days=self.setting.cycles[batch.vessel].days)
        return next((day for day in choice.options if day >= due), choice.options[-1])

    def _kicked(self, at: Found) -> Found:
        """The best rota with a few dates thrown, to get out of a dead end."""
        free = self._free_choices(at)
        if not free:
            raise _Spent
        harvests = dict(at.wishes.harvests)
        for choice in self.dice.sample(free, min(KICKS, len(free))):
            harvests[choice.batch.id] = self.dice.choice(choice.options)
        return self._weigh(Wishes(harvests, at.wishes.starts))


def _first_day(choice: Choice) -> date:
    return choice.options[0]


def _last_day(choice: Choice) -> date:
    return choice.options[-1]


def _taken(walked: Forecast) -> Wishes:
    """The dates of a walk as wishes that would lead to it again."""
    harvests = {choice.batch.id: choice.taken for choice in walked.choices if choice.taken is not None}
    return Wishes(harvests, first_starts(walked.visits))
