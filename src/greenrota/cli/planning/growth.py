"""`greenrota growth`: the projection of one vessel."""

from __future__ import annotations

from pathlib import Path

from greenrota.cli.options.options import AsJson, OnDay, PlanFile, VesselNamed
from greenrota.cli.options.vessel_name import known_vessel
from greenrota.cli.system import out
from greenrota.cli.system.paper import Force, SvgFile, write_svg
from greenrota.cli.system.plan_path import find_plan
from greenrota.cli.system.rota_at import read_papers, rota_of


def growth(
    vessel: VesselNamed,
    plan: PlanFile = None,
    on: OnDay = None,
    as_json: AsJson = False,
    svg: SvgFile = None,
    force: Force = False,
) -> None:
    """Projected density, ceiling and ripe days of a vessel."""
    from greenrota.rota.answers.ripeness import vessel_ripeness
    from greenrota.rota.replay.observed import observations
    from greenrota.views.vessel.growth import growth_json, growth_page

    path = find_plan(plan, Path.cwd())
    papers = read_papers(path)
    rota = rota_of(papers, on)
    name = known_vessel(rota.plan, vessel, "VESSEL")
    if svg is not None:
        from greenrota.views.vessel.svg_growth import growth_svg

        write_svg(svg, growth_svg(rota, name), force, path)
        if not as_json:
            return
    seen = observations(papers.entries, [name], papers.day(on))
    ripe = vessel_ripeness(rota, name, papers.entries)
    if as_json:
        out.write(growth_json(rota, name, seen, ripe))
    else:
        out.write(growth_page(rota, name, out.screen_width(), out.ascii_only(), seen, ripe))
