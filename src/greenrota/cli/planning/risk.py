"""`greenrota risk`: seasons played by chance, on this plan and on a changed one under the same luck."""

from __future__ import annotations

import time
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from greenrota.cli.options.options import AsJson, OnDay, PlanFile, number_option
from greenrota.cli.system import out
from greenrota.cli.system.meter import PLAYING, meter
from greenrota.cli.system.paper import Force, SvgFile, may_write, write_svg
from greenrota.cli.system.plan_path import find_plan
from greenrota.cli.system.rota_at import Papers, load_plan, read_papers, rota_of
from greenrota.errors import Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from greenrota.risk.hazard import Danger
    from greenrota.risk.season import Seasons
    from greenrota.risk.timetable import Timetable
    from greenrota.rota.plan import Plan
    from greenrota.rota.rota import Rota
    from greenrota.views.risk.risk import PlanRisk

MOST_SEASONS = 1_000_000
SeasonCount = Annotated[
    int, typer.Option("--seasons", min=1, max=MOST_SEASONS, metavar="N", help="How many seasons are played.")
]
Seed = Annotated[int, typer.Option("--seed", min=0, metavar="N", help="Same seed, same luck.")]


def risk(
    plan: PlanFile = None,
    on: OnDay = None,
    seasons: SeasonCount = 10_000,
    seed: Seed = 1,
    without_backup: Annotated[
        bool, typer.Option("--without-backup", help="Compare: no fridge back-ups, nothing held back.")
    ] = False,
    vessels: Annotated[
        int | None,
        typer.Option(
            "--vessels", min=1, max=50, metavar="N", help="Compare: N production vessels.", show_default=False
        ),
    ] = None,
    hazard: Annotated[
        float | None,
        number_option("--hazard", "X", "Compare: every mishap X times as frequent."),
    ] = None,
    against: Annotated[
        Path | None,
        typer.Option("--against", metavar="PLAN", help="Compare: another plan.", show_default=False),
    ] = None,
    own_rates: Annotated[
        bool, typer.Option("--own-rates", help="Use the rates that the logbook counts where it has any.")
    ] = False,
    as_json: AsJson = False,
    svg: SvgFile = None,
    force: Force = False,
) -> None:
    """Chance of losing the strain, and of days without feed.

    The rota is played many times under chance mishaps. What is compared is played under the same luck."""
    from greenrota.risk.hazard import danger_for, logged_rates, scaled, with_logged
    from greenrota.risk.outcome import difference
    from greenrota.risk.timetable import timetable
    from greenrota.views.risk.risk import Compared, RiskReport, risk_page
    from greenrota.views.risk.risk_json import risk_json

    papers = read_papers(find_plan(plan, Path.cwd()))
    if svg is not None:
        _may_draw(svg, force, papers.path, against)
    rota = rota_of(papers, on)
    rates = logged_rates(papers.entries, papers.day(on))
    danger = danger_for(papers.plan.hazards)
    if own_rates:
        danger = with_logged(danger, rates)
    played, own = _play(papers.plan.name, rota, timetable(rota), danger, seasons, seed)
    compared = None
    if without_backup or vessels is not None or hazard is not None or against is not None:
        other, label = _other_plan(papers, vessels, against, without_backup, hazard)
        other_danger = danger if against is None else danger_for(other.hazards)
        if hazard is not None:
            other_danger = scaled(other_danger, hazard)
        same = vessels is None and against is None
        other_rota = rota if same else rota_of(replace(papers, plan=other, entries=(), known=[]), on)
        table = timetable(other_rota, backup=not without_backup)
        other_played, other_risk = _play(label, other_rota, table, other_danger, seasons, seed)
        compared = Compared(other_risk, difference(played, other_played))
    report = RiskReport(own, compared, tuple(rates))
    if svg is not None:
        from greenrota.views.risk.svg_risk import risk_svg

        write_svg(svg, risk_svg(report), force, papers.path)
        if not as_json:
            return
    if as_json:
        out.write(risk_json(report))
    else:
        out.write(risk_page(report, out.screen_width(), out.ascii_only()))


def _may_draw(svg: Path, force: bool, plan: Path, against: Path | None) -> None:
    """Refuse a picture that may not be written before the seasons are played, not after."""
    from greenrota.views.paper.svg import SVG_MARK

    others = [] if against is None else [find_plan(against, Path.cwd())]
    may_write(svg, SVG_MARK, force, plan, *others)


def _other_plan(
    papers: Papers, vessels: int | None, against: Path | None, without_backup: bool, hazard: float | None
) -> tuple[Plan, str]:
    """The plan that is compared, and what to call it."""
    from greenrota.risk.size import with_vessels
    from greenrota.rota.wording import numbered

    plan, words = papers.plan, []
    if against is not None:
        plan = load_plan(find_plan(against, Path.cwd()))
        words.append(plan.name)
    if vessels is not None:
        try:
            plan = with_vessels(plan, vessels)
        except ValueError as error:
            hint = 'at least one vessel needs the role "production"'
            raise ProblemsFound(
                [Problem("no-production", Place(str(papers.path)), str(error), hint)]
            ) from None
        words.append(numbered(vessels, "vessel"))
    if without_backup:
        words.append("without back-up")
    if hazard is not None:
        words.append(f"hazards x {hazard:g}")
    return plan, ", ".join(words)


def _play(
    name: str, rota: Rota, table: Timetable, danger: Danger, seasons: int, seed: int
) -> tuple[Seasons, PlanRisk]:
    from greenrota.risk.outcome import outcome
    from greenrota.risk.season import play
    from greenrota.rota.feed.shortage import coming_days, short_days
    from greenrota.views.risk.risk import PlanRisk

    counted = coming_days(rota.rations().days, rota.as_of)
    began = time.perf_counter()
    with meter(text=PLAYING) as show:
        progress = None if show is None else lambda done: show(done / seasons)
        played = play(table, danger, seasons, seed, progress=progress)
    seconds = time.perf_counter() - began
    vessels = len(table.places.names)
    first = counted[0].on if counted else None
    return played, PlanRisk(name, outcome(played), vessels, seed, short_days(counted), seconds, first)
