"""`greenrota growth`: the projection of one vessel."""

from __future__ import annotations

from pathlib import Path

from greenrota.cli import out
from greenrota.cli.options import AsJson, OnDay, PlanFile, VesselNamed
from greenrota.cli.paper import Force, SvgFile, write_svg
from greenrota.cli.plan_path import find_plan
from greenrota.cli.rota_at import rota_at
from greenrota.cli.vessel_name import known_vessel


def growth(
    vessel: VesselNamed,
    plan: PlanFile = None,
    on: OnDay = None,
    as_json: AsJson = False,
    svg: SvgFile = None,
    force: Force = False,
) -> None:
    """Projected density, ceiling and harvest windows of a vessel."""
    from greenrota.views.growth import growth_json, growth_page

    path = find_plan(plan, Path.cwd())
    rota = rota_at(path, on)
    name = known_vessel(rota.plan, vessel, "VESSEL")
    if svg is not None:
        from greenrota.views.svg_growth import growth_svg

        write_svg(svg, growth_svg(rota, name), force, path)
        if not as_json:
            return
    out.write(
        growth_json(rota, name) if as_json else growth_page(rota, name, out.screen_width(), out.ascii_only())
    )
