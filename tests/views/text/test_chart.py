"""The terminal chart: same numbers, same text; dots where the values are; plain ASCII where asked."""

import math

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from greenrota.views.text.chart import Axes, Line, line_chart

AXES = Axes("day", "cells/mL", ticks=[(0, "1 Feb"), (10, "11 Feb")], marks=[(0, "S"), (5, "F"), (5, "H")])
SAW = Line("density", [(0, 1e5), (5, 9e5), (5, 2e5), (10, 9e5)])
POINTS = st.lists(st.tuples(st.floats(0, 400), st.floats(0, 1e8)), min_size=1, max_size=30).map(sorted)


def dots(text: str) -> set[tuple[int, int]]:
    """(row, column) of every filled cell of the plot."""
    return {
        (r, c)
        for r, line in enumerate(text.splitlines())
        for c, sign in enumerate(line)
        if 0x2800 < ord(sign) <= 0x28FF
    }


def test_axes_name_title_unit_ticks_and_marks() -> None:
    lines = line_chart([SAW], AXES, width=60).splitlines()
    assert lines[0] == "cells/mL"
    assert lines[1].strip().startswith("1e6 ")
    assert lines[7].strip().startswith("500000 ")
    assert lines[13].strip().startswith("0 ")
    assert lines[14].split() == ["\u2502S", "F"]
    assert lines[15].split() == ["\u2502", "H"]
    assert lines[14].index("F") == lines[15].index("H")
    assert lines[-2].split() == ["1", "Feb", "11", "Feb"]
    assert lines[-1].strip() == "day"


def test_a_straight_line_fills_the_diagonal() -> None:
    text = line_chart([Line("x", [(0, 0), (1, 1)])], Axes("x", "y"), width=24, height=12)
    rows = [[c for r, c in dots(text) if r == row] for row in range(1, 13)]
    assert all(rows)
    assert [min(row) for row in rows] == sorted((min(row) for row in rows), reverse=True)


def test_a_harvest_is_an_upright_stroke() -> None:
    text = line_chart([Line("x", [(0, 8), (5, 8), (5, 1), (10, 1)])], Axes("x", "y"), width=40, height=11)
    columns = [column for _, column in dots(text)]
    assert max(columns.count(c) for c in set(columns)) >= 9


def test_a_dotted_line_has_gaps_and_is_named() -> None:
    ceiling = [(0.0, 1e6), (10.0, 1e6)]
    solid = line_chart([Line("ceiling", ceiling)], AXES)
    dotted = line_chart([Line("ceiling", ceiling, dotted=True)], AXES)
    assert dotted != solid
    both = line_chart([SAW, Line("ceiling", ceiling, dotted=True)], AXES)
    assert both.splitlines()[-1].strip() == "solid: density, dotted: ceiling"


@example([(0.0, 5e-324)], 20, 3, False)
@given(POINTS, st.integers(20, 120), st.integers(3, 20), st.booleans())
def test_any_series_fits_its_frame(
    points: list[tuple[float, float]], width: int, height: int, ascii_only: bool
) -> None:
    text = line_chart([Line("x", points)], Axes("day", "y"), width, height, ascii_only)
    lines = text.splitlines()
    assert len(lines) == height + 3
    assert max(map(len, lines)) <= width
    assert text.isascii() or not ascii_only


@given(st.floats(1e-6, 1e9))
def test_the_top_of_the_axis_is_at_or_above_the_largest_value(largest: float) -> None:
    top = float(
        line_chart([Line("x", [(0, largest)])], Axes("d", "y"), ascii_only=True).splitlines()[1].split()[0]
    )
    assert largest * (1 - 1e-9) <= top <= largest * 2.0 + 1e-12  # ends are at most a factor of two apart


@pytest.mark.parametrize("points", [[], [(0.0, -1.0)], [(0.0, math.nan)], [(math.inf, 1.0)]])
def test_what_can_not_be_drawn_is_refused(points: list[tuple[float, float]]) -> None:
    with pytest.raises(ValueError, match="at least one point"):
        line_chart([Line("x", points)], AXES)
