"""Unusual values of a plan and of entries: each is a warning once, and nothing usual is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from made_logs import numbered
from made_plans import START, example_plan, example_vessel

from greenrota.culture.bounds import bounds_for, plausible
from greenrota.culture.bounds.bounds import Bounds, Verdict
from greenrota.culture.data.medium import media, own_medium
from greenrota.culture.data.strain import strains
from greenrota.logbook.entry import Entry, parse_line
from greenrota.planfile.read.blank import blank_plan
from greenrota.planfile.read.load import read_plan
from greenrota.rota.plan import Consumer, CyclePlan, Hazards, Nutrient, Plan, Tank, Vessel, Water
from greenrota.rota.schedule import schedule
from greenrota.rota.state.bench import benches
from greenrota.rota.warning import PlanWarning
from greenrota.rota.warnings.unusual import implausible, unusual

EXAMPLES = Path(__file__).parents[2] / "examples"
BENCHES = benches(example_plan())  # five-litre jars filled to four, 0.2 mL/L


def told(plan: Plan) -> list[PlanWarning]:
    return list(unusual(plan, benches(plan), ()))


def jar(**changes: object) -> Plan:
    return example_plan(vessels=(example_vessel(**changes),))


def starter(**changes: object) -> Plan:
    return example_plan(starters=(replace(example_plan().starters[0], **changes),))  # type: ignore[arg-type]


def bottle(medium: str = "f/2", **changes: object) -> Plan:
    return example_plan(nutrients={"f2": replace(Nutrient("f2", media()[medium], 0.2), **changes)})  # type: ignore[arg-type]


def own_strain(**changes: object) -> Plan:
    return example_plan(strains={"tetraselmis": replace(strains()["tetraselmis"], **changes)})  # type: ignore[arg-type]


def own(nitrate: float, phosphate: float, silicate: float = 0.0) -> Plan:
    medium = own_medium("mine", nitrate, phosphate, silicate)
    return example_plan(nutrients={"f2": Nutrient("f2", medium, 2.0)})


SLIPS: dict[str, tuple[str, Callable[[], Plan]]] = {
    "dose": ("unusual-dose", lambda: bottle(dose_ml_per_l=20.0)),
    "bottle": ("unusual-bottle", lambda: bottle(bottle_ml=25_000.0)),
    "size": ("unusual-bottle", lambda: bottle(size_ml=2.5)),
    "starter density": ("unusual-density", lambda: starter(density_per_ml=8e7)),
    "starter volume": ("unusual-bottle", lambda: starter(volume_ml=50_000.0)),
    "rate": ("unusual-rate", lambda: own_strain(rate_per_day=0.055)),
    "ceiling": ("unusual-ceiling", lambda: own_strain(ceiling_per_ml=1.3e7)),
    "fill": ("unusual-fill", lambda: jar(fill_l=0.04)),
    "brim": ("unusual-fill", lambda: jar(brim_l=50.0)),
    "vessel": ("unusual-vessel", lambda: jar(fill_l=40.0, brim_l=50.0)),
    "light": ("unusual-photoperiod", lambda: jar(photoperiod_h=1.4)),
    "air": ("unusual-air", lambda: jar(air_l_per_min=8.0)),
    "tank": ("unusual-tank", lambda: example_plan(tank=Tank(3.0, 120.0))),
    "keeps": ("unusual-keeps", lambda: example_plan(tank=Tank(300.0, 120.0, keeps_days=90))),
    "ration": ("unusual-ration", lambda: example_plan(tank=Tank(300.0, 12_000.0))),
    "cells": ("unusual-ration", lambda: example_plan(tank=Tank(300.0, 0.0, ration_cells_per_ml=5e6))),
    "copepods": ("unusual-ration", lambda: example_plan(consumers=(Consumer("copepods", 50_000.0),))),
    "copepod tank": ("unusual-tank", lambda: example_plan(consumers=(Consumer("c", 50.0, volume_l=5000.0),))),
    "salt": ("unusual-salt", lambda: example_plan(water=Water(26.0, 0.25))),
    "bucket": ("unusual-bucket", lambda: example_plan(water=Water(26.0, bucket_l=0.5))),
    "cycle": ("unusual-cycle", lambda: example_plan(cycle=CyclePlan(days=80))),
    "renewal": ("unusual-cycle", lambda: example_plan(cycle=CyclePlan(renew_after=60))),
    "feed": ("unusual-feed", lambda: example_plan(cycle=CyclePlan(feed_day=5, feed_dose=10.0))),
    "nitrate": ("unusual-medium", lambda: own(8800.0, 36.0)),
    "phosphate": ("unusual-medium", lambda: own(880.0, 0.36)),
    "silicate": ("unusual-medium", lambda: own(880.0, 36.0, 10_600.0)),
    "chance": ("unusual-chance", lambda: example_plan(hazards=Hazards(crash_per_day=0.2))),
}


@pytest.mark.parametrize("slip", SLIPS)
def test_one_slip_is_one_warning(slip: str) -> None:
    code, make = SLIPS[slip]
    (warning,) = told(make())
    assert warning.code == code
    assert "slip?" in warning.text
    assert warning.vessel is None or warning.text.startswith(f"{warning.vessel}: ")


def test_every_code_of_the_table_has_an_example() -> None:
    codes = {each.code for each in vars(plausible).values() if isinstance(each, Bounds)}
    codes |= {bounds_for.ceiling_bounds(strains()["pavlova"]).code}
    of_entries, of_reckon = {"unusual-volume"}, {"unusual-bleach"}
    assert codes == {code for code, _ in SLIPS.values()} | of_entries | of_reckon


@pytest.mark.parametrize("name", ["shelf", "corner", "us-pair", "blank"])
def test_no_plan_of_ours_has_anything_unusual(name: str) -> None:
    path = EXAMPLES / f"{name}.toml"
    text = blank_plan(date(2027, 1, 31)) if name == "blank" else path.read_text(encoding="utf-8")
    assert told(read_plan(text, name)) == []


def test_the_keys_that_the_blank_plan_leaves_out_are_usual_too() -> None:
    lines = blank_plan(date(2027, 1, 31)).splitlines()
    used = [
        line.removeprefix("# ")
        for number, line in enumerate(lines)
        if number < 9 or ("other_part" not in line and '"5e3 cells' not in line)
    ]
    text = "\n".join(lines[:9] + used[9:])
    plan = read_plan(text, "blank")
    assert plan.hazards is not None and plan.consumers and plan.tank is not None
    assert told(plan) == []


def test_a_starter_of_a_strain_that_is_not_grown_is_judged_as_any() -> None:
    assert told(starter(strain="pavlova")) == []
    assert [each.code for each in told(starter(strain="pavlova", density_per_ml=1e9))] == ["unusual-density"]


def test_no_air_and_an_empty_medium_part_are_no_slips() -> None:
    assert told(jar(air_l_per_min=0.0)) == []
    assert told(own(880.0, 0.0)) == []


def test_a_strain_of_the_plan_is_held_against_its_base() -> None:
    mine = replace(strains()["nannochloropsis"], name="mine", base="nannochloropsis", ceiling_per_ml=4e7)
    fast = replace(mine, ceiling_per_ml=4e8)
    vessel = (Vessel("north", "mine", "f2", 5.0, 4.0, 22.0, 16.0),)
    for strain, found in ((mine, []), (fast, ["unusual-ceiling"])):
        plan = example_plan(strains={"mine": strain}, vessels=vessel, starters=())
        assert [each.code for each in told(plan)] == found


def line(text: str) -> Entry:
    made = parse_line(f"2027-02-08 {text}")
    assert isinstance(made, Entry)
    return made


@pytest.mark.parametrize(
    ("text", "key", "verdict"),
    [
        ("counted north density=6.5e9/mL", "density", Verdict.IMPOSSIBLE),
        ("counted north density=6.5e6/mL", "density", Verdict.UNUSUAL),
        ("counted north density=900/mL", "density", Verdict.UNUSUAL),
        ("counted north cells=260000 squares=4", "density", Verdict.UNUSUAL),
        ("harvested north volume=3L density=6.5e9/mL", "density", Verdict.IMPOSSIBLE),
        ("fed north dose=50", "dose", Verdict.IMPOSSIBLE),
        ("fed north dose=5", "dose", Verdict.UNUSUAL),
        ("fed north nutrient=8mL", "nutrient", Verdict.UNUSUAL),  # by hand: ten times 0.2 mL/L for 4 L
        ("fed north nutrient=40mL", "nutrient", Verdict.IMPOSSIBLE),
        ("started north nutrient=0.01mL", "nutrient", Verdict.UNUSUAL),
        ("started north inoculum=37L", "inoculum", Verdict.IMPOSSIBLE),
        ("started north inoculum=4mL", "inoculum", Verdict.UNUSUAL),
        ("harvested north volume=32L", "volume", Verdict.IMPOSSIBLE),
        ("harvested north volume=3mL", "volume", Verdict.UNUSUAL),
        ("harvested north keep=8L", "keep", Verdict.IMPOSSIBLE),
        ("banked north volume=5mL", "volume", Verdict.UNUSUAL),
        ("reseeded north light=1.4", "light", Verdict.UNUSUAL),
    ],
)
def test_a_slip_in_an_entry_is_found_with_its_key(text: str, key: str, verdict: Verdict) -> None:
    (found,) = implausible(line(text), BENCHES)
    assert (found.key, found.verdict) == (key, verdict)


@pytest.mark.parametrize(
    "text",
    [
        "started north from=starter:bought inoculum=187.5mL nutrient=0.8mL",
        "counted north density=9.1e5/mL",
        "counted north density=0/mL",  # dead or not: that is for those who know the state
        "counted north cells=0.5 squares=4",  # a problem of its own
        "fed north dose=0.5",
        "harvested north volume=3200mL keep=800mL",
        "reseeded north inoculum=800mL volume=4L light=10",
        "crashed north cause=contamination",
        "note north text=50",
        "counted nowhere density=6.5e9/mL",
    ],
)
def test_nothing_is_said_of_a_plain_entry(text: str) -> None:
    assert implausible(line(text), BENCHES) == []


def test_what_stands_in_the_book_is_used_and_told() -> None:
    words = ("started north from=starter:bought inoculum=375mL", "fed north dose=50")
    entries = numbered([replace(line(text), on=START) for text in words])
    rota = schedule(example_plan(days=12), entries, START)
    (warning,) = [each for each in rota.warnings if each.code == "unusual-feed"]
    assert warning.vessel == "north"
    assert "entry 2" in warning.text
    assert rota.problems == ()
