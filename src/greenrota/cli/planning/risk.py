"""`greenrota risk`: seasons played by chance, on this plan and on a changed one under the same luck."""

from __future__ import annotations

import time
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, NamedTuple

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
    from greenrota.views.risk.risk import Compared, PlanRisk, RiskReport

MOST_SEASONS = 1_000_000
SeasonCount = Annotated[
    int, typer.Option("--seasons", min=1, max=MOST_SEASONS, metavar="N", help="How many seasons are played.")
]
Seed = Annotated[int, typer.Option("--seed", min=0, metavar="N", help="Same seed, same luck.")]
WithoutBackup = Annotated[
    bool, typer.Option("--without-backup", help="Compare: no fridge back-ups, nothing held back.")
]
VesselCount = Annotated[
    int | None,
    typer.Option(
        "--vessels", min=1, max=50, metavar="N", help="Compare: N production vessels.", show_default=False
    ),
]
Hazard = Annotated[float | None, number_option("--hazard", "X", "Compare: every mishap X times as frequent.")]
Against = Annotated[
    Path | None,
    typer.Option("--against", metavar="PLAN", help="Compare: another plan.", show_default=False),
]
OwnRates = Annotated[
    bool, typer.Option("--own-rates", help="Use the rates that the logbook counts where it has any.")
]


class Luck(NamedTuple):
    """How many seasons are played, and the seed of their mishaps."""

    seasons: int
    seed: int


class Other(NamedTuple):
    """What is compared with a plan: another plan, so many vessels, no back-ups, other hazards. None: as it is."""

    against: Path | None
    vessels: int | None
    without_backup: bool
    hazard: float | None

    @property
    def wanted(self) -> bool:
        return self.without_backup or any(
            each is not None for each in (self.against, self.vessels, self.hazard)
        )


def risk(
    plan: PlanFile = None,
    on: OnDay = None,
    seasons: SeasonCount = 10_000,
    seed: Seed = 1,
    without_backup: WithoutBackup = False,
    vessels: VesselCount = None,
    hazard: Hazard = None,
    against: Against = None,
    own_rates: OwnRates = False,
    as_json: AsJson = False,
    svg: SvgFile = None,
    force: Force = False,
) -> None:
    """Chance of losing the strain, and of days without feed.

    Played many times under chance mishaps; what is compared, under the same luck."""
    from greenrota.views.risk.risk import risk_page
    from greenrota.views.risk.risk_json import risk_json

    papers = read_papers(find_plan(plan, Path.cwd()))
    if svg is not None:
        _may_draw(svg, force, papers.path, against)
    other = Other(against, vessels, without_backup, hazard)
    report = _report(papers, on, Luck(seasons, seed), other, own_rates)
    if svg is not None:
        from greenrota.views.risk.svg_risk import risk_svg

        write_svg(svg, risk_svg(report), force, papers.path)
        if not as_json:
            return
    if as_json:
        out.write(risk_json(report))
    else:
        out.write(risk_page(report, out.screen_width(), out.ascii_only()))


def _report(papers: Papers, on: date | None, luck: Luck, other: Other, own_rates: bool) -> RiskReport:
    """Seasons of the plan, and of what is compared where that is wanted."""
    from greenrota.risk.hazard import danger_for, logged_rates, with_logged
    from greenrota.risk.timetable import timetable
    from greenrota.views.risk.risk import RiskReport

    rota = rota_of(papers, on)
    rates = logged_rates(papers.entries, papers.day(on))
    danger = danger_for(papers.plan.hazards)
    if own_rates:
        danger = with_logged(danger, rates)
    played, own = _play(papers.plan.name, rota, timetable(rota), danger, luck)
    compared = _compared(papers, rota, on, danger, luck, other, played) if other.wanted else None
    return RiskReport(own, compared, tuple(rates))


def _compared(
    papers: Papers,
    rota: Rota,
    on: date | None,
    danger: Danger,
    luck: Luck,
    other: Other,
    played: Seasons,
) -> Compared:
    """What is compared, played under the same luck; `rota`, `danger` and `played` are those of the plan itself."""
    from greenrota.risk.hazard import danger_for, scaled
    from greenrota.risk.outcome import difference
    from greenrota.risk.timetable import timetable
    from greenrota.views.risk.risk import Compared

    plan, label = _other_plan(papers, other)
    own_danger = danger if other.against is None else danger_for(plan.hazards)
    if other.hazard is not None:
        own_danger = scaled(own_danger, other.hazard)
    same = other.vessels is None and other.against is None
    own_rota = rota if same else rota_of(papers._replace(plan=plan, entries=(), known=[]), on)
    table = timetable(own_rota, backup=not other.without_backup)
    own_played, own_risk = _play(label, own_rota, table, own_danger, luck)
    return Compared(own_risk, difference(played, own_played))


def _may_draw(svg: Path, force: bool, plan: Path, against: Path | None) -> None:
    """Refuse a picture that may not be written before the seasons are played, not after."""
    from greenrota.views.paper.svg import SVG_MARK

    others = [] if against is None else [find_plan(against, Path.cwd())]
    may_write(svg, SVG_MARK, force, plan, *others)


def _other_plan(papers: Papers, other: Other) -> tuple[Plan, str]:
    """The plan that is compared, and what to call it."""
    from greenrota.risk.size import with_vessels
    from greenrota.rota.wording import numbered

    plan, words = papers.plan, []
    if other.against is not None:
        plan = load_plan(find_plan(other.against, Path.cwd()))
        words.append(plan.name)
    if other.vessels is not None:
        try:
            plan = with_vessels(plan, other.vessels)
        except ValueError as error:
            hint = 'at least one vessel needs the role "production"'
            raise ProblemsFound(
                [Problem("no-production", Place(str(papers.path)), str(error), hint)]
            ) from None
        words.append(numbered(other.vessels, "vessel"))
    if other.without_backup:
        words.append("without back-up")
    if other.hazard is not None:
        words.append(f"hazards x {other.hazard:g}")
    return plan, ", ".join(words)


def _play(name: str, rota: Rota, table: Timetable, danger: Danger, luck: Luck) -> tuple[Seasons, PlanRisk]:
    from greenrota.risk.outcome import outcome
    from greenrota.risk.season import play
    from greenrota.rota.feed.shortage import coming_days, short_days
    from greenrota.views.risk.risk import PlanRisk

    counted = coming_days(rota.rations().days, rota.as_of)
    began = time.perf_counter()
    with meter(text=PLAYING) as show:
        progress = None if show is None else lambda done: show(done / luck.seasons)
        played = play(table, danger, luck.seasons, luck.seed, progress=progress)
    seconds = time.perf_counter() - began
    vessels = len(table.places.names)
    first = counted[0].on if counted else None
    return played, PlanRisk(name, outcome(played), vessels, luck.seed, short_days(counted), seconds, first)
