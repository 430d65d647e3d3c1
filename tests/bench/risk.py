"""How long seasons take against a discrete-event library, a plain loop, and the bare arithmetic of the same size.

Run with the interpreter of an environment that has the package and simpy: `python tests/bench/risk.py`.
All are measured in one run, in turn, so that a slow moment of the machine hits all alike; the slow ones on fewer
seasons and scaled. Ends with 1 when a limit is broken.
"""

from __future__ import annotations

import resource
import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np

ROOT = Path(__file__).resolve().parents[1]
sys.path[:0] = [str(ROOT / "risk"), str(ROOT / "made")]

from made_plans import example_plan, example_vessel  # noqa: E402 - beside the tests
from season_events import Events  # noqa: E402
from season_loop import Loop  # noqa: E402

from greenrota.risk.hazard import danger_for  # noqa: E402
from greenrota.risk.season import play  # noqa: E402
from greenrota.risk.size import rough_rota  # noqa: E402
from greenrota.risk.timetable import timetable  # noqa: E402
from greenrota.rota.plan import Tank  # noqa: E402

SEASONS, VESSELS, DAYS = 10_000, 8, 90
SLOW = 60  # seasons for the slow ones; our choice
ROUNDS, QUICK = (
    7,
    4,
)  # the best of so many, the quick ones more often: the machine's own noise only adds; our choice
EVENTS_LIMIT, LOOP_LIMIT, BARE_LIMIT, MEMORY_LIMIT_MB = 100.0, 20.0, 4.0, 200.0  # our goals
LONG, LINEAR = 1_000_000, 1.5  # our goal: a hundred times the seasons in at most so many times the time each


def seconds(work: Callable[[], object]) -> float:
    """One run of the work, in time of the processor: waiting for others on the machine is no work. All use one core."""
    start = time.process_time()
    work()
    return time.process_time() - start


def bare() -> None:
    """As many uniforms drawn, cultures grown a day and compared with a chance: the least a simulation has to do."""
    dice = np.random.default_rng(1)
    drawn, density = np.empty((VESSELS, SEASONS)), np.full((VESSELS, SEASONS), 0.1)
    shelf = np.empty(SEASONS)
    below, part = np.empty((VESSELS, SEASONS)), np.empty((VESSELS, SEASONS), bool)
    for _ in range(DAYS):
        dice.random(out=drawn)
        dice.random(out=shelf)
        np.multiply(density, 0.6, out=below)
        np.add(below, 1.0, out=below)
        np.multiply(density, 1.6, out=density)
        np.divide(density, below, out=density)
        np.less(drawn, 0.03, out=part)


def main() -> int:
    """Measure, print, and say whether the limits hold."""
    vessels = tuple(example_vessel(f"jar {n}") for n in range(VESSELS))
    table = timetable(rough_rota(example_plan(vessels=vessels, days=DAYS, tank=Tank(300.0, 1500.0))))
    danger = danger_for(None)
    dice = np.random.default_rng(2)
    shelf, drawn = dice.random((SLOW, DAYS)).tolist(), dice.random((SLOW, DAYS, VESSELS)).tolist()

    def loops() -> None:
        for season in range(SLOW):
            Loop(table, danger).play(shelf[season], drawn[season])

    def events() -> None:
        for season in range(SLOW):
            Events(table, danger, season).run()

    ours, floor, loop, event = [], [], [], []
    for _ in range(ROUNDS):
        for _ in range(QUICK):
            ours.append(seconds(lambda: play(table, danger, SEASONS, 1)))
            floor.append(seconds(bare))
        loop.append(seconds(loops))
        event.append(seconds(events))
    own = min(ours)
    scale = SEASONS / SLOW
    against_events, against_loop, against_bare = (
        min(event) * scale / own,
        min(loop) * scale / own,
        own / min(floor),
    )
    beside = [seconds(lambda: play(table, danger, SEASONS, 1)) for _ in range(ROUNDS)]
    long_s = seconds(lambda: play(table, danger, LONG, 1))
    beside += [seconds(lambda: play(table, danger, SEASONS, 1)) for _ in range(ROUNDS)]
    memory_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0
    linear = long_s / (
        statistics.median(beside) * LONG / SEASONS
    )  # the machine as it was around the long run
    print(f"{SEASONS} seasons x {VESSELS} vessels x {DAYS} days: {own * 1e3:.0f} ms")
    print(f"discrete events {against_events:6.0f} times as long (at least {EVENTS_LIMIT:.0f})")
    print(f"plain loop      {against_loop:6.0f} times as long (at least {LOOP_LIMIT:.0f})")
    print(f"ours is {against_bare:14.2f} times the bare arithmetic (at most {BARE_LIMIT})")
    print(f"{LONG} seasons: {long_s:.1f} s, {linear:.2f} times linear (at most {LINEAR})")
    print(
        f"memory          {memory_mb:6.0f} MB at the most, python and numpy with it (at most {MEMORY_LIMIT_MB:.0f})"
    )
    held = against_events >= EVENTS_LIMIT and against_loop >= LOOP_LIMIT and against_bare <= BARE_LIMIT
    return 0 if held and linear <= LINEAR and memory_mb <= MEMORY_LIMIT_MB else 1


if __name__ == "__main__":
    sys.exit(main())
