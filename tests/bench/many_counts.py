"""What a ripe day costs with many counts in one filling, against one with as many as an estimate rests on.

Run by hand: python tests/bench/many_counts.py
"""

from __future__ import annotations

import sys
import time
from datetime import timedelta
from pathlib import Path

from rows import row, told

sys.path.insert(0, str(Path(__file__).parents[1] / "made"))
from made_plans import START, example_plan, example_vessel

from greenrota.logbook.entry import Entry
from greenrota.rota.answers.ripeness import ripe_days_of
from greenrota.rota.replay.spreads import MOST_COUNTS
from greenrota.rota.schedule import schedule

MANY, DAYS = 240, 5
GOAL = 2.0  # our choice: what is left to grow is the reading of the entries


def milliseconds(counts: int) -> float:
    """The least processor time of some ripe days, with so many counts in one filling."""
    book = [Entry(START, "started", "north", (("from", "starter:bought"), ("inoculum", 187.5)), 1)]
    for n in range(counts):
        grown = n * DAYS / counts
        on = START + timedelta(days=1 + int(grown))
        book.append(Entry(on, "counted", "north", (("density", 1e5 * 1.3**grown),), n + 2))
    rota = schedule(
        example_plan(days=40, vessels=(example_vessel("north"),)), book, START + timedelta(days=DAYS)
    )
    found = []
    for _ in range(20):
        began = time.process_time()
        assert ripe_days_of(rota, ["north"], book)
        found.append(time.process_time() - began)
    return 1000.0 * min(found)


def main() -> None:
    """Print the time and the ratio."""
    few, many = milliseconds(MOST_COUNTS), milliseconds(MANY)
    told(f"ripe day of a filling with {MANY} counts", many, "ms")
    held = row(f"the same against {MOST_COUNTS} counts", GOAL, many / few)
    sys.exit(0 if held else 1)


if __name__ == "__main__":
    main()
