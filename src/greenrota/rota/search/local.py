"""Local search: from several rotas change decisions at random, then go on from the best that is found.

First how the vessels begin is changed, each time with all later days chosen anew, for what it is worth shows only then.
Simulated annealing follows: at first a rota that is worse may be kept, later less and less, so that the search leaves a
rota from which no single change leads on. Deterministic: the random numbers have fixed seeds.
"""

from __future__ import annotations

import math
import random
from contextlib import suppress

from greenrota.rota.search.begin import begun_otherwise, rivals
from greenrota.rota.search.draw import drawn
from greenrota.rota.search.moves import decided, other_values, variables_of
from greenrota.rota.search.together import chosen_in_turn
from greenrota.rota.search.trials import BETTER, BudgetSpent, Trial, Trials, better

MOST_IDLE = 1000  # draws of a decision that can be made in one way only, after which the search ends
SIDE_BY_SIDE = 0.6  # the part of the budget for ways that are followed side by side; our choice
MOST_SIDE_BY_SIDE, LEAST_ROTAS = 2, 150  # such ways, and the rotas that one of several is to try; our choice
BEGUN = 0.3  # the part of the budget of a way for how the vessels begin; our choice, by trial
IN_TURN = (
    0.1  # the part of the budget of a way that is left for changes in turn, after those at random; our choice
)
# How much worse in score a rota may be that is kept all the same with a chance of 1 in e. While the budget is whole: a
# tenth of a day's ration, but no more than this share of the score; once it is spent: so small a part of that. Our
# choice, by trial.
HOT, HOT_SHARE, COLD_PART = 10.0, 0.01, 0.01
WARM_PART = 0.3  # of that, once the best of several ways is gone on with; our choice


def search_until_spent(trials: Trials) -> None:
    """Follow the best rotas to begin with side by side, then the best that is found; it is `trials.best`."""
    with suppress(BudgetSpent):
        _search(trials, random.Random(0))


def _search(trials: Trials, dice: random.Random) -> None:
    begins = rivals(trials)
    begun, budget, ends = trials.spent, int(SIDE_BY_SIDE * (trials.limit - trials.spent)), []
    ways = max(1, min(MOST_SIDE_BY_SIDE, budget // (LEAST_ROTAS * trials.cost(begins[0]))))
    for n in range(ways):
        at = begins[n] if n < len(begins) else begins[0]
        ends.append(_followed(trials, at, dice, begun + budget * (n + 1) // ways))
    best = min(ends, key=lambda trial: trial.score.total)
    _followed(trials, best, dice, trials.limit, WARM_PART)


def _followed(trials: Trials, at: Trial, dice: random.Random, until: int, hot_part: float = 1.0) -> Trial:
    """The best rota found from one until so many batches are spent: begun otherwise, then by changes, then in turn."""
    at = begun_otherwise(trials, at, dice, trials.spent + int(BEGUN * (until - trials.spent)))
    last = until - int(IN_TURN * (until - trials.spent))
    best = _changed_at_random(trials, at, dice, last, hot_part)
    return _changed_in_turn(trials, best, until)


def _changed_at_random(trials: Trials, at: Trial, dice: random.Random, until: int, hot_part: float) -> Trial:
    """Decisions made otherwise at random; kept unless the rota is much worse for it. Returns the best of the way.

    How much worse it may be falls as the budget is spent, so that first the way may lead over a worse rota, and at last
    only what is better stays. A worse way to share out a starter is never kept: all that hangs on it would be decided
    anew, and the way back is far.
    """
    best, idle, begun, hot = at, 0, trials.spent, hot_part * min(HOT, HOT_SHARE * at.score.total)
    while trials.spent < until and idle <= MOST_IDLE and (variables := variables_of(trials, at)):
        decisions = drawn(trials, at, dice, variables)
        if decisions is None:
            idle += 1
            continue
        idle = 0
        found = trials.weigh(decisions)
        worse = found.score.total - at.score.total
        shared_alike = found.decisions.sharings == at.decisions.sharings
        heat = _heat((trials.spent - begun) / max(1, until - begun), hot)
        if worse <= 0.0 or (shared_alike and dice.random() < math.exp(-worse / heat)):
            at = found
        if at.score.total < best.score.total:
            best = at
    return best


def _heat(gone: float, hot: float) -> float:
    """The score by which a rota may be worse and be kept with a chance of 1 in e; `hot` when nothing is `gone`."""
    return max(BETTER, hot * math.pow(COLD_PART, gone))


def _changed_in_turn(trials: Trials, at: Trial, until: int) -> Trial:
    """All days of each vessel chosen together, then each decision by itself, until nothing is better for it."""
    while trials.spent < until:
        before = at
        at = chosen_in_turn(trials, at, [choice.batch for choice in before.simulated.choices], until)
        if at is not before:
            continue
        for variable in variables_of(trials, before):
            for value in other_values(trials, at, *variable):
                for changed in decided(at, *variable, value):
                    if trials.spent < until:
                        at = better(trials, at, changed)
        if at is before:
            break
    return at


def free_decisions(trials: Trials, at: Trial) -> int:
    """How many decisions of a rota may be made otherwise."""
    return len(variables_of(trials, at))
