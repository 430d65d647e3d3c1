"""`greenrota check`: is the plan sound, and what should be known before it is followed."""

from __future__ import annotations

from pathlib import Path

from greenrota.cli import clock, out
from greenrota.cli.options import OnDay, PlanFile
from greenrota.cli.plan_path import find_plan
from greenrota.cli.rota_at import rota_at


def check(plan: PlanFile = None, on: OnDay = None) -> None:
    """Problems and warnings of a plan.

    A problem ends with status 1; a warning is advice, and the plan can be followed all the same."""
    from greenrota.views.warning import verdict

    path = find_plan(plan, Path.cwd())
    rota = rota_at(path, on or clock.today())
    out.write(verdict(str(path), rota, out.screen_width()))
