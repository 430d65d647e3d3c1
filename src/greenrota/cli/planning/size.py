"""`greenrota size`: the fewest vessels that meet the ration."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from greenrota.cli.options.options import AsJson, PlanFile
from greenrota.cli.planning.risk import MOST_SEASONS, Seed
from greenrota.cli.system import out
from greenrota.cli.system.meter import PLAYING, meter
from greenrota.cli.system.plan_path import find_plan
from greenrota.cli.system.rota_at import load_plan
from greenrota.errors import Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from greenrota.rota.plan import Plan


def size(
    plan: PlanFile = None,
    confidence: Annotated[
        float, typer.Option("--confidence", min=0.5, max=0.999, metavar="SHARE", help="How sure it is to be.")
    ] = 0.95,
    most: Annotated[int, typer.Option("--most", min=1, max=50, metavar="N", help="Stop at N vessels.")] = 12,
    seasons: Annotated[
        int,
        typer.Option(
            "--seasons", min=100, max=MOST_SEASONS, metavar="N", help="Seasons played for each way."
        ),
    ] = 2_000,
    seed: Seed = 1,
    as_json: AsJson = False,
) -> None:
    """The fewest vessels that meet the ration at a confidence.

    And what each number of vessels gives: chance of a short day against working days."""
    from greenrota.risk.hazard import danger_for
    from greenrota.risk.size import frontier
    from greenrota.views.risk.size import size_json, size_page

    path = find_plan(plan, Path.cwd())
    wanted = load_plan(path)
    _want_production(wanted, path)
    found = []
    with meter(text=PLAYING) as show:
        for one in frontier(wanted, danger_for(wanted.hazards), confidence, seasons, seed, most):
            found.append(one)
            if show is not None:
                show(one.vessels / most)
    out.write(
        size_json(found, confidence, seed)
        if as_json
        else size_page(wanted.name, found, confidence, out.screen_width())
    )


def _want_production(plan: Plan, path: Path) -> None:
    """Refuse a plan that has no ration to meet, or no vessel to meet it with."""
    from greenrota.rota.feed.rations import usual_ration_ml_per_day

    fault = None
    if usual_ration_ml_per_day(plan) <= 0.0:
        fault = ("no-ration", "there is no ration to meet", 'add [tank] with ration = "120 mL/day"')
    elif not any(vessel.role == "production" for vessel in plan.vessels):
        fault = ("no-production", "no vessel is for production", 'give one the role "production"')
    if fault is not None:
        raise ProblemsFound([Problem(fault[0], Place(str(path)), fault[1], fault[2])])
