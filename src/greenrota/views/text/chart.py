"""A line chart for the terminal: braille dots (two by four a cell), or plain ASCII where needed."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import NamedTuple

from greenrota.views.text.lettering import display_width, pad, printable

_BRAILLE = 0x2800  # Unicode block "Braille patterns": the empty cell
_BITS = (
    (0x01, 0x08),
    (0x02, 0x10),
    (0x04, 0x20),
    (0x40, 0x80),
)  # Unicode: bits of a cell by dot row and column
_SIGNS = "*.o+x"  # our choice: one ASCII sign a line
_TOPS = (
    1.0,
    1.5,
    2.0,
    3.0,
    4.0,
    5.0,
    6.0,
    8.0,
    10.0,
)  # our choice: round ends of the y axis, times a power of ten


class Line(NamedTuple):
    """One line of a chart: (x, y) points in the order they are joined; `dotted` draws every other dot.

    `joined` False leaves the points alone, each as a small cross.
    """

    name: str
    points: Sequence[tuple[float, float]]
    dotted: bool = False
    joined: bool = True


class Axes(NamedTuple):
    """What stands along the axes: `marks` (x, letter) right above the x axis, `ticks` (x, label) below it."""

    x_title: str
    y_title: str
    ticks: Sequence[tuple[float, str]] = ()
    marks: Sequence[tuple[float, str]] = ()


def line_chart(
    lines: Sequence[Line], axes: Axes, width: int = 76, height: int = 13, ascii_only: bool = False
) -> str:
    """The lines as text, `width` columns with the labels and `height` rows of plot; no newline at the end.

    The y axis runs from 0 to a round number; titles should name the unit. Equal series give equal text.
    Holds for finite y >= 0 and at least one point (ValueError otherwise).

    >>> print(line_chart([Line("density", [(0, 0), (4, 8)])], Axes("day", "cells"), 12, 3, ascii_only=True))
    cells
     8 |      **
     4 |  ****
     0 |**
       +--------
        day
    """
    points = [point for line in lines for point in line.points]
    if not points or not all(math.isfinite(x) and math.isfinite(y) and y >= 0.0 for x, y in points):
        raise ValueError("a chart needs at least one point, all of them finite and not below zero")
    top = round_top(max(y for _, y in points))
    labels = _row_labels(top, height)
    gutter = max(map(len, labels)) + 1
    first, last = min(x for x, _ in points), max(x for x, _ in points)
    plot = _Plot(max(8, width - gutter - 2), height, first, last, top, ascii_only)
    for number, line in enumerate(lines):
        plot.draw(line, _SIGNS[number % len(_SIGNS)])
    bar, corner, dash = ("|", "+", "-") if ascii_only else ("\u2502", "\u2514", "\u2500")
    margin = " " * (gutter + 2)
    body = [f"{label:>{gutter}} {bar}{row}".rstrip() for label, row in zip(labels, plot.rows(), strict=True)]
    return "\n".join(
        [
            printable(axes.y_title),
            *body,
            *(f"{'':>{gutter}} {bar}{row}" for row in plot.text_rows(axes.marks)),
            f"{'':>{gutter}} {corner}{dash * plot.columns}",
            *(margin + row for row in plot.text_rows(axes.ticks)),
            margin + printable(axes.x_title),
            *_key(lines, margin, ascii_only),
        ]
    )


_LEAST_TOP = 1e-300  # below, the round numbers are no longer floats of full precision


def round_top(largest: float) -> float:
    """The round number at which a y axis that starts at 0 ends.

    >>> round_top(937500.0)
    1000000.0
    """
    if largest < _LEAST_TOP:
        return 1.0
    power = 10.0 ** math.floor(math.log10(largest))
    return next((t * power for t in _TOPS if t * power >= largest * (1 - 1e-12)), 10.0 * power)


def _row_labels(top: float, height: int) -> list[str]:
    """Labels of the rows, from the top: the end, the middle (where a row stands exactly there) and zero."""
    labels = [""] * height
    labels[-1] = "0"
    if height % 2:
        labels[height // 2] = axis_figure(top / 2)
    labels[0] = axis_figure(top)
    return labels


def axis_figure(value: float) -> str:
    """A number as it stands at an axis.

    >>> axis_figure(250.0), axis_figure(1.5e6)
    ('250', '1.5e6')
    """
    if value == 0.0 or 0.0001 <= value < 1e6:
        return f"{value:g}"
    digits, power = f"{value:.2e}".split("e")
    return f"{float(digits):g}e{int(power)}"


def _key(lines: Sequence[Line], margin: str, ascii_only: bool) -> list[str]:
    """The legend of the lines; none for a single line, which the y title names."""
    if len(lines) < 2:
        return []
    names = [
        f"{_SIGNS[i % len(_SIGNS)]} {line.name}" if ascii_only else f"{_stroke(line)}: {line.name}"
        for i, line in enumerate(lines)
    ]
    return [margin + printable(", ".join(names))]


def _stroke(line: Line) -> str:
    if not line.joined:
        return "crosses"
    return "dotted" if line.dotted else "solid"


class _Plot:
    """A grid of character cells: dots are set one by one, then each row is read as text."""

    def __init__(
        self, columns: int, height: int, first: float, last: float, top: float, ascii_only: bool
    ) -> None:
        self.columns = columns
        self._across, self._down = (1, 1) if ascii_only else (2, 4)
        self._first, self._span, self._top = first, (last - first) or 1.0, top
        self._ascii = ascii_only
        self._signs = [[" "] * columns for _ in range(height)]
        self._bits = [[0] * columns for _ in range(height)]

    def draw(self, line: Line, sign: str) -> None:
        """Draw a line. In ASCII a cell keeps the sign of the line that was drawn first."""
        dots = [self._dot(x, y) for x, y in line.points]
        path = [dots[0], *(dot for a, b in pairwise(dots) for dot in _between(a, b))]
        if not line.joined:
            path = dots if self._ascii else [dot for a, b in dots for dot in self._cross(a, b)]
        for number, (across, down) in enumerate(path):
            if line.dotted and number % 2:
                continue
            row, column = down // self._down, across // self._across
            if self._ascii:
                self._signs[row][column] = (
                    sign if self._signs[row][column] == " " else self._signs[row][column]
                )
            else:
                self._bits[row][column] |= _BITS[down % 4][across % 2]

    def rows(self) -> list[str]:
        """The plot, from the top."""
        if self._ascii:
            return ["".join(row) for row in self._signs]
        return ["".join(chr(_BRAILLE + bits) if bits else " " for bits in row) for row in self._bits]

    def text_rows(self, texts: Sequence[tuple[float, str]]) -> list[str]:
        """Texts at their x positions, on as few rows as needed so that none overlap; the last may move to the left."""
        rows: list[str] = []
        for x, raw in sorted(texts, key=lambda text: text[0]):
            text = printable(raw)
            column = max(0, min(self._dot(x, 0.0)[0] // self._across, self.columns - display_width(text)))
            row = next((i for i, row in enumerate(rows) if display_width(row) < column or not row), len(rows))
            if row == len(rows):
                rows.append("")
            rows[row] = pad(rows[row], column) + text
        return rows

    def _cross(self, across: int, down: int) -> list[tuple[int, int]]:
        arms = [(0, 0), (-1, 0), (1, 0), (0, -1), (0, 1)]
        width, height = self.columns * self._across, len(self._bits) * self._down
        near = [(across + a, down + d) for a, d in arms]
        return [(a, d) for a, d in near if 0 <= a < width and 0 <= d < height]

    def _dot(self, x: float, y: float) -> tuple[int, int]:
        width, height = self.columns * self._across, len(self._signs) * self._down
        share = min(1.0, max(0.0, (x - self._first) / self._span))
        return round(share * (width - 1)), round((1.0 - y / self._top) * (height - 1))


def _between(start: tuple[int, int], end: tuple[int, int]) -> list[tuple[int, int]]:
    """The dots on a straight line between two dots, without the first."""
    steps = max(abs(end[0] - start[0]), abs(end[1] - start[1]))
    return [
        (round(start[0] + (end[0] - start[0]) * i / steps), round(start[1] + (end[1] - start[1]) * i / steps))
        for i in range(1, steps + 1)
    ]
