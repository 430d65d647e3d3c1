"""`greenrota ledger`: feed on hand, ration, age and shortfall day by day, and what it brings to the tank."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from greenrota.cli import out
from greenrota.cli.options import AsJson, OnDay, PlanFile, one_form
from greenrota.cli.paper import Force, SvgFile, write_svg
from greenrota.cli.plan_path import find_plan
from greenrota.cli.rota_at import rota_at


def ledger(
    plan: PlanFile = None,
    on: OnDay = None,
    as_json: AsJson = False,
    as_csv: Annotated[bool, typer.Option("--csv", help="Print a CSV table.")] = False,
    svg: SvgFile = None,
    force: Force = False,
) -> None:
    """Feed on hand, rations and shortfalls day by day.

    With them goes what the feed adds to the tank: nitrate and phosphate from "all taken up" to "none taken up"."""
    from greenrota.rota.feed.ledger import ledger as day_by_day
    from greenrota.rota.feed.tank import ration_warnings
    from greenrota.rota.warnings.warning import PlanWarning
    from greenrota.views.ledger import ledger_csv, ledger_json, ledger_page
    from greenrota.views.tasklist import warning_object
    from greenrota.views.warning import warnings_text

    one_form({"--json": as_json, "--csv": as_csv})
    path = find_plan(plan, Path.cwd())
    rota = rota_at(path, on)
    book = day_by_day(rota.plan, rota.simulation.state.harvests, rota.through)
    if svg is not None:
        from greenrota.views.svg_ledger import ledger_svg

        write_svg(svg, ledger_svg(rota.plan, book), force, path)
        if not (as_json or as_csv):
            return
    warnings = [PlanWarning(code, text) for code, text in ration_warnings(rota.plan, book)]
    if as_json:
        out.write(ledger_json(rota.plan, book, [warning_object(warning) for warning in warnings]))
        return
    if as_csv:
        out.write(ledger_csv(rota.plan, book))
    else:
        out.write(ledger_page(rota.plan, book, out.screen_width(), out.ascii_only()))
    if warnings:
        out.note(f"\n{warnings_text(warnings, out.screen_width())}")
