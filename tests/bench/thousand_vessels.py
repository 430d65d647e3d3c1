"""How scheduling grows with the shelf: 100 and 1,000 vessels for 365 days, and `check` of 5,000 for a month.

Run with the interpreter of an environment that has the package: `python tests/bench/thousand_vessels.py`.
Each in a process of its own, pinned to one core and in turn; processor time, medians of the ratios within a round.
Ends with 1 when time, growth of time or peak memory is above its goal.
"""

from __future__ import annotations

import resource
import statistics
import subprocess
import sys
import time
from datetime import date
from pathlib import Path

from rows import environment, pin, processor_s, room, row

FEW, MANY, HUGE = 100, 1_000, 5_000
DAYS = 365
ROUNDS = 3  # our choice
GOAL_S = 5.0  # our goal for the large shelf, schedule alone, and for `check` of the huge one
GOAL_FACTOR = 10.5  # our goal: ten times the vessels, hardly more than ten times the time
HUGE_DAYS = 31
GOAL_MB = 500.0  # our goal: peak of the whole process on the large shelf


def plan_text(vessels: int, days: int = DAYS) -> str:
    """An invented shelf of equal jars in three strains, with a starter of each and days off."""
    strains = ("tetraselmis", "isochrysis", "chaetoceros")
    lines = [
        f'[rota]\nname = "large"\nstart = 2027-01-01\ndays = {days}\n',
        '[room]\ntemperature = "22 degC"\n[water]\nsalinity = "28 psu"\n',
        '[[nutrient]]\nname = "f2"\nmedium = "f/2"\ndose = "0.20 mL/L"\n',
        '[work]\ndays = ["Mon", "Wed", "Fri", "Sat"]\n',
        "[[away]]\nfrom = 2027-07-05\nto = 2027-07-18\n",
    ]
    for strain in strains:
        lines.append(f'[[starter]]\nname = "{strain}"\nstrain = "{strain}"\nvolume = "20 L"\n')
        lines.append(f'density = "4e6 cells/mL"\non_hand = {date(2026, 12, 31)}\n')
    for number in range(vessels):
        lines.append(f'[[vessel]]\nname = "v{number}"\nstrain = "{strains[number % 3]}"\n')
        lines.append('volume = "5 L"\nfill = "4 L"\nphotoperiod = "14 h"\n')
    return "".join(lines)


def measure(vessels: int) -> str:
    """Processor seconds of one call, tasks made, and peak memory in MB of this process so far."""
    import greenrota.cli.main  # noqa: F401 - sets when garbage is looked for, as every command does
    from greenrota.planfile.read.load import read_plan
    from greenrota.rota.schedule import schedule

    plan = read_plan(plan_text(vessels), "plan.toml")
    start = time.process_time()
    rota = schedule(plan)
    seconds = time.process_time() - start
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    peak_mb = peak / (1e6 if sys.platform == "darwin" else 1e3)  # bytes there, kilobytes elsewhere
    return f"{seconds} {len(rota.tasks)} {peak_mb}"


def in_process(vessels: int) -> tuple[float, int, float]:
    """One measurement in a process of its own."""
    done = subprocess.run(
        [sys.executable, __file__, str(vessels)], check=True, capture_output=True, encoding="ascii"
    )
    seconds, tasks, peak_mb = done.stdout.split()
    return float(seconds), int(tasks), float(peak_mb)


def checked_s() -> float:
    """Processor seconds of `check` of the huge shelf, as a whole process."""
    with room() as name:
        folder = Path(name)
        (folder / "plan.toml").write_text(plan_text(HUGE, HUGE_DAYS), encoding="utf-8")
        around = {**environment(folder), "GREENROTA_CACHE": ""}
        words = ("-m", "greenrota", "check")
        return min(processor_s(words, around, folder) for _ in range(2))


def main() -> int:
    """Measure, print, and say whether the goals are met."""
    pin()
    rounds = [{size: in_process(size) for size in (FEW, MANY)} for _ in range(ROUNDS)]
    factor = statistics.median(each[MANY][0] / each[FEW][0] for each in rounds)
    peak_mb = max(each[MANY][2] for each in rounds)
    results = [
        row(f"{MANY:,} vessels, {DAYS} days, rota alone", GOAL_S, min(each[MANY][0] for each in rounds), "s"),
        row(f"{MANY:,} vessels against {FEW}", GOAL_FACTOR, factor),
        row(f"memory of {MANY:,} vessels, peak", GOAL_MB, peak_mb, "MB"),
        row(f"`check` of {HUGE:,} vessels, {HUGE_DAYS} days, whole process", GOAL_S, checked_s(), "s"),
    ]
    return 0 if all(results) else 1


if __name__ == "__main__":
    if len(sys.argv) > 1:
        print(measure(int(sys.argv[1])))
    else:
        sys.exit(main())
