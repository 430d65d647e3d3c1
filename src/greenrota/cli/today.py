"""`greenrota today`: what is due, on one screen."""

from __future__ import annotations

from pathlib import Path

from greenrota.cli import clock, out
from greenrota.cli.options import OnDay, PlanFile
from greenrota.cli.plan_path import find_plan
from greenrota.cli.rota_at import rota_at


def today(plan: PlanFile = None, on: OnDay = None) -> None:
    """What is due and overdue, what to pour, what comes next."""
    from greenrota.views.today import today_page

    day = on or clock.today()
    rota = rota_at(find_plan(plan, Path.cwd()), day)
    out.write(today_page(rota, day, width=out.screen_width()))
