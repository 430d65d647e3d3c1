"""Nonsense of every kind through the command line: told, never a crash, and not a byte of the logbook lost.

Truth: by hand from what the program promises: status 0, 1 or 2, no traceback, every problem with code, place and hint,
nothing that steers a terminal. `long.py` beside this file tries as many as one has patience for.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from giants import GIANTS
from mutants import mutant
from trial import trial

MUTANTS = 300
PARTS = 10  # one test each, so that a failure names its neighbourhood


@pytest.mark.parametrize("part", range(PARTS))
def test_no_mutant_gets_through(part: int, tmp_path: Path) -> None:
    for number in range(part, MUTANTS, PARTS):
        folder = tmp_path / str(number)
        folder.mkdir()
        one = mutant(number)
        assert not trial(one, folder).faults, one.told


@pytest.mark.parametrize("name", sorted(GIANTS))
def test_no_giant_takes_long(name: str, tmp_path: Path) -> None:
    assert not trial(GIANTS[name](), tmp_path).faults
