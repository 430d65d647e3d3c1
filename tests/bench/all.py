"""Run the benchmarks and print one list: figure, last value, goal, below the machine.

Run from an environment that has the package and its test extras: python tests/bench/all.py [--write] [NAME ...]
Without names it runs those that take some minutes together; `--write` puts the list into docs/benchmarks.md. A
benchmark whose goals are missed ends with an error, and so does this run then.
"""

from __future__ import annotations

import subprocess
import sys
import time
from datetime import date
from pathlib import Path

from rows import machine

FOLDER = Path(__file__).parent
PAGE = FOLDER.parents[1] / "docs" / "benchmarks.md"
USUAL = ("whole_process", "thousand_vessels", "risk", "feed_tally", "many_counts", "best_dates")
NO_BENCHMARKS = ("all", "rows")
BEGIN = "<!-- table -->\n"  # what follows is written by this program


def run(name: str) -> tuple[list[str], int]:
    """The rows of a benchmark and its status; what else it says goes to stderr."""
    began = time.perf_counter()
    ended = subprocess.run(
        [sys.executable, FOLDER / f"{name}.py"], capture_output=True, text=True, check=False
    )
    said = (ended.stdout + ended.stderr).rstrip().splitlines()
    rows = [line for line in said if line.startswith("| ")]
    print(f"\n{name}: status {ended.returncode}, {time.perf_counter() - began:.0f} s", file=sys.stderr)
    for line in said:
        if line not in rows:
            print(f"  {line}", file=sys.stderr)
    return rows, ended.returncode


def item(line: str) -> str:
    """A row of a benchmark as a line of the page; a goal that is missed stands out.

    >>> item("| time of `tasks` | at most 1.3 x | 1.45 x | **no** |")
    '- time of `tasks`: 1.45 x, goal at most 1.3 x, **missed**'
    """
    figure, goal, value, met = (cell.strip() for cell in line.strip().strip("|").split("|"))
    wanted = "" if goal == "-" else f", goal {goal}"
    return f"- {figure}: {value}{wanted}{', **missed**' if 'no' in met else ''}"


def main() -> None:
    """Run those that are named, or the usual ones."""
    words = [word for word in sys.argv[1:] if word != "--write"]
    names = sorted(file.stem for file in FOLDER.glob("*.py") if file.stem not in NO_BENCHMARKS)
    unknown = set(words) - set(names)
    if unknown:
        sys.exit(f"no such benchmark: {', '.join(sorted(unknown))}; there are: {', '.join(names)}")
    rows, failed = [], []
    for name in words or USUAL:
        found, status = run(name)
        rows += map(item, found)
        failed += [name] if status else []
    table = "\n".join(rows) + "\n"
    print(f"{machine()}\n\n{table}")
    if "--write" in sys.argv:
        before = PAGE.read_text(encoding="utf-8").split(BEGIN)[0]
        PAGE.write_text(
            f"{before}{BEGIN}Measured on {date.today()}: {machine()}.\n\n{table}", encoding="utf-8"
        )
    sys.exit(f"goals missed: {', '.join(failed)}" if failed else 0)


if __name__ == "__main__":
    main()
