"""How much a search of fifty times the budget would find: the gap of a person's search on shelves of middling size.

Run with the interpreter of an environment that has the package: `python tests/bench/long_search.py`; takes some
twenty minutes. `alike` are eight shelves of vessels alike, `invented` eight that are drawn by chance; one of the
names as argument measures that set alone. Ends with 1 where the median or the worst gap of all that were measured is
above our goal.
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from collections.abc import Sequence
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "made")]

from every_rota import home_plan, invented_plan  # noqa: E402 - beside the tests

from greenrota.rota.plan import Plan  # noqa: E402
from greenrota.rota.search.local import free_decisions  # noqa: E402
from greenrota.rota.search.search import SearchResult, search, usual_budget  # noqa: E402
from greenrota.rota.search.trials import Trials  # noqa: E402
from greenrota.rota.simulate.context import context_for  # noqa: E402
from greenrota.rota.simulate.decisions import Decisions  # noqa: E402
from greenrota.rota.simulate.start import start_from_plan  # noqa: E402

TIMES = 50
MEDIAN_LIMIT, WORST_LIMIT = 0.01, 0.03  # our goal: shares by which the longer search may be better
EVERY_DAY, THREE_DAYS = tuple(range(7)), (2, 5, 6)
ALIKE = (
    (4, 31, EVERY_DAY),
    (4, 62, THREE_DAYS),
    (5, 31, THREE_DAYS),
    (5, 62, EVERY_DAY),
    (6, 31, EVERY_DAY),
    (6, 62, THREE_DAYS),
    (8, 31, EVERY_DAY),
    (8, 62, EVERY_DAY),
)
INVENTED, SEED = 8, 99  # a seed of which no shelf was looked at while the search was made


def shelves() -> dict[str, list[Plan]]:
    """The plans of each set."""
    dice = random.Random(SEED)
    return {
        "alike": [home_plan(*each) for each in ALIKE],
        "invented": [invented_plan(dice) for _ in range(INVENTED)],
    }


def timed(plan: Plan, times: int) -> tuple[SearchResult, float]:
    """The result of a search with so many usual budgets, and its seconds of processor time."""
    context, start_state = context_for(plan), start_from_plan(plan)
    trials = Trials(context, start_state, Decisions(), None)
    budget = usual_budget(len(trials.best.simulated.choices), free_decisions(trials, trials.best))
    begun = time.process_time()
    found = search(context, start_state, Decisions(), budget=times * budget)
    return found, time.process_time() - begun


def measured(name: str, plans: Sequence[Plan]) -> list[float]:
    """The gaps of a set, measured and printed."""
    print(f"{name}\nvessels days work days    score  {TIMES} times     gap  seconds")
    gaps = []
    for plan in plans:
        usual, took_s = timed(plan, 1)
        longer, _ = timed(plan, TIMES)
        gaps.append(usual.score.total / longer.score.total - 1.0)
        print(
            f"{len(plan.vessels):7}{plan.days:5}{len(plan.work.weekdays):10}{usual.score.total:9.0f}"
            f"{longer.score.total:10.0f}{gaps[-1]:8.1%}{took_s:9.2f}",
            flush=True,
        )
    print(f"median {statistics.median(gaps):.1%}, worst {max(gaps):.1%}")
    return gaps


def main() -> int:
    """Measure, print, and say whether the goal is met."""
    wanted = sys.argv[1:] or ["alike", "invented"]
    gaps = [gap for name in wanted for gap in measured(name, shelves()[name])]
    middle, worst = statistics.median(gaps), max(gaps)
    print(f"all of them: median {middle:.1%}, worst {worst:.1%}")
    return 0 if middle <= MEDIAN_LIMIT and worst <= WORST_LIMIT else 1


if __name__ == "__main__":
    sys.exit(main())
