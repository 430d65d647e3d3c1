"""Two rotas side by side: every figure is worked out here from tasks, rations and state on its own way."""

from __future__ import annotations

from dataclasses import replace

import pytest
from made_plans import example_plan, example_vessel

from greenrota.rota.answers.comparison import rota_figures
from greenrota.rota.plan import Plan, Tank
from greenrota.rota.schedule import schedule


def shelf(*names: str) -> Plan:
    return example_plan(vessels=tuple(map(example_vessel, names)), tank=Tank(300.0, 100.0), days=40)


@pytest.mark.parametrize("names", [("north",), ("north", "south", "east")])
def test_the_figures_are_those_of_tasks_and_bottles(names: tuple[str, ...]) -> None:
    rota = schedule(shelf(*names))
    found = rota_figures(rota)
    assert (found.days, found.vessels) == (40, len(names))
    harvested_ml = sum(task.amounts.harvest_ml or 0.0 for task in rota.tasks if task.kind == "harvest")
    assert found.made_l == pytest.approx(harvested_ml / 1000.0, rel=1e-9)
    # what is made is eaten, spoiled or left: a balance
    assert found.made_l == pytest.approx(found.eaten_l + found.spoiled_l + found.left_l, rel=1e-9)
    assert found.working_days == len({task.on for task in rota.tasks})
    assert found.visits == len({(task.on, task.vessel) for task in rota.tasks})
    # a ration of 100 mL a day, from the first harvest on
    first = min(task.on for task in rota.tasks if task.kind == "harvest")
    assert found.feeding_days == (rota.through - first).days + 1
    fed_days = round(found.eaten_l * 10.0)
    assert found.short_days == found.feeding_days - fed_days
    assert found.cost is None  # nothing has a price


def test_more_vessels_make_more_and_two_strains_lives_are_safer() -> None:
    one, three = (rota_figures(schedule(shelf(*names))) for names in (("north",), ("north", "south", "east")))
    assert three.made_l > one.made_l
    assert three.one_home_days <= one.one_home_days
    assert rota_figures(schedule(replace(shelf("north"), tank=None))).short_days == 0
