"""`greenrota away`: what days away ask for before, what they leave, and a note for whoever looks in."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from greenrota.cli.options.options import AsJson, OnDay, PlanFile, one_form
from greenrota.cli.system import out
from greenrota.cli.system.plan_path import find_plan
from greenrota.cli.system.rota_at import rota_at


def away(
    plan: PlanFile = None,
    on: OnDay = None,
    note: Annotated[bool, typer.Option("--note", help="Print only the note for whoever looks in.")] = False,
    as_json: AsJson = False,
) -> None:
    """Days away: what is done before, the feed, a note to leave.

    The days stand in the plan under [[away]]; the note leaves the telephone numbers blank."""
    from greenrota.rota.answers.away import departures
    from greenrota.views.away.away import away_json, away_page, note_page

    one_form({"--note": note, "--json": as_json})
    rota = rota_at(find_plan(plan, Path.cwd()), on)
    found = departures(rota)
    if as_json:
        out.write(away_json(rota, found))
        return
    out.write((note_page if note else away_page)(rota, found, out.screen_width()))
