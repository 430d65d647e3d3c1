"""Supplies as a page and as JSON."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from plan_texts import FULL, SHORT

from greenrota.culture.bench.sanitation import CAUTIONS
from greenrota.planfile.read.load import read_plan
from greenrota.rota.plan import Prices
from greenrota.rota.schedule import schedule
from greenrota.views.tasks.supplies import supplies_json, supplies_page
from greenrota.views.text.lettering import display_width

PLAN = read_plan(FULL, "plan.toml")
SCARCE = replace(
    PLAN, nutrients={"f2": replace(PLAN.nutrients["f2"], bottle_ml=1.0, size_ml=250.0, price=20.0)}
)


def test_json_holds_what_the_tasks_pour() -> None:
    rota = schedule(PLAN)
    told = json.loads(supplies_json(rota))
    assert told["format"] == "greenrota/supplies/1"
    # a sum over the same tasks by another route; 5e-4 is the rounding of the JSON figures
    salt_g = sum(t.amounts.salt_g or 0.0 for t in rota.tasks if t.kind != "prepare")
    assert told["salt_g"] == pytest.approx(salt_g, abs=1e-3)
    assert told["runs_dry"] == {"f2": None}
    assert told["nutrient_left_ml"] == {"f2": 250.0}
    assert told["cost"] is None
    assert [one["what"] for one in told["buy"]] == ["dry salt", "bleach"]
    assert CAUTIONS["bleach"].text in told["cautions"]


def test_a_bottle_that_runs_dry_is_on_the_shopping_list() -> None:
    rota = schedule(SCARCE)
    told = json.loads(supplies_json(rota))
    assert told["buy"][0]["what"] == "f2"
    assert told["buy"][0]["bottles"] == 1
    assert told["buy"][0]["by"] == told["runs_dry"]["f2"]
    assert told["cost"]["items"].keys() == {"f2"}
    assert "- f2: " in supplies_page(rota)
    assert "1 bottle, by " in supplies_page(rota)


@pytest.mark.parametrize("width", [60, 80])
def test_page_keeps_to_the_screen(width: int) -> None:
    page = supplies_page(schedule(SCARCE), width)
    assert max(map(display_width, page.split("\n"))) <= width


def test_cautions_are_shown_whole() -> None:
    page = supplies_page(schedule(PLAN))
    assert all(CAUTIONS[key].text in page for key in ("bleach", "bleach_rinse", "chlorine_test", "nutrient"))


def test_costs_name_the_currency_and_what_has_no_price() -> None:
    page = supplies_page(schedule(replace(SCARCE, prices=Prices("EUR", salt_per_kg=4.5))))
    assert "Cost in EUR" in page
    assert "not counted: starter bought, bleach." in page
    assert "a litre of feed" in page


def test_a_plan_without_a_starter_needs_nothing() -> None:
    page = supplies_page(schedule(read_plan(SHORT, "p")))
    assert "- nothing" in page


def test_a_starter_is_shown_with_what_is_left_of_it_on_the_day() -> None:
    rota = schedule(PLAN)
    bottle = rota.state.bottles["starter:bought"]
    rota.state.bottles["starter:bought"] = bottle._replace(volume_ml=420.0)
    line = next(line for line in supplies_page(rota).split("\n") if line.startswith("starter bought"))
    assert "420 mL" in line


def test_a_nutrient_bottle_is_shown_without_what_was_poured() -> None:
    told = json.loads(supplies_json(replace(schedule(PLAN), poured={"f2": 30.0})))
    assert told["nutrient_left_ml"] == {"f2": 220.0}  # by hand: 250 mL in the plan
