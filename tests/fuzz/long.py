"""Many mutants: `python tests/fuzz/long.py --count 20000 [--from 0] [--jobs 2]`, with the package installed.

Each process has an address space of its own, limited where the system can do that. Prints what became of the inputs
and every fault found; ends with 1 if there is one. A mutant that failed is looked at again with `--from N --count 1`.
"""

from __future__ import annotations

import argparse
import multiprocessing
import shutil
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

from mutants import mutant
from trial import Verdict, trial

MEMORY_BYTES = 1_000_000_000  # our choice: address space of one process, ten times what a usual run takes
_SHOWN = 3  # faults of one kind that are shown whole; our choice


def _limit_memory() -> None:
    try:
        import resource
    except ImportError:
        return
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))


def _try(number: int) -> tuple[int, str, Verdict]:
    folder = Path(tempfile.mkdtemp(prefix="mutant-"))
    try:
        one = mutant(number)
        return number, one.told, trial(one, folder)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def main() -> int:
    """Try so many mutants and say what became of them."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=20_000)
    parser.add_argument("--from", dest="first", type=int, default=0)
    parser.add_argument("--jobs", type=int, default=multiprocessing.cpu_count())
    given = parser.parse_args()
    began = time.monotonic()
    statuses: Counter[int | None] = Counter()
    codes: Counter[str] = Counter()
    kinds: Counter[str] = Counter()
    longest = 0.0
    numbers = range(given.first, given.first + given.count)
    with multiprocessing.Pool(given.jobs, _limit_memory) as pool:
        for number, told, verdict in pool.imap_unordered(_try, numbers, chunksize=20):
            statuses[verdict.status] += 1
            codes.update(set(verdict.codes))
            longest = max(longest, verdict.seconds)
            for fault in verdict.faults:
                kind = fault.strip().rpartition("\n")[2][:100]
                kinds[kind] += 1
                if kinds[kind] <= _SHOWN:
                    print(f"{number} ({told}):\n{fault[-1500:]}\n", flush=True)
    print(f"{given.count} mutants in {time.monotonic() - began:.0f} s, the longest {longest:.1f} s")
    print("statuses:", dict(statuses))
    print(f"{len(codes)} codes told:", ", ".join(f"{code} {n}" for code, n in codes.most_common()))
    print("faults:", dict(kinds) or "none")
    return 1 if kinds else 0


if __name__ == "__main__":
    sys.exit(main())
