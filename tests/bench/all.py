"""Run every benchmark of this folder, one after the other, and print one table with what each had to say.

Run from an environment that has the package and its test extras: python tests/bench/all.py [NAME ...]
A benchmark that ends with an error counts as failed; so does this run then.
"""

from __future__ import annotations

import subprocess
import sys
import time
from pathlib import Path

FOLDER = Path(__file__).parent


def main() -> None:
    """Run those that are named, or all."""
    wanted = set(sys.argv[1:])
    names = sorted(file.stem for file in FOLDER.glob("*.py") if file.name != Path(__file__).name)
    unknown = wanted - set(names)
    if unknown:
        sys.exit(f"no such benchmark: {', '.join(sorted(unknown))}; there are: {', '.join(names)}")
    failed = []
    for name in names:
        if wanted and name not in wanted:
            continue
        began = time.perf_counter()
        ended = subprocess.run(
            [sys.executable, FOLDER / f"{name}.py"], capture_output=True, text=True, check=False
        )
        verdict = "ok" if ended.returncode == 0 else f"FAILED ({ended.returncode})"
        print(f"\n{name}: {verdict}, {time.perf_counter() - began:.1f} s")
        for line in (ended.stdout + ended.stderr).rstrip().splitlines():
            print(f"  | {line}")
        sys.stdout.flush()
        if ended.returncode:
            failed.append(name)
    sys.exit(f"failed: {', '.join(failed)}" if failed else 0)


if __name__ == "__main__":
    main()
