"""`greenrota bottles`: every harvest bottle, rations and shortfalls day by day, and what they bring to the tank."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from greenrota.cli.options.options import AsJson, OnDay, PlanFile, one_form
from greenrota.cli.system import out
from greenrota.cli.system.paper import Force, SvgFile, write_svg
from greenrota.cli.system.plan_path import find_plan
from greenrota.cli.system.rota_at import rota_at


def bottles(
    plan: PlanFile = None,
    on: OnDay = None,
    as_json: AsJson = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="Print a CSV table.")] = False,
    svg: SvgFile = None,
    force: Force = False,
) -> None:
    """Harvest bottles, rations and shortfalls day by day.

    And what the rations add to the tank: nitrate and phosphate, from "all taken up" to "none taken up"."""
    from greenrota.views.check.warning import warnings_text
    from greenrota.views.feed.bottles import BottlesReport, bottles_page
    from greenrota.views.feed.bottles_json import bottles_csv, bottles_json

    one_form({"--json": as_json, "--csv": as_csv})
    path = find_plan(plan, Path.cwd())
    rota = rota_at(path, on)
    report = BottlesReport.of(rota.plan, rota.rations(), rota.bottles)
    if svg is not None:
        from greenrota.views.feed.svg_bottles import bottles_svg

        write_svg(svg, bottles_svg(report), force, path)
        if not (as_json or as_csv):
            return
    if as_json:
        out.write(bottles_json(report))
        return
    if as_csv:
        out.write(bottles_csv(report))
    else:
        out.write(bottles_page(report, out.screen_width(), out.ascii_only(), rota.as_of))
    if report.warnings:
        out.note(f"\n{warnings_text(report.warnings, out.screen_width())}")
