"""Exact search: every combination of the days and amounts that may be decided is tried, where a plan has few enough."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from datetime import date
from itertools import product
from math import prod

from greenrota.rota.ids import batch_and_number
from greenrota.rota.search.trials import BudgetSpent, Trial, Trials
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.state.sharing import Sharing


def combinations_seen(trials: Trials) -> int:
    """How many rotas there are, as far as the best trial so far shows."""
    at = trials.best
    ways: list[Collection[object]] = [*trials.free_sharings(at).values(), *trials.free_starts(at).values()]
    ways += [
        *trials.free_restarts(at).values(),
        *trials.free_topups(at).values(),
        *trials.free_keeps(at).values(),
    ]
    ways += [choice.options for choice in trials.free_choices(at)]
    return prod(map(len, ways))


def try_all(trials: Trials) -> bool:
    """Try every combination, depth first; False if the budget ends before."""
    try:
        for sharings in _sharing_sets(trials):
            shared = trials.weigh(trials.previous._replace(sharings=sharings))
            for starts in _start_sets(trials, shared):
                _try_batches(trials, trials.previous._replace(sharings=sharings, starts=starts))
    except BudgetSpent:
        return False
    return True


def _sharing_sets(trials: Trials) -> Iterator[dict[str, Sharing]]:
    """Every way to share out the starters; the ways of a starter depend on those before it."""
    free = trials.free_sharings(trials.best)
    for ways in product(*free.values()):
        yield {**trials.previous.sharings, **dict(zip(free, ways, strict=True))}


def _start_sets(trials: Trials, at: Trial) -> Iterator[dict[str, date]]:
    """Every way to choose the starts that are free; one at a time, for they can be many."""
    free = trials.free_starts(at)
    for days in product(*free.values()):
        yield {**trials.previous.starts, **dict(zip(free, days, strict=True))}


def _try_batches(trials: Trials, decisions: Decisions) -> None:
    """Try every way of the first decision about a batch that is still open, and for each all of those after it.

    Of a batch, the day of its restart comes first, then those of its top-ups and of its harvest, and what stays in the
    vessel last.
    """
    found = trials.weigh(decisions)
    for further in _further(trials, found, decisions):
        _try_batches(trials, further)


def _further(trials: Trials, found: Trial, decisions: Decisions) -> list[Decisions]:
    """The ways of the first decision about a batch that is still open; none if all are made."""
    restarts = trials.free_restarts(found)
    topups = {task: days for task, days in trials.free_topups(found).items() if task not in decisions.topups}
    days = {choice.batch.id: choice.options for choice in trials.free_choices(found)}
    keeps = trials.free_keeps(found)
    for batch in (choice.batch.id for choice in found.simulated.choices):
        if batch in restarts and batch not in decisions.restarts:
            return [
                decisions._replace(restarts={**decisions.restarts, batch: day}) for day in restarts[batch]
            ]
        task = next((task for task in topups if batch_and_number(task)[0] == batch), None)
        if task is not None:
            return [decisions._replace(topups={**decisions.topups, task: day}) for day in topups[task]]
        if batch in days and batch not in decisions.harvests:
            return [decisions._replace(harvests={**decisions.harvests, batch: day}) for day in days[batch]]
        if batch in keeps and batch not in decisions.keeps:
            return [decisions._replace(keeps={**decisions.keeps, batch: share}) for share in keeps[batch]]
    return []
