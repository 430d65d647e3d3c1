"""The risk page and its JSON say what the seasons say."""

import json
import re
from collections.abc import Iterator

from made_plans import example_plan

from greenrota.risk.hazard import LoggedRate, danger_for, scaled
from greenrota.risk.outcome import difference, outcome
from greenrota.risk.season import play
from greenrota.risk.size import frontier, rough_rota
from greenrota.risk.timetable import timetable
from greenrota.rota.plan import Tank
from greenrota.views.risk.risk import Compared, PlanRisk, RiskReport, histogram, percent, risk_page
from greenrota.views.risk.risk_json import risk_json
from greenrota.views.risk.size import fewest, size_json, size_page

PLAN = example_plan(tank=Tank(300.0, 400.0, 5), days=40)
TABLE = timetable(rough_rota(PLAN))
DANGER = scaled(danger_for(None), 5.0)
HERE = play(TABLE, DANGER, 300, seed=1)
OTHER = play(TABLE, danger_for(None), 300, seed=1)
TOLD = PlanRisk("shelf", outcome(HERE), 2, 1, 0, 0.5)
COMPARED = Compared(PlanRisk("calmer", outcome(OTHER), 2, 1, 0, 0.5), difference(HERE, OTHER))
RATE = LoggedRate("crash", 2, 400, 0.005, 0.0006, 0.018)
REPORT = RiskReport(TOLD, COMPARED, (RATE,))


def test_the_promised_fields_are_there_and_true() -> None:
    told = json.loads(risk_json(REPORT))
    assert told["format"] == "greenrota/risk/1"
    assert (told["seasons"], told["seed"], told["days"]) == (300, 1, 40)
    assert told["p_strain_lost"] == HERE.lost.mean()
    assert told["p_strain_lost_low"] <= told["p_strain_lost"] <= told["p_strain_lost_high"]
    assert told["p_short"] == (HERE.short_days > 0).mean()
    assert abs(told["mean_short_days"] - HERE.short_days.mean()) < 1e-12
    assert told["simulated_vessel_days_per_s"] == 300 * 40 * 2 / 0.5
    assert sum(told["seasons_by_short_days"]) == 300
    assert told["against"]["name"] == "calmer"
    assert told["logged_rates"][0]["per_day_high"] == 0.018


def test_one_season_gives_json_without_infinities() -> None:
    one = PlanRisk("shelf", outcome(play(TABLE, DANGER, 1, seed=1)), 2, 1, 0, 0.5)
    assert json.loads(risk_json(RiskReport(one)))["mean_short_days_low"] is None
    assert "one season tells none" in risk_page(RiskReport(one))


def test_the_page_names_figures_causes_and_the_difference() -> None:
    page = risk_page(REPORT, ascii_only=True)
    assert page.isascii()
    for words in ("strain lost", "95 % interval", "contamination", "calmer", "by the logbook", "our choice"):
        assert words in page


def test_every_figure_of_the_page_stands_in_the_json() -> None:
    """Every number of the tables, the bars aside, is a figure of the JSON as the page rounds it."""
    told = json.loads(risk_json(REPORT))

    def figures(value: object) -> Iterator[float]:
        if isinstance(value, dict):
            value = list(value.values())
        if isinstance(value, list):
            for each in value:
                yield from figures(each)
        elif isinstance(value, (int, float)):
            yield float(value)

    shown: set[str] = set()
    for number in figures(told):
        shown |= {f"{number:.{digits}f}" for digits in (0, 2, 3, 4)} | {f"{number:+.2f}"}
        shown |= {percent(number).split()[0], f"{number:+.2%}"[:-1], f"{number:.2%}"[:-1]}
    page = risk_page(REPORT, ascii_only=True)
    tables = page.replace(histogram(TOLD.outcome.histogram, ascii_only=True), "")
    numbers = set(re.findall(r"(?<![\w.])[+-]?\d+(?:\.\d+)?(?![\w.])", tables.replace("95 % interval", "")))
    assert len(numbers) > 30
    assert numbers - shown == set()


def test_every_season_stands_in_one_bar() -> None:
    """Truth derived by hand: 10 seasons with none, 30 with 1 to 3 short days among forty counts."""
    counts = [10, 10, 10, 10] + [0] * 36
    lines = histogram(counts, ascii_only=True).splitlines()
    assert lines[1].split() == ["0", "25.0", "%", "#" * 13]
    assert lines[2].split() == ["1-4", "75.0", "%", "#" * 40]
    assert len(lines) <= 13


def test_a_small_share_does_not_read_as_none() -> None:
    assert [percent(share) for share in (0.0, 0.0004, 0.05)] == ["0.0 %", "0.04 %", "5.0 %"]


def test_size_finds_the_fewest_and_shows_one_more() -> None:
    plan = example_plan(tank=Tank(300.0, 250.0, 14), days=50)
    found = list(frontier(plan, danger_for(None), 0.9, 300, 1, 6))
    best = fewest(found, 0.9)
    assert best is not None
    assert [one.vessels for one in found] == list(range(1, best.vessels + 2))
    assert best.outcome.short.high <= 0.1
    assert f"{best.vessels} vessel{'s do' if best.vessels > 1 else ' does'}" in size_page("shelf", found, 0.9)
    told = json.loads(size_json(found, 0.9, 1))
    assert told["format"] == "greenrota/size/1"
    assert told["vessels"] == best.vessels


def test_size_says_when_nothing_does() -> None:
    plan = example_plan(tank=Tank(300.0, 50_000.0, 2), days=30)
    found = list(frontier(plan, danger_for(None), 0.95, 100, 1, 2))
    assert fewest(found, 0.95) is None
    assert json.loads(size_json(found, 0.95, 1))["vessels"] is None
    assert "Not even 2 vessels" in size_page("shelf", found, 0.95)
