"""Local search: change one date at a time as long as that helps, then throw a few dates and begin again.

Deterministic: the random numbers have a fixed seed.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from functools import partial
from typing import NoReturn

from greenrota.rota.search.trials import BETTER, BudgetSpent, Trial, Trials
from greenrota.rota.simulate.context import Context
from greenrota.rota.simulate.events import Decisions, HarvestChoice, with_harvest, with_start

KICKS = 3  # harvest days changed at once when the search begins again from its best; our choice


def search_until_spent(trials: Trials) -> NoReturn:
    """Search from four different rotas, the best first, then from the best with a few dates thrown.

    Ends by BudgetSpent only; what was found is `trials.best`.
    """
    dice = random.Random(0)  # a fixed seed: the same plan gives the same rota
    rules = (partial(_by_interval, trials.context), _first_day, _last_day)
    begins = [trials.best, *(_by_rule(trials, rule) for rule in rules)]
    for begin in sorted(begins, key=lambda trial: trial.score.total):
        _descend(trials, begin)
    while True:
        _descend(trials, _kicked(trials, dice))


def _descend(trials: Trials, at: Trial) -> None:
    """Change one date at a time as long as that helps."""
    improved = True
    while improved:
        improved = False
        for key in [*trials.free_starts(at), *(choice.batch.id for choice in trials.free_choices(at))]:
            better = _best_of(trials, at, key)
            if better is not None:
                at, improved = better, True


def _best_of(trials: Trials, at: Trial, key: str) -> Trial | None:
    """The best rota that differs in one date (and in what follows from it); None if none is better."""
    best = None
    for decisions in _neighbours(at, key):
        found = trials.weigh(decisions)
        if found.score.total < (best or at).score.total - BETTER:
            best = found
    return best


def _neighbours(at: Trial, key: str) -> Iterator[Decisions]:
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


def _by_rule(trials: Trials, rule: Callable[[HarvestChoice], date]) -> Trial:
    """A rota with every free harvest on the day that a rule picks: another place to search from."""
    previous, found = trials.previous, trials.best
    for _ in found.simulated.choices:
        days = {choice.batch.id: rule(choice) for choice in trials.free_choices(found)}
        if days.items() <= found.decisions.harvests.items():
            break
        found = trials.weigh(Decisions({**previous.harvests, **days}, previous.starts))
    return found


def _by_interval(context: Context, choice: HarvestChoice) -> date:
    """The first possible day once the usual interval of the vessel has passed, else the last possible day."""
    batch = choice.batch
    due = batch.started + timedelta(days=context.cycles[batch.vessel].days)
    return next((day for day in choice.options if day >= due), choice.options[-1])


def _first_day(choice: HarvestChoice) -> date:
    return choice.options[0]


def _last_day(choice: HarvestChoice) -> date:
    return choice.options[-1]


def _kicked(trials: Trials, dice: random.Random) -> Trial:
    """The best rota with a few harvest days thrown, to leave a local optimum."""
    at = trials.best
    free = trials.free_choices(at)
    if not free:
        raise BudgetSpent
    harvests = dict(at.decisions.harvests)
    for choice in dice.sample(free, min(KICKS, len(free))):
        harvests[choice.batch.id] = dice.choice(choice.options)
    return trials.weigh(Decisions(harvests, at.decisions.starts))
