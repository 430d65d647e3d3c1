"""The task sheet: week by week on paper, in type as large as the week allows, with boxes to tick and room to write."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from itertools import groupby

from greenrota.rota.rota import Rota
from greenrota.rota.tasks.task import Task
from greenrota.views.paper.markup import Markup, element
from greenrota.views.paper.page import Paper, document, named, paper_css
from greenrota.views.sheet.sheet_fit import (
    ASIDE,
    FILLED,
    GAP_MM,
    HINTS,
    NAME,
    NOTES_PT,
    REMARK,
    Part,
    notes_of,
    parts_of,
)
from greenrota.views.sheet.sheet_week import NO_FEED, Ration, Week, weeks_of
from greenrota.views.tasks import visit
from greenrota.views.text.day import dated, day_text, short_day, weekday

_SHORT_NAME = 12  # letters; so short a name of a consumer is not broken; our choice
_CSS = f"""
section {{ break-after: page; display: flex; flex-direction: column; }}
section:last-child {{ break-after: auto; }}
header {{ display: flex; justify-content: space-between; align-items: baseline; gap: 4mm;
  border-bottom: 0.6mm solid; margin-bottom: 0.3em; }}
h1 {{ font-size: 1.5em; }}
main {{ flex: 1; display: grid; grid-template-columns: 1fr {ASIDE:.0%}; gap: 0 {GAP_MM:g}mm; }}
section.flow, .flow main, .flow aside {{ display: block; min-height: 0; }}
aside {{ display: flex; flex-direction: column; gap: 0.6em; }}
aside table {{ flex-grow: 1; }}
td, th {{ border-bottom: 0.15mm solid; padding: 0.12em 0.4em 0.12em 0; }}
th.day {{ font-size: 1.15em; border-bottom: 0.4mm solid; padding-top: 0.2em; height: 1.45em; }}
th.head {{ font-size: 0.85em; border-bottom: 0.4mm solid; overflow-wrap: normal; height: 1.6em; }}
th.title {{ border: 0; height: 1.7em; }}
tbody {{ break-inside: avoid; }}
td.box {{ width: 1.5em; }}
td.box::before {{ content: ""; display: block; width: 1.05em; height: 1.05em; border: 0.4mm solid; }}
td.whole {{ white-space: nowrap; }}
td.name {{ width: {NAME:.0%}; font-weight: bold; }}
td.remark {{ width: {REMARK:.0%}; border-left: 0.15mm solid; }}
td.count {{ width: 11%; border-left: 0.15mm solid; height: 2.4em; padding: 0.1em 0.2em; overflow-wrap: normal; }}
.small {{ font-size: {HINTS}em; font-weight: normal; }}
.care {{ font-weight: bold; }}
footer {{ font-size: {NOTES_PT}pt; line-height: 1.15; border: 0.5mm solid; margin-top: 0.5em; padding: 0.2em 0.5em; }}
"""


def sheet_html(
    rota: Rota, tasks: Sequence[Task], paper: Paper, first: date | None = None, last: date | None = None
) -> str:
    """The tasks as a document that prints on the paper, lying; every week begins a page.

    `first` and `last`, both included, bound the days whose rations are ticked; default: the whole horizon. Every page
    carries the cautions of its tasks whole.
    """
    lying = paper.turned()
    first, last = max(first or rota.as_of, rota.as_of), min(last or rota.through, rota.through)
    weeks = weeks_of(rota, tasks, first, last)
    body = [_section(rota, part) for week in weeks for part in parts_of(week, lying)]
    css = f"section {{ min-height: {FILLED * lying.room_mm[1]:.1f}mm; }}{_CSS}"
    nothing = [element("p", f"Nothing to do and nothing to feed through {day_text(last)}.")]
    return document(f"{rota.plan.name}: tasks", paper_css(lying) + css, body or nothing)


def _section(rota: Rota, part: Part) -> Markup:
    week, whole = part.week, part.shows == "all"
    beside = {"all": "", "tasks": ": tasks", "tables": ": rations and counts"}[part.shows]
    head = element(
        "header",
        element("h1", named(f"{rota.plan.name}: week of {dated(week.monday)}{beside}")),
        element("span", f"planned as of {dated(rota.as_of, week.monday)}", class_="small"),
    )
    left = _tasks(part) if part.days else element("p", "No tasks this week.")
    right = element("aside", *_rations(week), _counts(week))
    shown = {"all": (left, right), "tasks": (left,), "tables": (right,)}[part.shows]
    style = f"font-size: {part.pt:g}pt"
    notes = _notes(part.tasks)
    return element(
        "section", head, element("main", *shown), notes, class_=None if whole else "flow", style=style
    )


def _tasks(part: Part) -> Markup:
    names = ("done", "vessel", "what is done", "remark")
    head = element("tr", *(element("th", name, scope="col", class_="head") for name in names))
    return element("table", element("thead", head), *map(_day, part.days))


def _day(day: visit.Day) -> Markup:
    title = element("tr", element("th", short_day(day.on), colspan=4, scope="rowgroup", class_="day"))
    return element(
        "tbody", title, *map(_line, day.ready), *(_line(line) for lines in day.vessels for line in lines)
    )


def _line(line: visit.Line) -> Markup:
    batch = element("span", f" batch {line.batch}", class_="small") if line.batch else None
    words = [" ", element("span", f"care: {line.care}", class_="care")] if line.care else []
    return element(
        "tr",
        element("td", class_="box", aria_label="to tick"),
        element("td", named(line.vessel), batch, class_="name"),
        element("td", named(line.text), *words),
        element("td", class_="remark"),
    )


def _rations(week: Week) -> list[Markup]:
    if not week.rations:
        return []
    rows = [
        _ration(each, is_first)
        for _, of_day in groupby(week.rations, key=lambda each: each.on)
        for is_first, each in ((n == 0, each) for n, each in enumerate(of_day))
    ]
    title = element("tr", element("th", "Daily ration", colspan=4, class_="title"))
    return [element("table", element("thead", title), element("tbody", *rows))]


def _ration(ration: Ration, is_first: bool) -> Markup:
    there = ration.amount != NO_FEED
    return element(
        "tr",
        element("td", class_="box", aria_label="to tick") if there else element("td"),
        element(
            "td", ration.day if is_first else element("span", ration.day, class_="small"), class_="whole"
        ),
        element(
            "td", named(ration.consumer), class_="whole" if len(ration.consumer) <= _SHORT_NAME else None
        ),
        element("td", element("b" if there else "span", ration.amount), " ", _small(ration.beside)),
    )


def _small(text: str) -> Markup | None:
    return element("span", named(text), class_="small") if text else None


def _counts(week: Week) -> Markup:
    title = element("tr", element("th", "Counts, million cells/mL", _explained(), colspan=8, class_="title"))
    days = [element("th", *_two_lines(weekday(on), on.day), scope="col", class_="head") for on in week.dates]
    heads = element("tr", element("th", class_="head"), *days)
    rows = [
        element(
            "tr",
            element("th", named(name), scope="row"),
            *(element("td", _small(text), class_="count") for text in expected),
        )
        for name, expected in week.expected
    ]
    return element("table", element("thead", title, heads), element("tbody", *rows))


def _two_lines(*parts: object) -> list[Markup]:
    return [element("div", part) for part in parts]


def _explained() -> Markup:
    return element("span", " (small: expected before the day's work; write yours below)", class_="small")


def _notes(tasks: Sequence[Task]) -> Markup | None:
    notes = [element("p", element("b", word), " ", text) for word, text in notes_of(tasks)]
    return element("footer", *notes) if notes else None
