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
from rows import environment, processor_s, room, row, told  # noqa: E402 - beside this
from season_events import Events  # noqa: E402
from season_loop import Loop  # noqa: E402

from greenrota.planfile.read.load import read_plan  # noqa: E402
from greenrota.risk.hazard import danger_for  # noqa: E402
from greenrota.risk.season import play  # noqa: E402
from greenrota.risk.size import rough_rota  # noqa: E402
from greenrota.risk.timetable import timetable  # noqa: E402
from greenrota.rota.plan import Tank  # noqa: E402
from greenrota.rota.schedule import schedule  # noqa: E402

SEASONS, VESSELS, DAYS = 10_000, 8, 90
SLOW = 60  # seasons for the slow ones; our choice
ROUNDS, QUICK = (
    7,
    4,
)  # the best of so many, the quick ones more often: the machine's own noise only adds; our choice
EVENTS_LIMIT, LOOP_LIMIT, BARE_LIMIT, MEMORY_LIMIT_MB = 100.0, 20.0, 3.0, 200.0  # our goals
REAL_LIMIT = 4.0  # our goal for a rota of a plan
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
    what = f"{SEASONS:,} seasons of {VESSELS} vessels and {DAYS} days"
    told(what, own * 1e3, "ms")
    results = [
        row(f"{what} against the bare arithmetic", BARE_LIMIT, against_bare),
        row("the same of the rota of a plan", REAL_LIMIT, real()),
        row("discrete events against it", EVENTS_LIMIT, against_events, at_least=True),
        row("a plain loop against it", LOOP_LIMIT, against_loop, at_least=True),
        row(f"a season of {LONG:,} against one of {SEASONS:,}", LINEAR, linear),
        row("memory of that, peak", MEMORY_LIMIT_MB, memory_mb, "MB"),
    ]
    told("`risk` of that plan as a whole process against the bare arithmetic", command_s() / min(floor), "x")
    return 0 if all(results) else 1


def real() -> float:
    """The seasons of a rota with chosen dates against the bare arithmetic, both measured in turn."""
    table = timetable(schedule(read_plan(home_text(), "plan.toml")))
    danger = danger_for(None)
    lived, floor = [], []
    for _ in range(ROUNDS * QUICK):
        lived.append(seconds(lambda: play(table, danger, SEASONS, 1)))
        floor.append(seconds(bare))
    return min(lived) / min(floor)


def command_s() -> float:
    """Seconds of the whole command on that plan, with its dates remembered."""
    with room() as name:
        folder = Path(name)
        (folder / "plan.toml").write_text(home_text(), encoding="utf-8")
        words = ("-m", "greenrota", "risk", "--seasons", str(SEASONS))
        return min(processor_s(words, environment(folder), folder) for _ in range(3))


def home_text() -> str:
    """A plan for eight jars of one strain, three working days a week and a week away. Invented."""
    jar = '[[vessel]]\nname = "jar {}"\nvolume = "5 L"\nfill = "4 L"\nphotoperiod = "14 h"\n'
    return (
        f'[rota]\nname = "eight"\nstart = 2027-02-01\ndays = {DAYS}\nstrain = "tetraselmis"\n'
        '[room]\ntemperature = "22 degC"\n[water]\nsalinity = "26 psu"\n'
        '[[nutrient]]\nname = "f2"\nmedium = "f/2"\ndose = "0.20 mL/L"\n'
        '[[starter]]\nname = "bought"\nvolume = "1 L"\ndensity = "2e6 cells/mL"\non_hand = 2027-01-30\n'
        '[tank]\nvolume = "300 L"\nration = "400 mL/day"\nkeeps = "14 days"\n'
        '[work]\ndays = ["Wed", "Sat", "Sun"]\n[[away]]\nfrom = 2027-03-08\nto = 2027-03-14\n'
        + "".join(jar.format(number) for number in range(VESSELS))
    )


if __name__ == "__main__":
    sys.exit(main())
