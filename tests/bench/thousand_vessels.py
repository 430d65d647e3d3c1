"""How scheduling grows with the shelf: 100 and 1,000 vessels for 365 days, each in a process of its own.

Run with the interpreter of an environment that has the package: `python tests/bench/thousand_vessels.py`.
The sizes take turns, so that a slow moment of the machine hits both; the fastest run of each counts.
Ends with 1 when time, growth of time or peak memory is above its limit.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import time
from datetime import date

FEW, MANY = 100, 1_000
DAYS = 365
ROUNDS = 3  # our choice
LIMIT_S = 10.0  # our goal for the large shelf, schedule alone
LIMIT_FACTOR = 12.0  # our goal: ten times the vessels, at most twelve times the time
LIMIT_MB = 500.0  # our goal: peak of the whole process on the large shelf


def plan_text(vessels: int) -> str:
    """An invented shelf of equal jars in three strains, with a starter of each and days off."""
    strains = ("tetraselmis", "isochrysis", "chaetoceros")
    lines = [
        f'[rota]\nname = "large"\nstart = 2027-01-01\ndays = {DAYS}\n',
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
    """Seconds of one call, tasks made, and peak memory in MB of this process so far."""
    from greenrota.planfile.read.load import read_plan
    from greenrota.rota.schedule import schedule

    plan = read_plan(plan_text(vessels), "plan.toml")
    start = time.perf_counter()
    rota = schedule(plan)
    seconds = time.perf_counter() - start
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


def main() -> int:
    """Measure, print, and say whether the limits hold."""
    rounds = [{size: in_process(size) for size in (FEW, MANY)} for _ in range(ROUNDS)]
    best = {size: min(each[size] for each in rounds) for size in (FEW, MANY)}
    for size, (seconds, tasks, peak_mb) in best.items():
        print(f"{size:5} vessels, {DAYS} days: {seconds:6.2f} s  {tasks:7} tasks  peak {peak_mb:5.0f} MB")
    seconds, _, peak_mb = best[MANY]
    factor = seconds / best[FEW][0]
    print(
        f"limits: {seconds:.2f} s of {LIMIT_S}, factor {factor:.1f} of {LIMIT_FACTOR}, {peak_mb:.0f} MB of {LIMIT_MB}"
    )
    return 0 if seconds <= LIMIT_S and factor <= LIMIT_FACTOR and peak_mb <= LIMIT_MB else 1


if __name__ == "__main__":
    if len(sys.argv) > 1:
        print(measure(int(sys.argv[1])))
    else:
        sys.exit(main())
