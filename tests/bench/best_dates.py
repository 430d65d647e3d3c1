"""How near the dates come to the best there are, how much better they are than a wall calendar, and how long they take.

Run with the interpreter of an environment that has the package: `python tests/bench/best_dates.py`. For a hundred
tiny plans every rota is enumerated; larger ones stand beside the calendar of fixed intervals. Ends with 1 when a
limit is broken.
"""

from __future__ import annotations

import random
import statistics
import sys
import time
from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "made")]

from every_rota import ROUNDING, enumerated, fixed_intervals, home_plan  # noqa: E402 - beside the tests
from rows import row  # noqa: E402 - beside the tests

from greenrota.rota.feed.tally import RationTally  # noqa: E402
from greenrota.rota.plan import Plan  # noqa: E402
from greenrota.rota.search.score import Scorer  # noqa: E402
from greenrota.rota.search.search import search  # noqa: E402
from greenrota.rota.simulate.context import context_for  # noqa: E402
from greenrota.rota.simulate.decisions import Decisions  # noqa: E402
from greenrota.rota.simulate.simulation import Simulation, simulate  # noqa: E402
from greenrota.rota.simulate.start import start_from_plan  # noqa: E402

PLANS = 100
EQUAL_LIMIT, WORST_LIMIT = (
    95,
    0.02,
)  # our goal: equal on so many of a hundred, never worse by more than that share
SECONDS_LIMIT = 2.0  # our goal for a home plan, of processor time: whatever else runs here does not count
RUNS = 2  # of each search, of which the quicker one counts: the machine's own noise only adds; our choice
LARGER = [(vessels, days) for vessels in (3, 5, 8) for days in (31, 62)]
WORKING_WEEKS = ((0, 1, 2, 3, 4, 5, 6), (2, 5, 6))  # every day; Wednesday and the weekend


def small() -> bool:
    """Search and plain first choice against every rota of tiny plans; True if the limits hold."""
    dice = random.Random(7)
    searched, first, ways, exact = [], [], [], 0
    for _ in range(PLANS):
        context, start_state, scores = enumerated(dice)
        best = min(scores)
        found = search(context, start_state, Decisions())
        plain = simulate(context, start_state, Decisions())
        searched.append(found.score.total / best - 1.0)
        first.append(Scorer(context, start_state, Decisions()).score(plain).total / best - 1.0)
        ways.append(len(scores))
        exact += found.exact
    print(
        f"{PLANS} tiny plans, {min(ways)} to {max(ways)} rotas each, {statistics.median(ways):.0f} in the middle"
    )
    print(f"tried whole by the search: {exact}")
    equal = distribution("search", searched)
    row(
        "tiny plans whose dates are the best of all",
        EQUAL_LIMIT,
        equal * 100 / PLANS,
        "of 100",
        at_least=True,
    )
    row("the worst of them, above the best score", WORST_LIMIT * 100, max(searched) * 100, "%")
    distribution("plain first choice", first)
    return equal >= EQUAL_LIMIT * PLANS / 100 and max(searched) <= WORST_LIMIT and min(searched) >= -ROUNDING


def distribution(name: str, worse: Sequence[float]) -> int:
    """Print how much worse than the best; gives back how many are equal to it."""
    equal = sum(share <= ROUNDING for share in worse)
    bounds = (0.0, 0.02, 0.1, 0.5, float("inf"))
    counts = [
        sum(low + ROUNDING < share <= high + ROUNDING for share in worse) for low, high in pairwise(bounds)
    ]
    shares = ", ".join(
        f"to {high:.0%} {n}" if high < 1e9 else f"more {n}"
        for (_, high), n in zip(pairwise(bounds), counts, strict=True)
    )
    print(
        f"{name:<19} equal {equal}; worse by {shares}; mean {statistics.mean(worse):.2%}, worst {max(worse):.2%}"
    )
    return equal


def figures(plan: Plan, simulated: Simulation) -> tuple[int, int, int, float]:
    """Days short, days over-ripe, working days, score."""
    context = context_for(plan)
    score = Scorer(context, start_from_plan(plan), Decisions()).score(simulated)
    short_days = RationTally(plan).tally(simulated.state.harvests, simulated.through).short_days
    return short_days, int(score.amounts["over_ripe"]), int(score.amounts["work_day"]), score.total


def larger() -> bool:
    """Home plans beside the calendar of fixed intervals; True if none is worse and none takes too long."""
    print()
    print("larger plans, a week away      calendar of fixed intervals      best dates found")
    print("vessels days work days  short over-ripe working  score  short over-ripe working  score  seconds")
    held, slowest_s = True, 0.0
    for vessels, days in LARGER:
        for week in WORKING_WEEKS:
            plan = home_plan(vessels, days, week)
            start_state = start_from_plan(plan)
            took_s = float("inf")
            for _ in range(RUNS):
                begun = time.process_time()
                found = search(context_for(plan), start_state, Decisions())
                took_s = min(took_s, time.process_time() - begun)
            wall = figures(plan, fixed_intervals(context_for(plan), start_state))
            ours = figures(plan, found.simulated)
            rows = "".join(f"{s:7}{o:10}{w:8}{total:7.0f}" for s, o, w, total in (wall, ours))
            print(f"{vessels:7}{days:5}{len(week):10}{rows}{took_s:9.2f}")
            slowest_s = max(slowest_s, took_s)
            held = held and ours[3] <= wall[3] + ROUNDING and took_s <= SECONDS_LIMIT
    row("the slowest search of a plan of a usual size", SECONDS_LIMIT, slowest_s, "s")
    return held


def main() -> int:
    """Measure, print, and say whether the limits hold."""
    near, better = small(), larger()
    return 0 if near and better else 1


if __name__ == "__main__":
    sys.exit(main())
