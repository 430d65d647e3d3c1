"""Begin: rotas from which the local search sets out: the best by simple rules, then ways to share out each starter.

How a starter is shared out decides more than anything else, and can be judged only once the days fit: each way is
compared with its first fillings early and the days of every vessel chosen together. The same holds of how a vessel
begins: the days of its filling, top-ups and first harvest.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator, Sequence
from datetime import date, timedelta
from functools import partial

from greenrota.rota.search.moves import Kind, Value, Variable, decided, other_values, variables_of
from greenrota.rota.search.together import chosen_in_turn, followers, swept
from greenrota.rota.search.trials import BETTER, Trial, Trials
from greenrota.rota.simulate.context import Context
from greenrota.rota.simulate.decisions import with_sharing, with_start
from greenrota.rota.simulate.events import HarvestChoice
from greenrota.rota.state.sharing import Sharing

# Ways to share out a starter that are compared with their days chosen, and those that are followed up; our choice.
MOST_WAYS, RIVALS = 10, 3
SWEEPS = 3  # times that the days of every vessel are chosen, one of them for the comparison; our choice
HOPELESS = 0.1  # of the score, by which a rota may be worse to have its later days chosen anew; our choice
FIRST_HARVEST_DAYS = 3  # by so many the first harvest of a vessel is moved then, at most; our choice
RIVAL_SHARE = 0.05  # of the best score, by which a rival may be worse to be followed further; our choice


def rivals(trials: Trials) -> list[Trial]:
    """The rotas to search from, the best first: more than one where a starter may be shared out in several ways."""
    rules = (partial(_by_interval, trials.context), _first_day, _last_day)
    begun = _best_first([trials.best, *(_by_rule(trials, rule) for rule in rules)])[0]
    found = [] if trials.free_sharings(begun) else [swept(trials, _started_early(trials, begun), SWEEPS)]
    for source in trials.free_sharings(begun):
        at = found[0] if found else begun
        found = _shared_out(trials, at, trials.free_sharings(at).get(source, ())) or found
    return [each for each in found if each.score.total <= (1.0 + RIVAL_SHARE) * found[0].score.total]


def begun_otherwise(trials: Trials, at: Trial, dice: random.Random, until: int) -> Trial:
    """The rota with its vessels begun otherwise where that is better, until so many batches are spent.

    One thing after the other, in random order, is decided otherwise and all later days are chosen anew: without that
    it is nearly always worse, for the later days fit what was before. Raises BudgetSpent.
    """
    untried: list[tuple[Variable, Value]] | None = None
    while trials.spent < until:
        if untried is None:
            untried = list(beginnings(trials, at))
            dice.shuffle(untried)
        if not untried:
            break
        (kind, name), value = untried.pop()
        held = name if kind in (Kind.HARVEST, Kind.KEEP) else None  # or it would be taken back
        found = trials.weigh(decided(at, kind, name, value)[0])
        if found.score.total <= (1.0 + HOPELESS) * at.score.total:
            found = chosen_in_turn(trials, found, followers(found, held), trials.limit)
        if found.score.total < at.score.total - BETTER:
            at, untried = found, None
    return at


def beginnings(trials: Trials, at: Trial) -> Iterator[tuple[Variable, Value]]:
    """Other days for fillings, top-ups and restarts; of the first harvest of each vessel near days, and what stays."""
    firsts = {choice.batch.vessel: choice.batch.id for choice in reversed(at.simulated.choices)}.values()
    for kind, name in variables_of(trials, at):
        if kind in (Kind.START, Kind.RESTART, Kind.TOPUP) or (kind is Kind.KEEP and name in firsts):
            yield from (((kind, name), value) for value in other_values(trials, at, kind, name))
        elif kind is Kind.HARVEST and name in firsts:
            taken = at.decisions.harvests.get(name)
            for day in other_values(trials, at, kind, name):
                if isinstance(day, date) and taken and abs((day - taken).days) <= FIRST_HARVEST_DAYS:
                    yield (kind, name), day


def _shared_out(trials: Trials, at: Trial, ways: Sequence[Sharing]) -> list[Trial]:
    """The best ways to share out a starter, each with its days chosen, the best first."""
    early = [_started_early(trials, trials.weigh(with_sharing(at.decisions, way))) for way in ways]
    sweep = trials.cost(at) * len(trials.context.benches)
    most = max(1, min(MOST_WAYS, trials.limit // (2 * sweep)))
    once = [swept(trials, each, 1) for each in _best_first(early)[:most]]
    return _best_first([swept(trials, each, SWEEPS - 1) for each in _best_first(once)[:RIVALS]])


def _best_first(found: Sequence[Trial]) -> list[Trial]:
    return sorted(found, key=lambda trial: trial.score.total)


def _started_early(trials: Trials, at: Trial) -> Trial:
    """The rota with every first filling from a starter on its first possible day.

    By the rules of harvest days it is better to fill vessels on several days; the search finds days that are better.
    """
    decisions = at.decisions
    for vessel, days in trials.free_starts(at).items():
        if decisions.starts.get(vessel, days[0]) != days[0]:
            decisions = with_start(decisions, vessel, days[0])[-1]
    return at if decisions is at.decisions else trials.weigh(decisions)


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
