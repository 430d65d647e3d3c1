"""How long `greenrota --help` takes against the bare import it can not do without.

Run with the interpreter of an environment that has the package: `python tests/bench/start_up.py`.
Every command runs once a round, so that a slow moment of the machine hits all alike; medians are compared.
Ends with 1 when the ratio is above the limit.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time

ROUNDS = 21  # our choice: the median stays within a few percent on a noisy machine
HELP_LIMIT = 2.0  # our goal: --help at most twice the bare import of typer
COMMANDS = {
    "pass": ["-c", "pass"],
    "import typer": ["-c", "import typer"],
    "--help": ["-m", "greenrota", "--help"],
}


def wall_ms(arguments: list[str]) -> float:
    """One whole process, in milliseconds."""
    start = time.perf_counter()
    subprocess.run([sys.executable, *arguments], check=True, stdout=subprocess.DEVNULL)
    return (time.perf_counter() - start) * 1000.0


def main() -> int:
    """Measure, print, and say whether the limit holds."""
    for arguments in COMMANDS.values():
        wall_ms(arguments)  # byte-code and disk cache
    rounds = [{name: wall_ms(arguments) for name, arguments in COMMANDS.items()} for _ in range(ROUNDS)]
    medians_ms = {name: statistics.median(each[name] for each in rounds) for name in COMMANDS}
    for name, median_ms in medians_ms.items():
        print(f"{name:14} {median_ms:7.1f} ms  {median_ms / medians_ms['pass']:5.1f} x pass")
    ratio = medians_ms["--help"] / medians_ms["import typer"]
    print(f"--help is {ratio:.2f} times import typer (limit {HELP_LIMIT})")
    return 0 if ratio <= HELP_LIMIT else 1


if __name__ == "__main__":
    sys.exit(main())
