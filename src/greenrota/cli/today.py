"""`greenrota today`: what is due, on one screen."""

from __future__ import annotations

from pathlib import Path

from greenrota.cli import out
from greenrota.cli.options import OnDay, PlanFile
from greenrota.cli.plan_path import find_plan
from greenrota.cli.rota_at import read_papers, rota_of


def today(plan: PlanFile = None, on: OnDay = None) -> None:
    """What is due and overdue, what to pour, what comes next."""
    from greenrota.views.today import today_page

    papers = read_papers(find_plan(plan, Path.cwd()))
    page = today_page(rota_of(papers, on), papers.day(on), out.screen_width(), out.screen_height())
    out.write(page)
