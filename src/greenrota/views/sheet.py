"""The task sheet: the horizon week by week on paper, with boxes to tick, room to write, and the growth outlook."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from itertools import groupby

from greenrota.rota.rota import Rota
from greenrota.rota.task import Task
from greenrota.rota.wording import numbered
from greenrota.views import care
from greenrota.views.day import day_text, week_of
from greenrota.views.markup import Markup, element
from greenrota.views.page import Paper, document, named, paper_css
from greenrota.views.pour import density_text, pour_parts
from greenrota.views.svg_growth import Growth, small_growth

_OUTLOOK_DAYS = 13  # a chart shows the week and the one after it; our choice
_HEADS = ("done", "day", "task", "batch", "care", "amounts", "million/mL", "count", "remark")

_CSS = """
body { font-size: 10pt; }
section { break-after: page; display: grid; grid-template-columns: 1fr 48mm; gap: 0 4mm; align-items: start; }
section:last-child { break-after: auto; }
h2 { font-size: 1.25em; }
.line { font-weight: normal; font-size: 0.85em; }
table { overflow-wrap: normal; }
td.name { overflow-wrap: anywhere; min-width: 20mm; max-width: 40mm; }
thead th { padding: 0 1.5mm 0.5mm 0; border-bottom: 0.4mm solid; font-size: 0.85em; }
thead th[colspan] { border: 0; padding-bottom: 1mm; }
td { border-bottom: 0.15mm solid; padding: 0.9mm 1.5mm 0.9mm 0; }
tbody tr.first td { border-top: 0.5mm solid; }
td.box::before { content: ""; display: block; width: 4.5mm; height: 4.5mm; border: 0.45mm solid; }
td.day, td.figure { white-space: nowrap; }
td.amounts { overflow-wrap: anywhere; min-width: 62mm; }
td.write { min-width: 20mm; border-left: 0.15mm solid; }
td.remark { min-width: 45mm; }
tfoot td { border: 0; padding: 1.5mm 0 0; font-size: 0.8em; line-height: 1.15; }
.charts div { break-inside: avoid; margin-bottom: 2mm; }
"""


def sheet_html(rota: Rota, tasks: Sequence[Task], paper: Paper) -> str:
    """The tasks as a document that prints on the paper, lying; every week begins a page.

    The cautions of a week stand at the foot of each of its pages.
    """
    outlook = [Growth.of(rota, name) for name in rota.benches]
    weeks = [
        _week(rota, monday, list(of_week), outlook)
        for monday, of_week in groupby(tasks, key=lambda task: week_of(task.on))
    ]
    body = weeks or [element("p", f"No tasks through {day_text(rota.through)}.")]
    return document(f"{rota.plan.name}: tasks", paper_css(paper.turned()) + _CSS, body)


def _week(rota: Rota, monday: date, tasks: Sequence[Task], outlook: Sequence[Growth]) -> Markup:
    first = max(monday, rota.as_of)
    last = min(first + timedelta(days=_OUTLOOK_DAYS), rota.through)
    title = f"{rota.plan.name}: week of {day_text(monday)}"
    head = element(
        "thead",
        element("tr", element("th", _headline(rota, title, len(tasks)), colspan=len(_HEADS))),
        element("tr", *(element("th", name, scope="col") for name in _HEADS)),
    )
    rows = [
        _row(rota, task, care.words([task]), is_first)
        for _, of_day in groupby(tasks, key=lambda task: task.on)
        for is_first, task in zip([True, *[False] * len(tasks)], of_day, strict=False)
    ]
    texts = [care.whole(each) for each in (*care.on_the_day(tasks), *care.always(tasks))]
    foot = element("tfoot", element("tr", element("td", *_lines(texts), colspan=len(_HEADS))))
    small = [small_growth(rota, each, first, last) for each in outlook] if first < last else []
    charts = [element("div", chart) for chart in small]
    table = element("table", head, element("tbody", *rows), foot)
    return element("section", table, element("div", *charts, class_="charts"))


def _headline(rota: Rota, title: str, tasks: int) -> Markup:
    line = f"{numbered(tasks, 'task')}; planned as of {day_text(rota.as_of)}"
    return element("div", element("h2", named(title)), element("p", line, class_="line"))


def _row(rota: Rota, task: Task, words: str, is_first: bool) -> Markup:
    amounts = element(
        "td", *_lines([named(part) for part in pour_parts(task, rota.plan.units)]), class_="amounts"
    )
    return element(
        "tr",
        element("td", class_="box", aria_label="to tick"),
        element("td", *_lines(_days(rota, task, is_first)), class_="day"),
        element("td", element("b", task.kind)),
        element("td", named(task.batch), class_="name"),
        element("td", words),
        amounts,
        element("td", density_text(task), class_="figure"),
        element("td", class_="write"),
        element("td", class_="write remark"),
        class_="first" if is_first else None,
    )


def _days(rota: Rota, task: Task, is_first: bool) -> list[Markup]:
    """The day, heavy where it begins and light below, for a page may end between; and since when it is overdue."""
    due = rota.overdue.get(task.id)
    told = [element("b" if is_first else "span", day_text(task.on))]
    return told if due is None else [*told, element("span", f"due since {due}")]


def _lines(texts: Sequence[str]) -> list[Markup]:
    return [element("div", text) for text in texts]
