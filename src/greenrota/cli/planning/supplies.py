"""`greenrota supplies`: what the horizon uses up, what to buy, and what a litre of feed costs."""

from __future__ import annotations

from pathlib import Path

from greenrota.cli.options.options import AsJson, OnDay, PlanFile
from greenrota.cli.system import out
from greenrota.cli.system.plan_path import find_plan
from greenrota.cli.system.rota_at import rota_at


def supplies(plan: PlanFile = None, on: OnDay = None, as_json: AsJson = False) -> None:
    """What the tasks use up, when each bottle runs dry, what to buy.

    Costs are shown when the plan gives prices."""
    from greenrota.views.tasks.supplies import supplies_json, supplies_page

    rota = rota_at(find_plan(plan, Path.cwd()), on)
    out.write(supplies_json(rota) if as_json else supplies_page(rota, out.screen_width()))
