"""Local search: settle the first fillings one by one, then change one decision after the other at random.

Deterministic: the random numbers have a fixed seed.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from enum import Enum
from functools import partial
from typing import NoReturn, assert_never

from greenrota.rota.ids import batch_and_number
from greenrota.rota.search.trials import BETTER, BudgetSpent, Trial, Trials
from greenrota.rota.simulate.context import Context, context_through
from greenrota.rota.simulate.decisions import (
    Decisions,
    with_harvest,
    with_keep,
    with_sharing,
    with_start,
    with_topup,
)
from greenrota.rota.simulate.events import HarvestChoice
from greenrota.rota.state.sharing import Sharing

LONG_DAYS = 40  # of horizon, from which on the first part is searched by itself; our choice
FIRST_PART, FIRST_BUDGET = 0.6, 0.6  # of the horizon, and of the budget; our choice
# Then the chance that a decision is about a batch that opens in the rest or in so many days before it; our choice.
LATER_CHANCE, BEFORE_DAYS = 0.8, 12
MOST_IDLE = 1000  # draws of a decision that can be made in one way only, after which the search ends
KEEP_STEPS = 2  # up and down among the carry-overs that are tried from one; our choice


class Kind(Enum):
    """What may be decided otherwise."""

    SHARING = "how a starter is shared out"
    START = "the day of a first filling"
    TOPUP = "the day of a top-up"
    HARVEST = "the day of a harvest"
    KEEP = "what stays in the vessel at a harvest"


BY_BATCH = (Kind.TOPUP, Kind.HARVEST, Kind.KEEP)

Variable = tuple[Kind, str]
Value = Sharing | date | float


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
    _change_at_random(trials, at, random.Random(0))


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
        for variable in _variables(trials, at):
            if variable[0] in (Kind.SHARING, Kind.START):
                better = _best_of(trials, at, variable)
                if better is not None:
                    at, improved = better, True
    return at


def _change_at_random(
    trials: Trials, at: Trial, dice: random.Random, mostly_since: date | None = None
) -> NoReturn:
    """One decision after the other made otherwise at random; kept unless the rota is worse for it.

    `mostly_since`: those about batches that open on that day or later come up more often.
    """
    idle = 0
    while idle <= MOST_IDLE:
        variables = _variables(trials, at)
        if not variables:
            break
        if mostly_since is not None and dice.random() < LATER_CHANCE:
            variables = _opened_since(at, variables, mostly_since) or variables
        kind, name = dice.choice(variables)
        values = _other_values(trials, at, kind, name)
        if not values:
            idle += 1
            continue
        idle = 0
        found = trials.weigh(dice.choice(_decided(at, kind, name, dice.choice(values))))
        if found.score.total <= at.score.total:
            at = found
    raise BudgetSpent


def free_decisions(trials: Trials, at: Trial) -> int:
    """How many decisions of a rota may be made otherwise."""
    return len(_variables(trials, at))


def _variables(trials: Trials, at: Trial) -> list[Variable]:
    """All that may be decided otherwise, in the order in which it is tried."""
    return [
        *((Kind.SHARING, source) for source in trials.free_sharings(at)),
        *((Kind.START, vessel) for vessel in trials.free_starts(at)),
        *((Kind.TOPUP, topup) for topup in trials.free_topups(at)),
        *((Kind.HARVEST, choice.batch.id) for choice in trials.free_choices(at)),
        *((Kind.KEEP, batch) for batch in trials.free_keeps(at)),
    ]


def _opened_since(at: Trial, variables: Sequence[Variable], since: date) -> list[Variable]:
    """Those about the top-ups and harvests of batches that open on a day or later."""
    late = {choice.batch.id for choice in at.simulated.choices if choice.batch.started >= since}
    return [each for each in variables if each[0] in BY_BATCH and _batch_of(*each) in late]


def _batch_of(kind: Kind, name: str) -> str:
    return batch_and_number(name)[0] if kind is Kind.TOPUP else name


def _best_of(trials: Trials, at: Trial, variable: Variable) -> Trial | None:
    """The best rota that differs in one decision (and in what follows from it); None if none is better."""
    best = None
    for value in _other_values(trials, at, *variable):
        for decisions in _decided(at, *variable, value):
            found = trials.weigh(decisions)
            if found.score.total < (best or at).score.total - BETTER:
                best = found
    return best


def _other_values(trials: Trials, at: Trial, kind: Kind, name: str) -> list[Value]:
    """What else may be decided of one thing; of carry-overs those near the one taken."""
    values: Sequence[Value]
    taken: Value | None
    match kind:
        case Kind.SHARING:
            values, taken = trials.free_sharings(at).get(name, ()), at.decisions.sharings.get(name)
        case Kind.START:
            values, taken = at.simulated.start_options.get(name, ()), at.decisions.starts.get(name)
        case Kind.TOPUP:
            values, taken = trials.free_topups(at).get(name, ()), at.decisions.topups.get(name)
        case Kind.HARVEST:
            values = next((each.options for each in at.simulated.choices if each.batch.id == name), ())
            taken = at.decisions.harvests.get(name)
        case Kind.KEEP:
            return list(_near(trials.free_keeps(at).get(name, ()), at.decisions.keeps.get(name)))
        case _:
            assert_never(kind)
    return [value for value in values if value != taken]


def _decided(at: Trial, kind: Kind, name: str, value: Value) -> list[Decisions]:
    """One thing decided otherwise: with the later decisions of the vessel kept, and with them made anew."""
    if isinstance(value, Sharing):
        return [with_sharing(at.decisions, value)]
    if isinstance(value, float):
        return with_keep(at.decisions, name, value)
    if kind is Kind.START:
        return [with_start(at.decisions, name, value)]
    changed = with_topup if kind is Kind.TOPUP else with_harvest
    return changed(at.decisions, name, value)


def _near(shares: Sequence[float], taken: float | None) -> Sequence[float]:
    """The carry-overs up to `KEEP_STEPS` below and above the one taken."""
    if taken not in shares:
        return ()
    place = shares.index(taken)
    return [share for share in shares[max(0, place - KEEP_STEPS) : place + KEEP_STEPS + 1] if share != taken]


def _by_rule(trials: Trials, rule: Callable[[HarvestChoice], date]) -> Trial:
    """A rota with every free harvest on the day that a rule picks: another place to search from."""
    previous, found = trials.previous, trials.best
    for _ in found.simulated.choices:
        days = {choice.batch.id: rule(choice) for choice in trials.free_choices(found)}
        if days.items() <= found.decisions.harvests.items():
            break
        found = trials.weigh(replace(previous, harvests={**previous.harvests, **days}))
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
