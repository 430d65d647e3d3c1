"""`greenrota growth`: the projection of one vessel."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from greenrota.cli import out
from greenrota.cli.options import AsJson, OnDay, PlanFile
from greenrota.cli.plan_path import find_plan
from greenrota.cli.rota_at import rota_at
from greenrota.cli.vessel_name import known_vessel


def growth(
    vessel: Annotated[str, typer.Argument(metavar="VESSEL", help="The vessel, by its name in the plan.")],
    plan: PlanFile = None,
    on: OnDay = None,
    as_json: AsJson = False,
) -> None:
    """Projected density, ceiling and harvest windows of a vessel."""
    from greenrota.views.growth import growth_json, growth_page

    rota = rota_at(find_plan(plan, Path.cwd()), on)
    name = known_vessel(rota.plan, vessel, "VESSEL")
    out.write(
        growth_json(rota, name) if as_json else growth_page(rota, name, out.screen_width(), out.ascii_only())
    )
