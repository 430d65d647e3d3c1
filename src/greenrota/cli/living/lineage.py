"""`greenrota lineage`: which batch comes from which, and what a contamination would touch."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Annotated

import typer

from greenrota.cli.options import completion
from greenrota.cli.options.options import AsJson, OnDay, PlanFile, iso_day
from greenrota.cli.options.vessel_name import known_subject
from greenrota.cli.system import out
from greenrota.cli.system.plan_path import find_plan
from greenrota.cli.system.rota_at import read_papers, rota_of
from greenrota.errors import Place, Problem, ProblemsFound

Source = Annotated[
    str | None,
    typer.Option(
        "--from",
        metavar="ID",
        help="Show what a contamination in this vessel, batch or bottle would touch.",
        show_default=False,
        autocompletion=completion.vessels,
    ),
]
Since = Annotated[
    date | None,
    typer.Option(
        "--since",
        parser=lambda text: iso_day(text, "--since"),
        metavar="DATE",
        help="First day on which it may have been contaminated; default: the day it is.",
        show_default=False,
    ),
]


def lineage(
    plan: PlanFile = None,
    source: Source = None,
    since: Since = None,
    planned: Annotated[
        bool, typer.Option("--planned", help="With the batches that are still to come.")
    ] = False,
    on: OnDay = None,
    as_json: AsJson = False,
) -> None:
    """Which batch comes from which; what a contamination would touch.

    Without a logbook the batches are shown as planned."""
    from greenrota.rota.answers.pedigree import pedigree
    from greenrota.views.vessel.lineage import lineage_json, lineage_page

    if since is not None and source is None:
        hint = "name the vessel, batch or bottle with --from"
        raise ProblemsFound(
            [Problem("since-alone", Place("--since"), "--since needs a place to start from", hint)], status=2
        )
    papers = read_papers(find_plan(plan, Path.cwd()))
    rota = rota_of(papers, on)
    with_planned = planned or not rota.state.batches
    outbreak = None
    if source is not None:
        outbreak = (known_subject(rota, source, "--from", with_planned), since or papers.day(on))
    try:
        found = pedigree(rota, with_planned, outbreak)
    except LookupError:
        hint = "name a batch or a bottle, or look at the batches to come with --planned"
        problem = Problem("no-batch", Place("--from"), f'no batch has stood in "{source}" so far', hint)
        raise ProblemsFound([problem]) from None
    if as_json:
        out.write(lineage_json(found))
    else:
        out.write(lineage_page(found, out.screen_width(), out.ascii_only()))
