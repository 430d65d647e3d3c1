"""The page of a month as HTML, or its two pages."""

from __future__ import annotations

from greenrota.views.month.corner import Corner
from greenrota.views.month.month import Month
from greenrota.views.month.month_fit import NOTES, SHARES, SMALL, month_pages
from greenrota.views.month.month_sheet import MonthSheet, SheetDay
from greenrota.views.paper.ink import FAINT
from greenrota.views.paper.markup import Markup, element
from greenrota.views.paper.page import Paper, document, named, paper_css

_FILL = 0.98  # share of the paper's height that a page is given, so that no further one begins; our choice

_CSS = f"""
section {{ display: flex; flex-direction: column; }}
section + section {{ break-before: page; }}
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
.ripe {{ font-size: {SMALL}em; font-style: italic; }}
.care {{ font-size: {SMALL}em; text-decoration: underline; }}
.foot {{ display: grid; grid-template-columns: {SHARES[0]}fr {SHARES[1]}fr; gap: 0 5mm; margin-top: 0.4em; }}
.foot th.title {{ border: 0; }}
.foot thead th, .foot td {{ overflow-wrap: normal; }}
.foot th, .foot td {{ border-bottom: 0.15mm solid; padding: 0.05em 0.6em 0.05em 0; }}
.foot p {{ font-size: {NOTES}em; margin-bottom: 0.2em; }}
"""


def month_html(month: Month, paper: Paper) -> str:
    """A self-contained HTML document of one page, or two, that prints on the paper as it lies."""
    pages = month_pages(month, paper)
    height_mm = paper.room_mm[1] * _FILL
    size = f"body {{ font-size: {pages.pt:g}pt; }}\nsection {{ height: {height_mm:g}mm; }}"
    return document(pages.title, paper_css(paper) + _CSS + size, map(_page, pages.sheets))


def _page(sheet: MonthSheet) -> Markup:
    title = element("h1", named(sheet.title), element("small", f" ({sheet.note})"))
    return element("section", title, _days(sheet), element("div", *_foot(sheet), class_="foot"))


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
    texts = [named(sheet.corner.rule), sheet.legend, *sheet.cautions]
    return [
        element("div", _small_table(sheet.corner)),
        element("div", *(element("p", text) for text in texts)),
    ]


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
