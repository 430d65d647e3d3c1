"""A plain padded table: no boxes, no colour, two spaces between columns."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from greenrota.views.lettering import display_width, pad, printable, wrap

_GAP = "  "
_NARROWEST = 16  # our choice: columns the last column keeps even where the screen is too small for it


@dataclass(frozen=True, slots=True)
class Column:
    """The head of a column; `number` sets its cells to the right."""

    title: str
    number: bool = False


def render_table(columns: Sequence[Column], rows: Sequence[Sequence[str]], width: int | None = None) -> str:
    """The table as text, without a newline at the end.

    `width` is the columns of the screen: the last column is wrapped to fit. None (output goes to a file or a
    pipe): one line a row, nothing wrapped, nothing cut. Each row has as many cells as there are columns
    (ValueError otherwise).

    >>> columns = [Column("vessel"), Column("mL", number=True)]
    >>> print(render_table(columns, [["north", "120"], ["south", "80"]]))
    vessel   mL
    north   120
    south    80
    """
    cells = [[printable(cell) for cell in row] for row in rows]
    titles = [column.title for column in columns]
    widths = [
        max(display_width(row[i]) for row in [titles, *cells]) if columns else 0
        for i in _checked(columns, cells)
    ]
    if width is not None and widths:
        taken = sum(widths[:-1]) + len(_GAP) * (len(widths) - 1)
        widths[-1] = min(widths[-1], max(_NARROWEST, width - taken))
    lines = [line for row in [titles, *cells] for line in _row_lines(columns, row, widths)]
    return "\n".join(lines)


def _checked(columns: Sequence[Column], cells: Sequence[Sequence[str]]) -> range:
    for number, row in enumerate(cells, start=1):
        if len(row) != len(columns):
            raise ValueError(f"row {number} has {len(row)} cells; the table has {len(columns)} columns")
    return range(len(columns))


def _row_lines(columns: Sequence[Column], row: Sequence[str], widths: Sequence[int]) -> list[str]:
    if not row:
        return []
    fits = display_width(row[-1]) <= widths[-1]
    last = [row[-1]] if fits else wrap(row[-1], widths[-1])
    firsts = [list(row[:-1])] + [[""] * (len(row) - 1)] * (len(last) - 1)
    return [
        _GAP.join(
            pad(cell, width, right=column.number)
            for cell, width, column in zip([*first, end], widths, columns, strict=True)
        ).rstrip()
        for first, end in zip(firsts, last, strict=True)
    ]
