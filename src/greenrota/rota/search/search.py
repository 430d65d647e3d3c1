"""Search: the best harvest and start dates, exact where a plan is small, a good search beyond.

Every candidate is a set of `Decisions`, simulated by `simulate` and scored by `Scorer`; the search itself knows no
rule of the rota.
"""

from typing import NamedTuple

from greenrota.rota.search.score import Score
from greenrota.rota.search.trials import Progress, Trials
from greenrota.rota.simulate.context import Context
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.simulation import Simulation
from greenrota.rota.simulate.start import StartState

# Batches that a search may simulate: so many rotas for each decision that is free, within bounds. A month of a shelf
# takes about a second on a small computer, a rota that is held by the logbook next to nothing. Our choice.
ROTAS_PER_DECISION = 62
FEWEST_BATCHES, MOST_BATCHES = 200, 27_000
HUGE_BATCHES = 2_500  # a rota of more, some fifty vessels for a year, is not searched at all; our choice
EXACT_BATCHES = 15_000  # simulated batches that trying everything may be expected to take; our choice
EXACT_SLACK = (
    1.1  # times that it may really take, for the first simulation does not show every choice; our choice
)

# By how much a search of fifty times the budget had the better score, on sixteen shelves of 4 to 8 vessels and a month
# or two: in the middle, and at most. Measured by `tests/bench/long_search.py` in November 2026.
GAP_MIDDLE, GAP_MOST = 0.006, 0.025


class SearchResult(NamedTuple):
    """The best rota found: its dates, their simulation and score, and how sure it is.

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
    most: int | None = None,
) -> SearchResult:
    """The best dates found from a start state. The dates in `previous` are held as long as they are possible.

    `progress` gets the share of the budget that is spent, 0..1. `budget` is in simulated batches (None: by the size of
    the rota, at most `most`, None: `MOST_BATCHES`); with 0 nothing is searched: previous dates stay, the others are
    the cheapest at first sight. A KeyboardInterrupt ends the search with the best so far, marked `cut_short`.
    """
    # what tries is loaded for a search only: remembered dates do without
    from greenrota.rota.search.exact import try_all
    from greenrota.rota.search.local import free_decisions, search_until_spent

    trials = Trials(context, start_state, previous, progress)
    if budget is None:
        budget = usual_budget(len(trials.best.simulated.choices), free_decisions(trials, trials.best), most)
    if budget == 0:
        return _result(trials)
    try:
        if _is_small(trials):
            trials.give_budget(budget, limit=int(EXACT_BATCHES * EXACT_SLACK))
            if try_all(trials):
                return _result(trials, exact=True)
        trials.give_budget(budget)
        search_until_spent(trials)
        return _result(trials)
    except KeyboardInterrupt:
        return _result(trials, cut_short=True)


def found_before(
    context: Context, start_state: StartState, previous: Decisions, decisions: Decisions, exact: bool
) -> SearchResult:
    """The result of an earlier search from the same start state: its decisions simulated and scored once more."""
    again = Trials(context, start_state, previous, None, first=decisions).best
    return SearchResult(again.decisions, again.simulated, again.score, exact)


def usual_budget(batches: int, decisions: int, most: int | None = None) -> int:
    """How many batches a search may simulate for a rota of so many batches and free decisions; 0 for a huge one."""
    if batches > HUGE_BATCHES:
        return 0
    most = MOST_BATCHES if most is None else min(most, MOST_BATCHES)
    return min(most, max(FEWEST_BATCHES, ROTAS_PER_DECISION * batches * decisions))


def _is_small(trials: Trials) -> bool:
    """True if all combinations can be tried, as far as the first simulation shows."""
    from greenrota.rota.search.exact import combinations_seen

    return combinations_seen(trials) * trials.cost(trials.best) <= EXACT_BATCHES


def _result(trials: Trials, exact: bool = False, cut_short: bool = False) -> SearchResult:
    best = trials.best
    trials.context.forget()
    return SearchResult(best.decisions, best.simulated, best.score, exact, cut_short)
