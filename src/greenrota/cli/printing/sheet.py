"""`greenrota sheet`: the task sheet on paper."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path
from typing import Annotated

import typer

from greenrota.cli.options.options import Days, FromDay, OnDay, PlanFile
from greenrota.cli.system.paper import Force, SheetSize, write_paper
from greenrota.cli.system.plan_path import find_plan
from greenrota.cli.system.rota_at import rota_at


def sheet(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Where to write the page (HTML).")],
    plan: PlanFile = None,
    from_day: FromDay = None,
    days: Days = None,
    size: Annotated[SheetSize, typer.Option("--size", help="Paper.")] = SheetSize.a4,
    on: OnDay = None,
    force: Force = False,
) -> None:
    """A task sheet to print: boxes to tick, amounts, room to write.

    A page for every week, with its visits, the daily rations, room for counts and its cautions; prints from any
    browser."""
    from greenrota.views.paper.page import HTML_MARK, PAPERS
    from greenrota.views.sheet.sheet import sheet_html
    from greenrota.views.tasks.agenda import chosen

    path = find_plan(plan, Path.cwd())
    rota = rota_at(path, on)
    last = None if days is None else (from_day or rota.as_of) + timedelta(days=days - 1)
    page = sheet_html(rota, chosen(rota, from_day, last), PAPERS[size.value], from_day, last)
    write_paper(file, page.encode(), HTML_MARK, force, path)
