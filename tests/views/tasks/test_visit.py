"""Visits: every task on one line of its day, vessel by vessel, in an order in which the pours can be made.

Truth: the tasks of the rota; the order is derived by hand (what is mixed and cleaned comes first, a start takes from
another vessel before that is topped up).
"""

from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path

import pytest

from greenrota.cli.system.rota_at import load_plan
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.views.tasks import pour, visit

FOLDER = Path(__file__).parents[3] / "examples"
NAMES = ("shelf", "us-pair", "corner")


@cache
def rota(name: str = "shelf") -> Rota:
    return schedule(load_plan(FOLDER / f"{name}.toml"))


@pytest.mark.parametrize("name", NAMES)
def test_a_vessel_has_one_visit_a_day_and_its_tasks_stay_in_order(name: str) -> None:
    for day in visit.days(rota(name), rota(name).tasks):
        vessels = [lines[0].vessel for lines in day.vessels]
        assert len(vessels) == len(set(vessels))
        for lines in day.vessels:
            tasks = [task for line in lines for task in line.tasks]
            wanted = [t for t in rota(name).tasks if t.on == day.on and t.vessel == lines[0].vessel]
            assert tasks == [task for task in wanted if task.kind != "prepare"]


@pytest.mark.parametrize("name", NAMES)
def test_a_start_stands_before_the_visit_of_the_vessel_it_takes_from(name: str) -> None:
    for day in visit.days(rota(name), rota(name).tasks):
        vessels = [lines[0].vessel for lines in day.vessels]
        for lines in day.vessels:
            for task in (task for line in lines for task in line.tasks if task.kind == "start"):
                giver = task.parent.split("/")[0]
                if giver in vessels:
                    assert vessels.index(task.vessel) < vessels.index(giver), task.id


def test_a_harvest_with_back_up_and_re_seed_is_one_visit_of_three_lines() -> None:
    day = next(d for d in visit.days(rota(), rota().tasks) if d.on == date(2027, 2, 10))
    lines = next(lines for lines in day.vessels if lines[0].vessel == "south")
    assert [line.text.split()[0].rstrip(":") for line in lines] == ["bank", "harvest", "re-seed"]
    assert [line.batch for line in lines] == ["1", "1", "2"]


def test_all_salt_water_of_a_day_is_one_line_that_adds_up() -> None:
    # derived by hand: two fillings of 4 L, each less 190 mL of inoculum as a jug shows it
    day = visit.days(rota(), rota().tasks)[0]
    assert [line.text.split()[0] for line in day.ready] == ["clean", "mix"]
    assert "7.62 L salt water" in day.ready[1].text
    assert "north, south" in day.ready[1].text


def test_what_is_mixed_for_another_day_says_for_which() -> None:
    day = next(d for d in visit.days(rota(), rota().tasks) if d.on == date(2027, 2, 7))
    assert "on Wed 10 Feb" in day.ready[-1].text


def test_an_overdue_task_says_since_when() -> None:
    task = next(task for task in rota().tasks if task.kind == "harvest")
    late = replace(rota(), overdue={task.id: date(2027, 2, 1)})
    [line] = [line for day in visit.days(late, [task]) for line in day.lines]
    assert line.text.startswith("OVERDUE since Mon 2027-02-01: harvest")


def test_the_light_that_is_set_is_told() -> None:
    task = replace(next(task for task in rota().tasks if task.kind == "reseed"), light_h=8.0)
    assert pour.done(task).endswith("; light 8 h a day")
