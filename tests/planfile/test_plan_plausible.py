"""A figure that cannot be is refused where it stands; one that is only unusual is read."""

from __future__ import annotations

import pytest
from plan_texts import FULL, SHORT, changed, only_problem, problems

from greenrota.planfile.read.load import read_plan

DENSITY, CEILING = 'density   = "2e6 cells/mL"', 'ceiling = "1.3e6 cells/mL"'
DOSE = 'dose = "0.20 mL/L"'
NANNO = (
    SHORT
    + '[[starter]]\nname = "n"\nstrain = "{}"\nvolume = "1 L"\ndensity = "8e9 /mL"\non_hand = 2027-01-30\n'
)
OWN = '[medium.mine]\nnitrate = "{}"\nphosphate = "30 umol/L"\n'


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        (changed(DENSITY, 'density   = "8e9 cells/mL"', FULL), 25, "do not fit side by side"),
        (changed(CEILING, 'ceiling = "1.3e10 cells/mL"', FULL), 57, "1e10"),
        (changed(CEILING, 'ceiling = "6e9 cells/mL"', FULL), 57, "do not fit side by side"),
        # by hand: 882 umol/L in 0.02 mL would be 44 mol/L of nitrogen
        (changed(DOSE, 'dose = "0.02 mL/L"'), 13, "more nitrogen than dissolves"),
        (changed(DOSE, 'dose = "200 mL/L"'), 13, "0.001 to 100"),
        (NANNO.format("tetraselmis"), 23, "cells of tetraselmis"),
    ],
)
def test_what_cannot_be_is_refused_with_its_place(text: str, line: int, words: str) -> None:
    problem = only_problem(text)
    assert (problem.code, problem.where.line) == ("out-of-range", line)
    assert words in problem.what
    assert "usual" in problem.hint


def test_a_small_cell_may_stand_closer() -> None:
    assert read_plan(NANNO.format("nannochloropsis"), "plan.toml").starters[0].density_per_ml == 8e9


def test_an_own_strain_is_packed_like_its_base() -> None:
    mine = '[strain.mine]\nbase = "{}"\n'
    read_plan(NANNO.format("mine") + mine.format("nannochloropsis"), "plan.toml")
    assert only_problem(NANNO.format("mine") + mine.format("tetraselmis")).where.line == 23


@pytest.mark.parametrize(
    ("nitrate", "fits"), [("400 umol/L", True), ("880 umol/L", False), ("55 mg/L", False)]
)
def test_an_own_medium_has_its_own_least_dose(nitrate: str, fits: bool) -> None:
    text = changed(DOSE, 'dose = "0.03 mL/L"').replace('"f/2"', '"mine"') + OWN.format(nitrate)
    if fits:
        assert read_plan(text, "plan.toml").nutrients["f2"].dose_ml_per_l == 0.03
    else:
        assert only_problem(text).where.line == 13


def test_it_is_told_with_every_other_problem_of_the_file() -> None:
    text = changed(DENSITY, 'density   = "8e9 cells/mL"', FULL).replace('"300 L"', '"300 kg"')
    assert [(each.where.line, each.code) for each in problems(text)] == [
        (25, "out-of-range"),
        (43, "wrong-dimension"),
    ]


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (
            'dose   = "0.20 mL/L"         # label dose that brings plain seawater to full strength',
            'dose = "20 mL/L"',
        ),
        ('volume = "300 L"', 'volume = "3 L"'),
        ('fill        = "4 L"          # working volume', 'fill = "40 mL"'),
        (DENSITY, 'density   = "8e7 cells/mL"'),
    ],
)
def test_what_is_unusual_is_read(old: str, new: str) -> None:
    read_plan(changed(old, new, FULL), "plan.toml")
