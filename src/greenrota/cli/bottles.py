"""`greenrota bottles`: every harvest bottle, rations and shortfalls day by day, and what they bring to the tank."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from greenrota.cli import out
from greenrota.cli.options import AsJson, OnDay, PlanFile, one_form
from greenrota.cli.paper import Force, SvgFile, write_svg
from greenrota.cli.plan_path import find_plan
from greenrota.cli.rota_at import rota_at


def bottles(
    plan: PlanFile = None,
    on: OnDay = None,
    as_json: AsJson = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="Print a CSV table.")] = False,
    svg: SvgFile = None,
    force: Force = False,
) -> None:
    """Harvest bottles, rations and shortfalls day by day.

    With them goes what the rations add to the tank: nitrate and phosphate from "all taken up" to "none taken up"."""
    from greenrota.rota.feed.tank import ration_warnings
    from greenrota.rota.warning import PlanWarning
    from greenrota.views.bottles import bottles_csv, bottles_json, bottles_page
    from greenrota.views.tasklist import warning_object
    from greenrota.views.warning import warnings_text

    one_form({"--json": as_json, "--csv": as_csv})
    path = find_plan(plan, Path.cwd())
    rota = rota_at(path, on)
    rations = rota.rations()
    if svg is not None:
        from greenrota.views.svg_bottles import bottles_svg

        write_svg(svg, bottles_svg(rota.plan, rations), force, path)
        if not (as_json or as_csv):
            return
    warnings = [PlanWarning(code, text) for code, text in ration_warnings(rota.plan, rations)]
    if as_json:
        out.write(
            bottles_json(rota.plan, rations, [warning_object(warning) for warning in warnings], rota.bottles)
        )
        return
    if as_csv:
        out.write(bottles_csv(rota.plan, rations))
    else:
        out.write(bottles_page(rota.plan, rations, out.screen_width(), out.ascii_only(), rota.bottles))
    if warnings:
        out.note(f"\n{warnings_text(warnings, out.screen_width())}")
