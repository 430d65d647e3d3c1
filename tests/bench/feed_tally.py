"""How long a tally of feed takes: the search asks for one for every choice of dates it weighs.

Run by hand: python tests/bench/feed_tally.py
"""

from __future__ import annotations

import sys
import timeit
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "planfile"))

from plan_texts import SHORT
from rows import row

from greenrota.culture.growth.broth import Broth
from greenrota.planfile.read.load import read_plan
from greenrota.rota.feed.tally import RationTally
from greenrota.rota.plan import Consumer, Tank
from greenrota.rota.state.state import HarvestBottle

DAYS, LOTS = 62, 50  # two months, eight vessels: the largest home plan
GOAL_US = 100.0  # our choice: ten thousand choices of dates in a second


def main() -> None:
    plan = replace(read_plan(SHORT, "plan"), days=DAYS, tank=Tank(300.0, 120.0, 14))
    broth = Broth(1.0, 1e6, 800.0, 30.0, 0.0, 26.0)
    harvests = [
        HarvestBottle(
            f"harvest:north/{n}",
            f"north/{n}",
            "tetraselmis",
            plan.start + timedelta(days=n * DAYS // LOTS),
            150.0,
            broth,
        )
        for n in range(LOTS)
    ]
    several = replace(plan, consumers=(Consumer("copepods", 40.0), Consumer("clams", 20.0)))
    cells = replace(plan, tank=Tank(300.0, 0.0, 14, ration_cells_per_ml=4e2))
    for name, fed in (("one consumer", plan), ("three consumers", several), ("in cells", cells)):
        tally = RationTally(fed)
        seconds = min(
            timeit.repeat(lambda tally=tally: tally.tally(harvests, plan.through), number=200, repeat=5)
        )
        row(f"tally of feed, {name}, {DAYS} days, {LOTS} lots", GOAL_US, seconds / 200 * 1e6, "us")


if __name__ == "__main__":
    main()
