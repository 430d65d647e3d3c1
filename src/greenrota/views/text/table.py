"""A plain padded table: no boxes, no colour, two spaces between columns."""

from collections.abc import Sequence
from itertools import zip_longest
from typing import NamedTuple

from greenrota.views.text.lettering import display_width, pad, printable, wrap

_GAP = "  "
_NARROWEST = 16  # our choice: columns the last column keeps even where the screen is too small for it


class Column(NamedTuple):
    """The head of a column; `number` sets its cells to the right."""

    title: str
    number: bool = False


def render_table(columns: Sequence[Column], rows: Sequence[Sequence[str]], width: int | None = None) -> str:
    """The table as text, without a newline at the end.

    `width` is the columns of the screen: the last column is wrapped to fit; where that is not enough, the titles of
    the others, then their texts between words. None (output goes to a file or a pipe): one line a row, nothing
    wrapped, nothing cut. Each row has as many cells as there are columns (ValueError otherwise).

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
        room = width - len(_GAP) * (len(widths) - 1)
        widths[-1] = min(widths[-1], max(_NARROWEST, room - sum(widths[:-1])))
        for whole_cells in (True, False):
            floors = _floors(titles, cells, whole_cells)
            _narrow(widths, [*floors[:-1], max(floors[-1], min(widths[-1], _NARROWEST))], room)
    lines = [line for row in [titles, *cells] for line in _row_lines(columns, row, widths)]
    return "\n".join(lines)


def _floors(titles: Sequence[str], cells: Sequence[Sequence[str]], whole_cells: bool) -> list[int]:
    """The least width of each column that breaks no word, and with `whole_cells` no cell."""
    return [
        max(
            [display_width(word) for word in title.split()]
            + [display_width(row[i]) for row in cells if whole_cells]
            + [display_width(word) for row in cells for word in row[i].split()],
            default=0,
        )
        for i, title in enumerate(titles)
    ]


def _narrow(widths: list[int], floors: Sequence[int], room: int) -> None:
    """Make the widest columns narrower, down to their floors, until the table fits `room`."""
    while sum(widths) > room:
        giving = [i for i, floor in enumerate(floors) if widths[i] > floor]
        if not giving:
            return
        widths[max(giving, key=lambda i: widths[i])] -= 1


def _checked(columns: Sequence[Column], cells: Sequence[Sequence[str]]) -> range:
    for number, row in enumerate(cells, start=1):
        if len(row) != len(columns):
            raise ValueError(f"row {number} has {len(row)} cells; the table has {len(columns)} columns")
    return range(len(columns))


def _row_lines(columns: Sequence[Column], row: Sequence[str], widths: Sequence[int]) -> list[str]:
    if not row:
        return []
    parts = [
        [cell] if display_width(cell) <= width else wrap(cell, width)
        for cell, width in zip(row, widths, strict=True)
    ]
    return [
        _GAP.join(
            pad(cell, width, right=column.number)
            for cell, width, column in zip(line, widths, columns, strict=True)
        ).rstrip()
        for line in zip_longest(*parts, fillvalue="")
    ]
