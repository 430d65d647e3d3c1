"""Local search: settle the first fillings one by one, then change one decision after the other at random.

Simulated annealing: at first a rota that is worse may be kept, later less and less, so that the search leaves a rota
from which no single change leads on. Deterministic: the random numbers have a fixed seed.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable
from datetime import date, timedelta
from functools import partial
from typing import NoReturn

from greenrota.rota.search.draw import drawn
from greenrota.rota.search.moves import (
    Kind,
    Variable,
    decided,
    opened_since,
    other_values,
    variables_of,
)
from greenrota.rota.search.trials import BETTER, BudgetSpent, Trial, Trials
from greenrota.rota.simulate.context import Context, context_through
from greenrota.rota.simulate.decisions import Decisions, with_start
from greenrota.rota.simulate.events import HarvestChoice

LONG_DAYS = 40  # of horizon, from which on the first part is searched by itself; our choice
FIRST_PART, FIRST_BUDGET = 0.6, 0.6  # of the horizon, and of the budget; our choice
# Then the chance that a decision is about a batch that opens in the rest or in so many days before it; our choice.
LATER_CHANCE, BEFORE_DAYS = 0.8, 12
MOST_IDLE = 1000  # draws of a decision that can be made in one way only, after which the search ends
# How much worse in score a rota may be that is kept all the same with a chance of 1 in e. While the budget is whole: a
# tenth of a day's ration, but no more than this share of the score; once it is spent: so small a part of that. Our
# choice, by trial.
HOT, HOT_SHARE, COLD_PART = 10.0, 0.01, 0.01


def search_until_spent(trials: Trials) -> NoReturn:
    """Begin with the best of four rotas, settle its first fillings, then change one decision after the other at random.

    Of a long horizon the first part is searched by itself, which takes less for each rota; then mostly what comes
    after it. Ends by BudgetSpent only; what was found is `trials.best`.
    """
    days = (trials.context.through - trials.start_state.as_of).days + 1
    if days < LONG_DAYS or trials.context.settled is not None:
        _search_whole(trials)
    until = trials.start_state.as_of + timedelta(days=int(FIRST_PART * days) - 1)
    first = _first_part(trials, until)
    at = min(trials.best, trials.weigh(first), key=lambda trial: trial.score.total)
    _change_at_random(trials, at, random.Random(0), until - timedelta(days=BEFORE_DAYS))


def _search_whole(trials: Trials) -> NoReturn:
    rules = (partial(_by_interval, trials.context), _first_day, _last_day)
    begins = [trials.best, *(_by_rule(trials, rule) for rule in rules)]
    at = _settle(trials, min(begins, key=lambda trial: trial.score.total))
    _change_at_random(trials, _started_early(trials, at), random.Random(0))


def _first_part(trials: Trials, until: date) -> Decisions:
    """The best decisions for a horizon that ends earlier; takes its share of the budget.

    A KeyboardInterrupt goes on to the caller, with what was found by then among the trials.
    """
    progress = trials.progress
    part = Trials(
        context_through(trials.context, until),
        trials.start_state,
        trials.previous,
        None if progress is None else lambda share: progress(FIRST_BUDGET * share),
    )
    part.give_budget(int(FIRST_BUDGET * trials.budget))
    try:
        _search_whole(part)
    except BudgetSpent:
        trials.spent += part.spent
        return part.best.decisions
    except KeyboardInterrupt:
        trials.spent += part.spent
        trials.weigh(part.best.decisions)
        raise


def _settle(trials: Trials, at: Trial) -> Trial:
    """The first fillings decided one after the other as long as that helps: all that follows hangs on them."""
    improved = True
    while improved:
        improved = False
        for variable in variables_of(trials, at):
            if variable[0] in (Kind.SHARING, Kind.START):
                better = _best_of(trials, at, variable)
                if better is not None:
                    at, improved = better, True
    return at


def _started_early(trials: Trials, at: Trial) -> Trial:
    """The rota with every first filling from a starter on its first possible day, for a search that begins there.

    By the rules of harvest days it is better to fill vessels on several days; the search finds days that are better.
    """
    decisions = at.decisions
    for vessel, days in trials.free_starts(at).items():
        if decisions.starts.get(vessel, days[0]) != days[0]:
            decisions = with_start(decisions, vessel, days[0])[-1]
    return at if decisions is at.decisions else trials.weigh(decisions)


def _change_at_random(
    trials: Trials, at: Trial, dice: random.Random, mostly_since: date | None = None
) -> NoReturn:
    """One decision after the other made otherwise at random; kept unless the rota is much worse for it.

    How much worse it may be falls as the budget is spent, so that first the way may lead over a worse rota, and at last
    only what is better stays. A worse way to share out a starter is never kept: all that hangs on it would be decided
    anew, and the way back is far. `mostly_since`: decisions about batches that open on that day or later come up more
    often.
    """
    idle, begun, hot = 0, trials.spent, min(HOT, HOT_SHARE * at.score.total)
    while idle <= MOST_IDLE and (variables := variables_of(trials, at)):
        if mostly_since is not None and dice.random() < LATER_CHANCE:
            variables = opened_since(at, variables, mostly_since) or variables
        decisions = drawn(trials, at, dice, variables)
        if decisions is None:
            idle += 1
            continue
        idle = 0
        found = trials.weigh(decisions)
        worse = found.score.total - at.score.total
        shared_alike = found.decisions.sharings == at.decisions.sharings
        if worse <= 0.0 or (shared_alike and dice.random() < math.exp(-worse / _heat(trials, begun, hot))):
            at = found
    raise BudgetSpent


def _heat(trials: Trials, begun: int, hot: float) -> float:
    """The score by which a rota may be worse and be kept with a chance of 1 in e; `hot` when `begun` was spent."""
    gone = (trials.spent - begun) / max(1, trials.limit - begun)
    return max(BETTER, hot * math.pow(COLD_PART, gone))


def free_decisions(trials: Trials, at: Trial) -> int:
    """How many decisions of a rota may be made otherwise."""
    return len(variables_of(trials, at))


def _best_of(trials: Trials, at: Trial, variable: Variable) -> Trial | None:
    """The best rota that differs in one decision, with what follows it left open; None if none is better."""
    best = None
    for value in other_values(trials, at, *variable):
        found = trials.weigh(decided(at, *variable, value)[-1])
        if found.score.total < (best or at).score.total - BETTER:
            best = found
    return best


def _by_rule(trials: Trials, rule: Callable[[HarvestChoice], date]) -> Trial:
    """A rota with every free harvest on the day that a rule picks: another place to search from."""
    previous, found = trials.previous, trials.best
    for _ in found.simulated.choices:
        days = {choice.batch.id: rule(choice) for choice in trials.free_choices(found)}
        if days.items() <= found.decisions.harvests.items():
            break
        found = trials.weigh(previous._replace(harvests={**previous.harvests, **days}))
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
