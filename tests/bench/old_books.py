"""How long a book of 100,000 entries takes to read, as one file and with each year but the last in an archive.

Run by hand: python tests/bench/old_books.py
"""

from __future__ import annotations

import tempfile
import time
from datetime import date, timedelta
from pathlib import Path

from greenrota.logbook.archive.moving import move
from greenrota.logbook.store import load

ENTRIES, PER_DAY = 100_000, 12  # some twenty-three years of a large shelf
FIRST = date(1990, 1, 1)
GOAL_S = 1.0  # our choice: more than any shelf will ever have, without a wait that is felt
# What a working day writes, with amounts that differ from day to day.
DAY = (
    "prepared north volume={ml}mL",
    "counted north density={n}e5/mL",
    "harvested north volume={ml}mL",
    "reseeded north inoculum=800mL",
    'note south text="as usual"',
    "fed south dose=1",
)


def lines() -> list[str]:
    """The lines of the book."""
    made = []
    for n in range(ENTRIES):
        on = FIRST + timedelta(days=n // PER_DAY)
        text = DAY[n % len(DAY)].format(ml=2400 + n % 97, n=1 + n % 9)
        made.append(f"{on} {text} n={n + 1}")
    return made


def seconds(book: Path) -> float:
    """The least processor time of some readings, in seconds."""
    found = []
    for _ in range(5):
        began = time.process_time()
        assert len(load(book).entries) == ENTRIES
        found.append(time.process_time() - began)
    return min(found)


def main() -> None:
    """Print both times and their ratio."""
    with tempfile.TemporaryDirectory() as folder:
        book = Path(folder) / "plan.log"
        book.write_text("".join(f"{line}\n" for line in lines()), encoding="utf-8")
        whole = seconds(book)
        last = FIRST + timedelta(days=ENTRIES // PER_DAY)
        for year in range(FIRST.year, last.year):
            move(book, date(year, 12, 31))
        parts = seconds(book)
        archives = len(load(book).archives)
    print(
        f"{ENTRIES:,} entries read: {whole:.2f} s as one file, {parts:.2f} s with {archives} archives "
        f"({parts / whole:.2f} times; goal {GOAL_S:.0f} s, processor time)"
    )


if __name__ == "__main__":
    main()
