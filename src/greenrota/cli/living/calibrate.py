"""`greenrota calibrate`: rate and ceiling of a vessel from its logged counts."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from greenrota.cli.options.options import AsJson, OnDay, PlanFile, VesselNamed, number_option
from greenrota.cli.options.vessel_name import known_vessel
from greenrota.cli.system import out
from greenrota.cli.system.plan_path import find_plan
from greenrota.cli.system.rota_at import read_papers, show_problems
from greenrota.errors import Place, Problem, ProblemsFound


def calibrate(
    vessel: VesselNamed,
    plan: PlanFile = None,
    on: OnDay = None,
    fit_lag: Annotated[
        bool, typer.Option("--fit-lag", help="Fit the days before growth sets in, too.")
    ] = False,
    handling: Annotated[
        float,
        number_option("--handling", "SHARE", "Relative error of sampling and filling the chamber."),
    ] = 0.10,
    as_json: AsJson = False,
) -> None:
    """Rate and ceiling from your own counts, as lines for the plan.

    Write down cells and squares with a count, then its own error is known."""
    from greenrota.culture.fit.tally import Noise
    from greenrota.rota.answers.calibration import calibrate as fitted
    from greenrota.rota.simulate.context import context_for
    from greenrota.views.vessel.calibrate import calibrate_page
    from greenrota.views.vessel.calibrate_json import calibrate_json

    if handling > 1.0:
        what = f"{handling:g} is more than the count itself"
        problem = Problem("out-of-range", Place("--handling"), what, "give a share, for example 0.10")
        raise ProblemsFound([problem], status=2)
    papers = read_papers(find_plan(plan, Path.cwd()))
    show_problems(papers.book.problems)
    name = known_vessel(papers.plan, vessel, "VESSEL")
    found = fitted(
        context_for(papers.plan), papers.entries, name, papers.day(on), Noise(handling=handling), fit_lag
    )
    if as_json:
        out.write(calibrate_json(found))
    else:
        out.write(calibrate_page(found, out.screen_width(), out.ascii_only()))
