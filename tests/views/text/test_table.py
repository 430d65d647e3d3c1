"""Plain tables: columns line up, a pipe gets whole lines, a screen gets lines that fit."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from greenrota.views.text.lettering import display_width
from greenrota.views.text.table import Column, render_table

COLUMNS = [Column("vessel"), Column("mL", number=True), Column("reason")]
CELL = st.text(st.characters(categories=("L", "N")), max_size=12)
ROWS = st.lists(
    st.tuples(CELL, CELL, st.text(st.characters(categories=("L", "N", "Zs")), max_size=200)), max_size=6
)


def test_numbers_stand_to_the_right() -> None:
    shown = render_table(COLUMNS, [["north", "120", "ripe"], ["\u5317", "80", "over-ripe"]])
    assert shown.splitlines() == ["vessel   mL  reason", "north   120  ripe", "\u5317       80  over-ripe"]


@given(ROWS)
def test_a_pipe_gets_one_line_a_row_with_everything_in_it(rows: list[tuple[str, str, str]]) -> None:
    lines = render_table(COLUMNS, rows).split("\n")
    assert len(lines) == 1 + len(rows)
    for line, row in zip(lines[1:], rows, strict=True):
        assert all(cell.rstrip() in line for cell in row)


@given(ROWS, st.integers(60, 120))
def test_a_screen_gets_lines_that_fit_and_no_letter_is_lost(
    rows: list[tuple[str, str, str]], width: int
) -> None:
    shown = render_table(COLUMNS, rows, width)
    assert all(display_width(line) <= width for line in shown.split("\n"))
    letters = "".join(c for row in rows for cell in row for c in cell if not c.isspace())
    assert sorted("".join(shown.split())) == sorted("vesselmLreason" + letters)


def test_the_text_column_keeps_some_room_on_a_tiny_screen() -> None:
    shown = render_table(COLUMNS, [["north", "120", "take what is above the mark"]], 10)
    assert "take what is" in shown


def test_titles_give_way_before_texts_and_texts_before_the_edge() -> None:
    columns = [Column("any day short", number=True), Column("95 % interval"), Column("at 95%")]
    rows = [["7.0 %", "2.9 % to 13.9 %", "no"]]
    shown = render_table(columns, rows, 32)
    assert shown.splitlines()[-1] == "  7.0 %  2.9 % to 13.9 %  no"
    assert all(display_width(line) <= 32 for line in shown.splitlines())
    narrow = render_table(columns, rows, 26)
    assert all(display_width(line) <= 26 for line in narrow.splitlines())
    assert sorted(narrow.split()) == sorted(shown.split())


def test_a_cell_from_a_file_can_not_steer_the_terminal() -> None:
    assert "\x1b" not in render_table(COLUMNS, [["\x1b[2J", "1", "x"]])


def test_a_row_of_the_wrong_length_is_refused() -> None:
    with pytest.raises(ValueError, match="row 2 has 1 cells"):
        render_table(COLUMNS, [["a", "1", "x"], ["b"]])


def test_no_columns_give_no_text() -> None:
    assert render_table([], []) == ""
