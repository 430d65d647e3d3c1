"""`greenrota sheet`: the task sheet on paper."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from greenrota.cli.options.options import ComingMonth, Days, FromDay, OnDay, PlanFile, one_form
from greenrota.cli.system.next_month import shown_days
from greenrota.cli.system.paper import Force, SheetSize, write_paper
from greenrota.cli.system.plan_path import find_plan


def sheet(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Where to write the page (HTML).")],
    plan: PlanFile = None,
    from_day: FromDay = None,
    days: Days = None,
    coming: ComingMonth = False,
    size: Annotated[SheetSize, typer.Option("--size", help="Paper.")] = SheetSize.a4,
    on: OnDay = None,
    force: Force = False,
) -> None:
    """A task sheet to print: boxes to tick, amounts, room to write.

    A page for every week, with visits, rations, room for counts and cautions."""
    from greenrota.views.paper.page import HTML_MARK, PAPERS
    from greenrota.views.sheet.sheet import sheet_html
    from greenrota.views.tasks.agenda import chosen

    one_form({"--next": coming, "--from": from_day is not None})
    one_form({"--next": coming, "--days": days is not None})
    path = find_plan(plan, Path.cwd())
    rota, first, last = shown_days(path, on, from_day, days, coming)
    page = sheet_html(rota, chosen(rota, first, last), PAPERS[size.value], first, last)
    write_paper(file, page.encode(), HTML_MARK, force, path)
