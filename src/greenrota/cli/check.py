"""`greenrota check`: is the plan sound, and what should be known before it is followed."""

from __future__ import annotations

from pathlib import Path

from greenrota.cli import out
from greenrota.cli.options import OnDay, PlanFile
from greenrota.cli.plan_path import find_plan, logbook_path
from greenrota.cli.rota_at import read_papers, tell
from greenrota.errors import ProblemsFound


def check(plan: PlanFile = None, on: OnDay = None) -> None:
    """Problems and warnings of a plan and its logbook.

    A problem ends with status 1; a warning is advice, and the plan can be followed all the same."""
    from greenrota.views.warning import verdict

    path = find_plan(plan, Path.cwd())
    papers = read_papers(path)
    rota = papers.rota(papers.day(on))
    problems = papers.problems(rota)
    tell(papers.book.notices)
    out.write(verdict(str(path), rota, out.screen_width()))
    if papers.book.entries or problems:
        told = f"{len(papers.book.entries)} entries, {len(papers.entries)} of them stand"
        out.write(f"{logbook_path(path)}: {told}; {len(problems) or 'no'} problems")
    if problems:
        raise ProblemsFound(problems)
