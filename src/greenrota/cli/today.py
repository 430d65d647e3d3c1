"""`greenrota today`: what is due, on one screen."""

from __future__ import annotations

from pathlib import Path

from greenrota.cli import out
from greenrota.cli.options import AsJson, OnDay, PlanFile
from greenrota.cli.plan_path import find_plan
from greenrota.cli.rota_at import read_papers, rota_of


def today(plan: PlanFile = None, on: OnDay = None, as_json: AsJson = False) -> None:
    """What is due and overdue, what to pour, what comes next."""
    from greenrota.rota.replay.observed import newest, observations
    from greenrota.views.today import today_page
    from greenrota.views.today_json import today_json

    papers = read_papers(find_plan(plan, Path.cwd()))
    rota, day = rota_of(papers, on), papers.day(on)
    seen = newest(observations(papers.entries, rota.benches, day), rota.state.cultures)
    if as_json:
        out.write(today_json(rota, day, seen))
    else:
        out.write(today_page(rota, day, out.screen_width(), out.screen_height(), seen))
