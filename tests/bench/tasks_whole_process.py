"""How long `greenrota tasks` takes as a whole process against the bare import of what it is built on.

Run with the interpreter of an environment that has the package: `python tests/bench/tasks_whole_process.py`.
Every command runs once a round, so that a slow moment of the machine hits all alike; medians are compared.
Ends with 1 when the ratio on the metric shelf is above the limit.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from pathlib import Path

EXAMPLES = Path(__file__).parents[2] / "examples"
ROUNDS = 15  # our choice: the median stays within a few percent on a noisy machine
LIMIT = 1.5  # our goal: the whole command at most one and a half times the bare imports
FLOOR = "bare imports"
MEASURED = "tasks shelf"
COMMANDS = {
    "pass": ["-c", "pass"],
    FLOOR: ["-c", "import typer, pydantic, numpy, pint"],
    MEASURED: ["-m", "greenrota", "tasks", str(EXAMPLES / "shelf.toml")],
    "tasks us-pair": ["-m", "greenrota", "tasks", str(EXAMPLES / "us-pair.toml")],
    "tasks corner": ["-m", "greenrota", "tasks", str(EXAMPLES / "corner.toml")],
}


def wall_ms(arguments: list[str]) -> float:
    """One whole process, in milliseconds."""
    start = time.perf_counter()
    subprocess.run(
        [sys.executable, *arguments], check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )
    return (time.perf_counter() - start) * 1000.0


def main() -> int:
    """Measure, print, and say whether the limit holds."""
    for arguments in COMMANDS.values():
        wall_ms(arguments)  # byte-code and disk cache
    rounds = [{name: wall_ms(arguments) for name, arguments in COMMANDS.items()} for _ in range(ROUNDS)]
    medians_ms = {name: statistics.median(each[name] for each in rounds) for name in COMMANDS}
    for name, median_ms in medians_ms.items():
        print(f"{name:14} {median_ms:7.1f} ms  {median_ms / medians_ms[FLOOR]:5.2f} x {FLOOR}")
    ratio = medians_ms[MEASURED] / medians_ms[FLOOR]
    print(f"{MEASURED} is {ratio:.2f} times the {FLOOR} (limit {LIMIT})")
    return 0 if ratio <= LIMIT else 1


if __name__ == "__main__":
    sys.exit(main())
