"""Exact search: every combination of start and harvest days is tried, where a plan has few enough."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from itertools import product
from math import prod

from greenrota.rota.search.trials import BudgetSpent, Trials
from greenrota.rota.simulate.events import Decisions


def combinations_seen(trials: Trials) -> int:
    """How many rotas there are, as far as the best trial so far shows."""
    at = trials.best
    days = [*trials.free_starts(at).values(), *(choice.options for choice in trials.free_choices(at))]
    return prod(map(len, days))


def try_all(trials: Trials) -> bool:
    """Try every combination, depth first; False if the budget ends before."""
    try:
        for starts in _start_sets(trials):
            _try_harvests(trials, Decisions(trials.previous.harvests, starts))
    except BudgetSpent:
        return False
    return True


def _start_sets(trials: Trials) -> Iterator[dict[str, date]]:
    """Every way to choose the starts that are free; one at a time, for they can be many."""
    free = trials.free_starts(trials.best)
    for days in product(*free.values()):
        yield {**trials.previous.starts, **dict(zip(free, days, strict=True))}


def _try_harvests(trials: Trials, decisions: Decisions) -> None:
    """Try every day of the first harvest that is still open, and for each all days of those after it."""
    found = trials.weigh(decisions)
    for choice in trials.free_choices(found):
        if choice.batch.id not in decisions.harvests:
            for day in choice.options:
                harvests = {**decisions.harvests, choice.batch.id: day}
                _try_harvests(trials, Decisions(harvests, decisions.starts))
            return
