"""The page of checks names tests that are there, and leaves no formula of the model out.

Truth: by hand, which displayed formula of the model is which row.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
_ROW = re.compile(r"^- ([^:]+): ([^;]+); `(tests/[a-z_/]+\.py)::(test_\w+)`$", re.MULTILINE)
PAGE = re.sub(r"\n +", " ", (ROOT / "docs" / "checks.md").read_text(encoding="utf-8"))  # lines may be wrapped
ROWS = _ROW.findall(PAGE)
KINDS = ("published", "library", "integrator", "by hand", "simulation", "certified")

# How each displayed formula of the model begins, and the row that checks it.
FORMULAS = {
    "rho(S, t) =": "seawater density",
    "SG =": "hydrometer reading",
    "salt =": "dry salt",
    "dose =": "dose",
    "dN/dt =": "growth",
    "N(t)  =": "growth",
    "t = lag +": "days to a density",
    "r = r_best": "rate, product of factors",
    "f = (t - t_max)": "temperature factor",
    "/ [ (t_opt": "temperature factor",
    "K = min(": "lowest of the ceilings",
    "K_bench =": "vessel ceiling and volume",
    "lag   =": "lag after the fridge",
    "alive =": "alive after the fridge",
    "supply =": "carbon in air",
    "z = ((z": "saw-tooth",
    "N = K / (1 + z)": "saw-tooth",
    "N' =": "curve with crowding, and its slopes",
    "N(t) =": "curve with crowding, and its slopes",
    "f(x) =": "scale of a count",
}


@pytest.mark.parametrize(("formula", "kind", "file", "test"), ROWS, ids=[f"{r[0]}: {r[3]}" for r in ROWS])
def test_a_check_is_there(formula: str, kind: str, file: str, test: str) -> None:
    assert kind.startswith(KINDS), formula
    assert re.search(rf"^def {test}\(", (ROOT / file).read_text(encoding="utf-8"), re.MULTILINE), formula


def test_no_line_of_the_list_is_passed_over() -> None:
    checks, _, _ = PAGE.partition("\n## ")
    lines = checks.splitlines()
    assert len(ROWS) == sum(line.startswith("- ") for line in lines)


def test_every_displayed_formula_of_the_model_has_its_row() -> None:
    shown = re.findall(
        r"^ {4,}(\S.*)$", (ROOT / "docs" / "model.md").read_text(encoding="utf-8"), re.MULTILINE
    )
    named = {row[0] for row in ROWS}
    assert shown
    for line in shown:
        rows = [row for start, row in FORMULAS.items() if line.startswith(start)]
        assert len(rows) == 1, line
        assert rows[0] in named, line
    assert all(any(line.startswith(start) for line in shown) for start in FORMULAS)
