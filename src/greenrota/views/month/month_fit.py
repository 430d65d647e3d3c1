"""How a month goes on paper: on one page, with less said of ripe vessels, or on two, in the largest type that fits.

Heights are estimated from the letters of every text, for no browser is at hand; the estimate errs on the high side.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass, replace

from greenrota.views.month.corner import Corner
from greenrota.views.month.month import Month
from greenrota.views.month.month_sheet import MonthSheet, SheetDay, month_sheet
from greenrota.views.paper.page import Paper
from greenrota.views.text.lettering import display_width, wrap

READABLE_PT = (
    9.0  # our choice: read on a wall at arm's length; a month that is smaller on one page gets less or two
)
LARGEST_PT = 18.0  # our choice
SMALLEST_PT = 4.0  # our choice: only two dozen vessels with long names come near it
NOTES = 0.85  # type of legend and cautions as a share of that of the days; our choice
SMALL = 0.85  # type of the ripe vessels as a share of that of the days; our choice
SHARES = (
    0.38,
    0.62,
)  # of the width of the foot: the corner, and how to read it, legend and cautions; our choice
# Shares of the type size, measured on a sans-serif of usual width.
_LETTER = 0.53  # mean width of a letter
_LINE = 1.25  # height of a line
_NAMES = (
    0.75  # of the line on how to read the table is filled, for names in it may be long and wide; our choice
)
_MM_PER_PT = 25.4 / 72.0  # exact: a typographic point is 1/72 in
_SPARE = 0.95  # of the page that the estimate fills, so that wider fonts fit; tried in a browser; our choice
_STEPS = [LARGEST_PT - 0.25 * n for n in range(round((LARGEST_PT - SMALLEST_PT) / 0.25) + 1)]


@dataclass(frozen=True, slots=True)
class MonthPages:
    """The pages of a month, in order, all in type of `pt` points where they are set in a sans-serif."""

    title: str
    sheets: tuple[MonthSheet, ...]
    pt: float


def month_pages(month: Month, paper: Paper) -> MonthPages:
    """A month on one page with everything; where that is too small to read, with the ripe days told briefly.

    Where that is too small as well, on two pages, its first weeks and its last. If even those are, the largest of all.
    """
    tried: list[MonthPages] = []
    for pages in _ways(month, paper):
        tried.append(pages)
        if pages.pt >= READABLE_PT:
            break
    return max(tried, key=lambda pages: pages.pt)


def _ways(month: Month, paper: Paper) -> Iterator[MonthPages]:
    title = month_sheet(month).title
    for cut in (0, (len(month.weeks) + 1) // 2):
        for brief in (False, True):
            sheets = _sheets(month, cut, brief)
            yield MonthPages(title, sheets, min(type_pt(sheet, paper) for sheet in sheets))


def _sheets(month: Month, cut: int, brief: bool) -> tuple[MonthSheet, ...]:
    """A page, or one up to a week and one from it on."""
    parts = [replace(month, weeks=weeks) for weeks in (month.weeks[:cut], month.weeks[cut:]) if weeks]
    if len(parts) == 1:
        return (month_sheet(month, brief),)
    sheets = (month_sheet(part, brief) for part in parts)
    return tuple(
        replace(sheet, note=f"{sheet.note}; page {n} of {len(parts)}") for n, sheet in enumerate(sheets, 1)
    )


def type_pt(sheet: MonthSheet, paper: Paper) -> float:
    """The largest type in points, by quarter points, at which a sheet should fill no more than its page."""
    room_mm = paper.room_mm[1] * _SPARE
    at = bisect_left(_STEPS, True, key=lambda pt: _height_mm(sheet, paper, pt) <= room_mm)
    return _STEPS[min(at, len(_STEPS) - 1)]


def _height_mm(sheet: MonthSheet, paper: Paper, pt: float) -> float:
    """The estimated height of the page in mm at a type size: every text is wrapped to the width it has."""
    em_mm = pt * _MM_PER_PT
    across = paper.room_mm[0] / (em_mm * _LETTER)
    widths = [across * width / sum(sheet.widths) - 1.5 for width in sheet.widths]
    weeks = sum(0.4 + max(map(_day_lines, week, widths)) for week in sheet.weeks)
    table, notes = (share * (across - 4.0) for share in SHARES)
    texts = (sheet.legend, *sheet.cautions)
    rule = _folded(sheet.corner.rule, _NAMES * notes / NOTES) + 0.2
    beside = NOTES * (rule + sum(_folded(text, notes / NOTES) + 0.2 for text in texts))
    foot = max(_table_lines(sheet.corner, table), beside)
    return (2.0 + 1.3 + weeks + foot + 0.6) * em_mm * _LINE


def _day_lines(day: SheetDay, across: float) -> float:
    texts = (f"{line.name} {line.text}" for line in day.lines)
    small = (*day.ripe, *([day.care] if day.care else ()))
    ripe = sum(SMALL * _folded(text, across / SMALL) for text in small)
    head = 1.2 * _folded(f"{day.date} {day.beside}", across - 2.0)
    return head + sum(_folded(text, across) for text in texts) + ripe


def _table_lines(table: Corner, across: float) -> float:
    """Lines of a table: every column as wide as its widest text where they all fit, else all alike."""
    columns = list(zip(table.heads, *table.rows, strict=True))
    widest = [max(map(display_width, column)) + 1.5 for column in columns]
    each = widest if sum(widest) <= across else [across / len(columns) - 1.0] * len(columns)
    rows = (max(map(_folded, row, each)) for row in (table.heads, *table.rows))
    return _folded(table.title, across) + sum(0.15 + lines for lines in rows)


def _folded(text: str, across: float) -> float:
    """The number of lines a text takes in `across` letters."""
    return float(
        len(wrap(text.replace("\u00a0", "."), max(2, int(across))))
    )  # what may not break is one word
