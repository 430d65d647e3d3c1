"""Every caveat there is, each with a plan that earns it; no code without an example."""

from __future__ import annotations

import ast
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from made_logs import numbered
from made_plans import START, example_plan, example_vessel

from greenrota.culture.data.medium import media
from greenrota.culture.data.strain import strains
from greenrota.logbook.entry import Entry
from greenrota.rota import schedule as scheduling
from greenrota.rota.feed import tank as tank_water
from greenrota.rota.plan import Away, CyclePlan, Diet, Nutrient, Plan, Starter, Tank, Work
from greenrota.rota.replay import gone_vessels
from greenrota.rota.schedule import schedule
from greenrota.rota.warnings import place, simulated

DIATOM = "chaetoceros"


def jar(**changes: object) -> Plan:
    return example_plan(vessels=(example_vessel(**changes),))


def starter(**changes: object) -> tuple[Starter, ...]:
    return (replace(example_plan().starters[0], **changes),)  # type: ignore[arg-type]


def bare_diatom() -> Plan:
    bare = {"f2": Nutrient("f2", media()["f/2-Si"], 0.2)}
    bottle = starter(strain=DIATOM, density_per_ml=8e6)
    vessel = (example_vessel(strain=DIATOM),)
    return example_plan(strains={DIATOM: strains()[DIATOM]}, nutrients=bare, starters=bottle, vessels=vessel)


def tank(ration_ml: float) -> Tank:
    return Tank(300.0, ration_ml)


EXAMPLES: dict[str, Callable[[], Plan]] = {
    "no-silicate": bare_diatom,
    "temperature-range": lambda: jar(temperature_c=29.0),
    "salinity-range": lambda: replace(jar(), water=replace(jar().water, salinity_psu=42.0)),
    "light-range": lambda: jar(light_lux=300.0),
    "photoperiod-range": lambda: jar(photoperiod_h=12.0),
    "carbon": lambda: jar(air_l_per_min=0.01),
    "brim": lambda: jar(fill_l=4.9),
    "no-growth": lambda: jar(temperature_c=34.0),
    "wash-out": lambda: example_plan(cycle=CyclePlan(days=2, inoculum=0.05)),
    "thin-harvest": lambda: example_plan(cycle=CyclePlan(days=3, inoculum=0.3)),
    "backup-small": lambda: replace(
        jar(brim_l=24.0, fill_l=20.0), days=60, starters=starter(volume_ml=3000.0)
    ),
    "starter-thin": lambda: example_plan(starters=starter(volume_ml=10.0)),
    "starter-old": lambda: example_plan(starters=starter(on_hand=START - timedelta(days=60))),
    "vessel-waits": lambda: example_plan(starters=()),
    "strain-lost": lambda: example_plan(starters=()),
    "one-home": lambda: replace(jar(), starters=starter(keep_back=0.0, volume_ml=150.0)),
    "over-ripe": lambda: example_plan(
        away=(Away(START + timedelta(days=1), START + timedelta(days=28)),),
    ),
    "harvest-early": lambda: example_plan(cycle=CyclePlan(days=4, inoculum=0.2)),
    "ration-above-yield": lambda: example_plan(tank=tank(5000.0)),
    "more-than-eaten": lambda: example_plan(tank=tank(20.0)),
    "bottle-dry": lambda: example_plan(nutrients={"f2": Nutrient("f2", media()["f/2"], 0.20, bottle_ml=1.0)}),
    "tank-nitrate": lambda: example_plan(tank=Tank(10.0, 900.0, nitrate_limit_mg_per_l=0.01)),
    "tank-phosphate": lambda: example_plan(tank=Tank(10.0, 900.0, phosphate_limit_mg_per_l=0.001)),
    "strain-not-grown": lambda: example_plan(tank=replace(tank(90.0), diet=Diet(any_of=(DIATOM,)))),
}


def test_no_air_at_all_is_said_and_not_taken_for_the_usual_flow() -> None:
    (warning,) = [each for each in schedule(jar(air_l_per_min=0.0)).warnings if each.code == "carbon"]
    assert "no air" in warning.text


# Shown by the stories of the logbook, by test_homes, test_gone_vessels, test_harvest_bottles and by test_cut_short.
FROM_THE_LOG = {
    *("all-suspect", "search-cut-short", "vessel-gone"),
    *("bottle-withheld", "count-low", "ration-short"),
}


@pytest.mark.parametrize("code", sorted(EXAMPLES))
def test_each_code_has_a_plan_that_earns_it(code: str) -> None:
    found = [warning for warning in schedule(EXAMPLES[code]()).warnings if warning.code == code]
    assert found
    assert all(warning.text and "\n" not in warning.text for warning in found)


def test_a_rota_that_is_lived_with_has_no_end() -> None:
    told = numbered([Entry(START, "started", "north", (("from", "starter:bought"),))])
    day = START + timedelta(days=12)
    rota = schedule(example_plan(days=10), told, day)
    assert rota.through == day + timedelta(days=9)
    assert any(task.kind == "harvest" for task in rota.tasks)


def test_a_good_shelf_has_nothing_to_be_said_but_its_first_days() -> None:
    plan = example_plan(
        vessels=tuple(example_vessel(name, photoperiod_h=16.0) for name in ("north", "south")), work=Work()
    )
    assert {warning.code for warning in schedule(plan).warnings} <= {"carbon"}


def test_no_code_is_without_an_example() -> None:
    """The codes are read from the source: the first words of every caveat that is made there."""
    written = set()
    for module in (gone_vessels, place, simulated, scheduling, tank_water):
        tree = ast.parse(Path(str(module.__file__)).read_text(encoding="utf-8"))
        for node in ast.walk(tree):
            first = None
            if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "PlanWarning":
                first = node.args[0]
            elif isinstance(node, ast.Yield) and isinstance(node.value, ast.Tuple):
                first = node.value.elts[0]
            if isinstance(first, ast.Constant):
                written.add(first.value)
    assert written <= set(EXAMPLES) | FROM_THE_LOG
    assert len(written) >= 18
