"""The ledger for people, JSON and CSV: one set of figures, safe in a spreadsheet and on a terminal."""

from __future__ import annotations

import csv
import io
import json
import re
from dataclasses import replace
from datetime import timedelta

import pytest
from plan_texts import SHORT

from greenrota.culture.growth.broth import Broth
from greenrota.planfile.read.load import read_plan
from greenrota.rota.feed.bottles import BottleRecord
from greenrota.rota.feed.daily import DailyRations, daily_rations
from greenrota.rota.plan import Consumer, Diet, Plan, Tank
from greenrota.rota.state.state import HarvestBottle
from greenrota.views.feed.bottles import BottlesReport, bottles_page
from greenrota.views.feed.bottles_json import bottles_csv, bottles_json
from greenrota.views.text.lettering import display_width

SHELF = read_plan(SHORT, "plan.toml")
COPEPODS = Consumer("copepods", 50.0, diet=Diet(shares=(("tetraselmis", 0.6), ("isochrysis", 0.4))))
PLAN = replace(SHELF, tank=Tank(200.0, 100.0, 14, ramp=True), consumers=(COPEPODS,))
# The keys that are promised to scripts, word for word.
PROMISED = (
    *("date", "in_ml", "fed_ml", "spoiled_ml", "on_hand_ml", "short_ml", "oldest_days"),
    *("tank_no3_mg_per_l_low", "tank_no3_mg_per_l_high", "tank_po4_mg_per_l_low", "tank_po4_mg_per_l_high"),
)


def book(plan: Plan, days: int = 31) -> DailyRations:
    harvests = [
        HarvestBottle(
            f"harvest:north/1.{n}",
            "north/1",
            "tetraselmis",
            plan.start + timedelta(days=8 * n),
            1500.0,
            Broth(1.0, 9e5, 800.0, 30.0, 0.0, 26.0),
        )
        for n in range(1, 4)
    ]
    return daily_rations(plan, harvests, plan.start + timedelta(days=days - 1))


def report(plan: Plan) -> BottlesReport:
    return BottlesReport.of(plan, book(plan))


def test_json_keeps_the_promised_keys() -> None:
    told = json.loads(bottles_json(report(PLAN)))
    assert told["format"] == "greenrota/bottles/1"
    assert len(told["days"]) == 31
    for day in told["days"]:
        assert set(PROMISED) <= day.keys()
    # by hand: a quarter of 100 mL for the tank and 60 % of 50 mL for the copepods on the first day of feed
    day = told["days"][8]
    assert (day["date"], day["in_ml"], day["fed_ml"], day["short_ml"]) == ("2027-02-09", 1500.0, 55.0, 20.0)
    # by hand: 25 mL of 9e5 cells/mL in 200 L
    assert day["consumers"]["tank"] == {
        "fed_ml": 25.0,
        "fed_cells_per_ml": 112.5,
        "short_ml": 0.0,
        "logged": False,
    }
    assert day["consumers"]["copepods"] == {
        "fed_ml": 30.0,
        "fed_cells_per_ml": None,
        "short_ml": 20.0,
        "logged": False,
    }


def test_the_table_of_the_page_and_the_json_tell_the_same_days() -> None:
    """Every row of the table, in the order of its heads: whole mL, a dash for nothing."""
    days = json.loads(bottles_json(report(PLAN)))["days"]
    rows = [
        line.split() for line in bottles_page(report(PLAN)).splitlines() if re.match(r"2027-\d\d-\d\d ", line)
    ]
    assert len(rows) == len(days) == 31
    assert sum(day["in_ml"] for day in days) == 4500.0  # by hand: three bottles of 1500 mL
    for row, day in zip(rows, days, strict=True):
        volumes = [day[key] for key in ("in_ml", "fed_ml", "spoiled_ml", "on_hand_ml", "short_ml")]
        assert row[0] == day["date"]
        assert row[1:6] == ["-" if ml == 0.0 else f"{ml:.0f}" for ml in volumes]
        tank = [f"{day['tank_no3_mg_per_l_high']:.2f}", f"{day['tank_po4_mg_per_l_high']:.3f}"]
        assert row[-2:] == tank


def test_without_a_tank_its_figures_are_null() -> None:
    day = json.loads(bottles_json(report(SHELF)))["days"][-1]
    assert day["tank_no3_mg_per_l_high"] is None
    assert day["consumers"] == {}


def test_csv_tells_what_json_tells() -> None:
    rows = list(csv.DictReader(io.StringIO(bottles_csv(report(PLAN)))))
    days = json.loads(bottles_json(report(PLAN)))["days"]
    assert [[row[key] for key in PROMISED] for row in rows] == [
        ["" if day[key] is None else str(day[key]) for key in PROMISED] for day in days
    ]
    assert rows[8]["copepods short_ml"] == "20.0"


def test_csv_holds_no_formula() -> None:
    odd = replace(PLAN, consumers=(replace(COPEPODS, name="=1+1"),))
    cells = [cell for row in csv.reader(io.StringIO(bottles_csv(report(odd)))) for cell in row]
    assert "'=1+1 fed_ml" in cells
    assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@"))]


@pytest.mark.parametrize("width", [40, 60, 80, 200])
def test_text_keeps_to_the_screen(width: int) -> None:
    lines = bottles_page(report(PLAN), width).split("\n")
    prose = [line for line in lines if line.startswith(("tank", "copepods", "31 days", "shelf"))]
    assert prose
    assert max(map(display_width, prose)) <= width
    if width >= 80:
        assert max(map(display_width, lines)) <= width


def test_both_ways_of_a_ration_are_shown() -> None:
    cells = replace(PLAN, tank=Tank(200.0, 0.0, 14, ration_cells_per_ml=5e3), consumers=())
    assert "tank: 5000 cells a day for each mL of its water, about" in bottles_page(report(cells))
    page = bottles_page(report(PLAN))
    assert "tank: 100 mL a day, about" in page
    assert "25, 50, 75 and 100 % (common practice)" in page
    assert "60% tetraselmis, 40% isochrysis" in page


def test_shortfalls_and_the_bracket_are_told() -> None:
    page = bottles_page(report(PLAN))
    # by hand: the first harvest is on the ninth day; before it there is nothing to give, so nothing is counted
    assert "counted on 23 days from Tue 2027-02-09; 8 days before it without any harvest" in page
    assert "copepods: short on 23 of 23 days" in page
    assert "tank: never short" in page
    assert "nitrate 0 to " in page


def test_plain_ascii_where_dots_can_not_be_shown() -> None:
    assert bottles_page(report(PLAN), 80, ascii_only=True).isascii()


def test_a_plan_that_feeds_nobody_says_so() -> None:
    assert "feeds nobody" in bottles_page(report(SHELF))
    over = daily_rations(PLAN, [], PLAN.start - timedelta(days=1))
    assert bottles_page(BottlesReport.of(PLAN, over)).startswith("No days")


def test_names_can_not_steer_the_terminal() -> None:
    odd = replace(PLAN, consumers=(replace(COPEPODS, name="a\x1b[2J"),))
    assert "\x1b" not in bottles_page(report(odd))


def test_after_years_the_page_begins_some_weeks_before_the_day() -> None:
    """By hand: harvests on days 8, 16 and 24, usable for 14 days; the totals are of all days."""
    whole = report(PLAN)
    on = PLAN.start + timedelta(days=200)
    long = BottlesReport.of(PLAN, book(PLAN, days=231))
    page = bottles_page(long, on=on)
    rows = [line.split()[0] for line in page.splitlines() if re.match(r"\d{4}-\d\d-\d\d ", line)]
    assert rows[0] == (on - timedelta(days=28)).isoformat() and len(rows) == 28 + 31
    assert (
        page.splitlines()[3].startswith("231 days: 4.50 L harvested") or "231 days: 4.50 L harvested" in page
    )
    assert bottles_page(whole, on=PLAN.start) == bottles_page(whole)  # in the first weeks it shows everything


@pytest.mark.parametrize(("state", "shown"), [("good", False), ("suspect", True)])
def test_a_bottle_long_past_its_date_is_left_out_unless_it_must_not_be_given(state: str, shown: bool) -> None:
    bottle = HarvestBottle(
        "harvest:north/1",
        "north/1",
        "tetraselmis",
        PLAN.start,
        1500.0,
        Broth(1.0, 9e5, 800.0, 30.0, 0.0, 26.0),
    )
    use_by = PLAN.start + timedelta(days=14)
    record = BottleRecord(bottle, 900.0, use_by, state)  # type: ignore[arg-type]
    made = BottlesReport.of(PLAN, book(PLAN, days=60), (record,))
    assert "harvest:north/1  " in bottles_page(made, on=use_by + timedelta(days=14))
    assert ("harvest:north/1  " in bottles_page(made, on=use_by + timedelta(days=15))) is shown
