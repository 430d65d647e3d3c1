"""`greenrota tasks`: the dated tasks of a plan."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Literal, assert_never

import typer

from greenrota.cli.options import completion
from greenrota.cli.options.options import AsJson, ComingMonth, Days, FromDay, OnDay, PlanFile, one_form
from greenrota.cli.options.vessel_name import known_task, known_vessel
from greenrota.cli.system import out
from greenrota.cli.system.next_month import shown_days
from greenrota.cli.system.paper import Force, SvgFile, write_svg
from greenrota.cli.system.plan_path import find_plan
from greenrota.cli.system.rota_at import rota_at

if TYPE_CHECKING:
    from greenrota.rota.answers.why import Why
    from greenrota.rota.rota import Rota
    from greenrota.rota.tasks.task import Task

_ALL = "all"  # in place of a task: the reasons of all; no task has this name, for every name holds a slash
_Form = Literal["text", "json", "csv", "markdown"]

OfVessel = Annotated[
    str | None,
    typer.Option(
        "--vessel",
        metavar="NAME",
        help="Tasks of this vessel only.",
        show_default=False,
        autocompletion=completion.vessels,
    ),
]
WhyTask = Annotated[
    str | None,
    typer.Option(
        "--why",
        metavar="ID|all",
        help="Print why a task is on its day, say north/1/harvest; with all: the list with every reason.",
        show_default=False,
    ),
]


AsCsv = Annotated[bool, typer.Option("--csv", help="Print a CSV table.")]
AsMarkdown = Annotated[bool, typer.Option("--markdown", help="Print a Markdown table.")]
WithScore = Annotated[bool, typer.Option("--score", help="Print what the dates are judged by, term by term.")]
OtherPlan = Annotated[
    Path | None,
    typer.Option(
        "--compare",
        metavar="FILE",
        help="Print this plan and another side by side: days short, litres, visits, cost.",
        show_default=False,
    ),
]


def tasks(
    plan: PlanFile = None,
    from_day: FromDay = None,
    days: Days = None,
    coming: ComingMonth = False,
    vessel: OfVessel = None,
    on: OnDay = None,
    as_json: AsJson = False,
    as_csv: AsCsv = False,
    as_markdown: AsMarkdown = False,
    score: WithScore = False,
    why: WhyTask = None,
    compare: OtherPlan = None,
    svg: SvgFile = None,
    force: Force = False,
) -> None:
    """Dated tasks by day and visit, with every amount.

    What is chosen to be shown changes no date. --svg draws all batches of the horizon as a strip for every vessel. With
    --json the score is always there, and --why is added."""
    from greenrota.views.tasks.agenda import chosen

    one_form({"--json": as_json, "--csv": as_csv, "--markdown": as_markdown})
    one_form({"--csv": as_csv, "--markdown": as_markdown, "--score": score, "--why": why is not None})
    one_form({"--compare": compare is not None, "--csv": as_csv, "--score": score, "--why": why is not None})
    one_form({"--next": coming, "--from": from_day is not None, "--compare": compare is not None})
    one_form({"--next": coming, "--days": days is not None})
    path = find_plan(plan, Path.cwd())
    if compare is not None:
        _compare(path, compare, on, as_json)
        return
    rota, first, last = shown_days(path, on, from_day, days, coming)
    name = None if vessel is None else known_vessel(rota.plan, vessel, "--vessel")
    asked = None if why in (None, _ALL) else _why(rota, why)
    if svg is not None:
        _draw(svg, rota, force, path)
        if not (as_json or as_csv or as_markdown):
            return
    if (score or asked) and not as_json:
        _explain(rota, asked)
        return
    form: _Form = "json" if as_json else "csv" if as_csv else "markdown" if as_markdown else "text"
    _list(rota, chosen(rota, first, last, name), form, why == _ALL, asked)


def _draw(svg: Path, rota: Rota, force: bool, path: Path) -> None:
    from greenrota.views.tasks.svg_strip import strip_svg

    write_svg(svg, strip_svg(rota), force, path)


def _list(rota: Rota, shown: tuple[Task, ...], form: _Form, reasons: bool, asked: Why | None) -> None:
    """Print some tasks of a rota, and its warnings where the form does not hold them."""
    from greenrota.views.check.warning import warnings_text

    match form:
        case "text":
            from greenrota.views.tasks.agenda import agenda

            out.write(agenda(rota, shown, out.screen_width(), reasons))
        case "json":
            from greenrota.views.tasks.tasklist import tasks_json

            out.write(tasks_json(rota, shown, asked))
            return
        case "csv":
            from greenrota.views.tasks.tasklist import tasks_csv

            out.write(tasks_csv(shown, rota.overdue))
        case "markdown":
            from greenrota.views.tasks.tasklist import tasks_markdown

            out.write(tasks_markdown(rota, shown))
        case _:
            assert_never(form)
    if warnings := warnings_text(rota.warnings, out.screen_width()):
        out.note(f"\n{warnings}")


def _compare(path: Path, other: Path, on: date | None, as_json: bool) -> None:
    """Print two plans side by side; each with the logbook beside it."""
    from greenrota.rota.answers.comparison import rota_figures
    from greenrota.views.tasks.comparison import comparison_json, comparison_page

    paths = (path, find_plan(other, Path.cwd()))
    ours, theirs = (rota_figures(rota_at(each, on)) for each in paths)
    names = (paths[0].name, paths[1].name)
    page = (
        comparison_json(names, (ours, theirs))
        if as_json
        else comparison_page(names, (ours, theirs), out.screen_width())
    )
    out.write(page)


def _why(rota: Rota, typed: str) -> Why:
    from greenrota.rota.answers.why import why as set_by

    return set_by(rota, known_task(rota, typed, "--why"))


def _explain(rota: Rota, asked: Why | None) -> None:
    """Print what set the day of a task; the score of the whole rota where no task is asked for."""
    from greenrota.views.tasks.score import score_page, why_page

    width = out.screen_width()
    out.write(score_page(rota, width) if asked is None else why_page(asked, rota.plan.units, width))
