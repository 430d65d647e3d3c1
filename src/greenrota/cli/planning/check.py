"""`greenrota check`: is the plan sound, and what should be known before it is followed."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from greenrota.cli.options.options import AsJson, OnDay, PlanFile
from greenrota.cli.system import out
from greenrota.cli.system.plan_path import find_plan, logbook_path
from greenrota.cli.system.rota_at import read_papers, show_problems
from greenrota.errors import ProblemsFound

if TYPE_CHECKING:
    from greenrota.views.check.check import Checked


def check(plan: PlanFile = None, on: OnDay = None, as_json: AsJson = False) -> None:
    """Problems and warnings of a plan and its logbook.

    A problem ends with status 1; a warning is advice. With --json both are printed as data."""
    if as_json:
        _as_data(plan, on)
        return
    from greenrota.views.check.check import entries_text
    from greenrota.views.check.warning import verdict

    path = find_plan(plan, Path.cwd())
    found = _checked(path, on)
    show_problems(found.notices)
    if found.rota is not None:
        out.write(verdict(found.plan, found.rota, out.screen_width()))
    if found.entries or found.problems:
        text = entries_text(len(found.problems), found.entries, found.standing)
        files = f" with {', '.join(found.archives)}" if found.archives else ""
        out.write(f"{logbook_path(path)}{files}: {text}")
    if found.problems:
        raise ProblemsFound(found.problems)


def _checked(path: Path, on: date | None) -> Checked:
    """Plan and logbook as checked; ProblemsFound where the plan itself has problems."""
    from greenrota.views.check.check import Checked

    papers = read_papers(path)
    rota = papers.rota(papers.day(on))
    book = papers.book
    archives = [archive.file for archive in book.archives]
    problems = papers.problems(rota)
    return Checked(str(path), rota, problems, book.notices, len(book.entries), len(papers.entries), archives)


def _as_data(plan: Path | None, on: date | None) -> None:
    """Print what was found, whatever it is, and end with status 1 where there is a problem."""
    from greenrota.views.check.check import Checked, check_json

    named = str(plan) if plan is not None else ""
    try:
        path = find_plan(plan, Path.cwd())
        named = str(path)
        found = _checked(path, on)
    except ProblemsFound as faults:
        found = Checked(named, None, faults.problems)
    except OSError as error:
        found = Checked(named, None, [out.unreadable(error)])
    out.write(check_json(found))
    if found.problems:
        raise typer.Exit(1)
