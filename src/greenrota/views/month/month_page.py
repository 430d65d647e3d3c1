"""The page of a month as HTML, in the largest type at which it fits one page."""

from __future__ import annotations

from greenrota.views.month.corner import Corner
from greenrota.views.month.month import Month
from greenrota.views.month.month_sheet import MonthSheet, SheetDay, month_sheet
from greenrota.views.paper.ink import FAINT
from greenrota.views.paper.markup import Markup, element
from greenrota.views.paper.page import Paper, document, named, paper_css
from greenrota.views.text.lettering import display_width, wrap

# Shares of the type size, measured on a sans-serif of usual width.
_LETTER = 0.53  # mean width of a letter
_LINE = 1.25  # height of a line
_NOTES = 0.85  # type of legend and cautions as a share of that of the days; our choice
_SMALL = 0.85  # type of the ripe vessels as a share of that of the days; our choice
_RULE = 0.9  # type of the line below the corner's table, alike; our choice
_NAMES = 0.75  # of that line is filled, for names in it may be long and wide; our choice
_SHARES = (0.46, 0.54)  # of the width of the foot: the corner, and legend and cautions; our choice
_FILL = 0.98  # share of the page's height that the body is given, so that no second page begins; our choice
_MM_PER_PT = 25.4 / 72.0  # exact: a typographic point is 1/72 in
_SPARE = 1.02  # of the page that the estimate fills; it errs on the high side, tried in a browser; our choice
LARGEST_PT = 18.0  # our choice
SMALLEST_PT = 4.0  # our choice: only a dozen vessels with long names come near it

_CSS = f"""
body {{ display: flex; flex-direction: column; }}
h1 {{ font-size: 1.5em; margin-bottom: 0.15em; }}
h1 small {{ font-size: 0.55em; font-weight: normal; }}
.days {{ flex: 1; table-layout: fixed; border-bottom: 0.4mm solid; }}
.days th {{ border-bottom: 0.5mm solid; text-align: left; padding: 0 0.3em; }}
.days td {{ border-left: 0.15mm solid; border-top: 0.4mm solid; padding: 0.1em 0.3em; }}
.days td:first-child {{ border-left: 0; }}
.date {{ font-weight: bold; font-size: 1.15em; }}
.off {{ background: {FAINT}; }}
.away {{ background: repeating-linear-gradient(135deg, {FAINT} 0 1.2mm, transparent 1.2mm 2.4mm); }}
.outside .date {{ font-weight: normal; }}
.ripe {{ font-size: {_SMALL}em; font-style: italic; }}
.care {{ font-size: {_SMALL}em; text-decoration: underline; }}
.foot {{ display: grid; grid-template-columns: 46fr 54fr; gap: 0 5mm; margin-top: 0.4em; }}
.foot th.title {{ border: 0; }}
.foot thead th, .foot td {{ overflow-wrap: normal; }}
.foot th, .foot td {{ border-bottom: 0.15mm solid; padding: 0.05em 0.6em 0.05em 0; }}
.foot .rule {{ font-size: {_RULE}em; margin-top: 0.3em; }}
.foot p {{ font-size: {_NOTES}em; margin-bottom: 0.2em; }}
"""


def month_html(month: Month, paper: Paper) -> str:
    """One self-contained HTML page that prints on the paper as it lies."""
    sheet = month_sheet(month)
    size = f"body {{ font-size: {type_pt(sheet, paper):g}pt; height: {paper.room_mm[1] * _FILL:g}mm; }}"
    body = [
        element("h1", named(sheet.title), element("small", f" ({sheet.note})")),
        _days(sheet),
        element("div", *_foot(sheet), class_="foot"),
    ]
    return document(sheet.title, paper_css(paper) + _CSS + size, body)


def _days(sheet: MonthSheet) -> Markup:
    heads = element(
        "tr",
        *(
            element("th", head, scope="col", style=f"width: {100 * width / sum(sheet.widths):.1f}%")
            for head, width in zip(sheet.heads, sheet.widths, strict=True)
        ),
    )
    rows = [element("tr", *map(_cell, week)) for week in sheet.weeks]
    return element("table", element("thead", heads), element("tbody", *rows), class_="days")


def _cell(day: SheetDay) -> Markup:
    parts = [element("div", element("span", day.date, class_="date"), f" {day.beside}")]
    parts += [element("div", element("b", named(line.name)), " ", named(line.text)) for line in day.lines]
    if day.care:
        parts.append(element("div", day.care, class_="care"))
    parts += [element("div", named(text), class_="ripe") for text in day.ripe]
    return element("td", *parts, class_=day.kind)


def _foot(sheet: MonthSheet) -> list[Markup]:
    texts = [element("p", text) for text in (sheet.legend, *sheet.cautions)]
    rule = element("p", named(sheet.corner.rule), class_="rule")
    return [element("div", _small_table(sheet.corner), rule), element("div", *texts)]


def _small_table(table: Corner) -> Markup:
    title = element("tr", element("th", named(table.title), colspan=len(table.heads), class_="title"))
    heads = element("tr", *(element("th", named(head), scope="col") for head in table.heads))
    rows = [
        element(
            "tr", element("th", named(name), scope="row"), *(element("td", named(text)) for text in texts)
        )
        for name, *texts in table.rows
    ]
    return element("table", element("thead", title, heads), element("tbody", *rows))


def type_pt(sheet: MonthSheet, paper: Paper) -> float:
    """The largest type in points, by quarter points, at which the month should fill no more than its page."""
    steps = [LARGEST_PT - 0.25 * n for n in range(round((LARGEST_PT - SMALLEST_PT) / 0.25) + 1)]
    room_mm = paper.room_mm[1] * _SPARE
    return next((pt for pt in steps if _height_mm(sheet, paper, pt) <= room_mm), SMALLEST_PT)


def _height_mm(sheet: MonthSheet, paper: Paper, pt: float) -> float:
    """The estimated height of the page in mm at a type size: every text is wrapped to the width it has."""
    em_mm = pt * _MM_PER_PT
    across = paper.room_mm[0] / (em_mm * _LETTER)
    widths = [across * width / sum(sheet.widths) - 1.5 for width in sheet.widths]
    weeks = sum(0.4 + max(map(_day_lines, week, widths)) for week in sheet.weeks)
    table, notes = (share * (across - 4.0) for share in _SHARES)
    foot = max(
        _table_lines(sheet.corner, table) + _RULE * _folded(sheet.corner.rule, _NAMES * table / _RULE) + 0.4,
        _NOTES * sum(_folded(text, notes / _NOTES) + 0.2 for text in (sheet.legend, *sheet.cautions)),
    )
    return (2.0 + 1.3 + weeks + foot + 0.6) * em_mm * _LINE


def _day_lines(day: SheetDay, across: float) -> float:
    texts = (f"{line.name} {line.text}" for line in day.lines)
    small = (*day.ripe, *([day.care] if day.care else ()))
    ripe = sum(_SMALL * _folded(text, across / _SMALL) for text in small)
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
