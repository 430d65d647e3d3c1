"""`greenrota today`: what is due, on one screen."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from greenrota.cli.options.options import AsJson, OnDay, PlanFile
from greenrota.cli.system import out
from greenrota.cli.system.plan_path import find_plan
from greenrota.cli.system.rota_at import Papers, read_papers, rota_of

if TYPE_CHECKING:
    from greenrota.rota.answers.ripeness import RipeDay
    from greenrota.rota.rota import Rota


def today(plan: PlanFile = None, on: OnDay = None, as_json: AsJson = False) -> None:
    """What is due and overdue, what to pour, what comes next."""
    from greenrota.rota.replay.observed import newest, observations

    papers = read_papers(find_plan(plan, Path.cwd()))
    rota, day = rota_of(papers, on), papers.day(on)
    seen = newest(observations(papers.entries, rota.benches, day), rota.state.cultures)
    if as_json:
        from greenrota.views.today.today_json import today_json

        ripe = _ripe_days(papers, rota, day, list(rota.benches))
        out.write(today_json(rota, day, seen, ripe))
    else:
        from greenrota.rota.answers.contents import soon_ripe
        from greenrota.views.today.today import today_page

        ripe = _ripe_days(papers, rota, day, soon_ripe(rota, day))
        out.write(today_page(rota, day, out.screen_width(), out.screen_height(), seen, ripe))


def _ripe_days(papers: Papers, rota: Rota, day: date, vessels: list[str]) -> dict[str, RipeDay]:
    """The ripe days of what stands in some vessels; what this takes is loaded only where there is something."""
    if day != rota.as_of or not vessels:
        return {}
    from greenrota.rota.answers.ripeness import ripe_days_of

    return ripe_days_of(rota, vessels, papers.entries)
