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
from greenrota.rota.tasks.measured import poured
from greenrota.views.tasks import pour, visit
from greenrota.views.text import amount

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
            # a start that says to clean its vessel has two lines
            tasks = list(dict.fromkeys(task for line in lines for task in line.tasks))
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
    bank = next(task for task in rota().tasks if task.kind == "bank")
    day = next(d for d in visit.days(rota(), rota().tasks) if d.on == bank.on)
    lines = next(lines for lines in day.vessels if lines[0].vessel == bank.vessel)
    number = int(bank.batch.rpartition("/")[2])
    assert [line.text.split()[0].rstrip(":") for line in lines] == ["bank", "harvest", "re-seed"]
    assert [line.batch for line in lines] == [f"{number}", f"{number}", f"{number + 1}"]


@pytest.mark.parametrize("name", NAMES)
def test_a_bucket_is_one_line_that_adds_up_and_says_for_what_it_is(name: str) -> None:
    """By hand: the sum of what the fillings pour, as the instruments show it; the days as a wall calendar has them."""
    by_id = {task.id: task for task in rota(name).tasks}
    lines = [line for day in visit.days(rota(name), rota(name).tasks) for line in day.ready]
    buckets = [line for line in lines if line.text.startswith("mix ")]
    assert len(buckets) == sum(task.kind == "prepare" for task in rota(name).tasks)
    for line in buckets:
        [task] = line.tasks
        served = [by_id[each] for each in task.serves]
        whole_ml = sum(poured(each).seawater_ml or 0.0 for each in served)
        assert amount.volume(whole_ml, rota(name).plan.units) in line.text
        days = list(dict.fromkeys(each.on for each in served))
        told = line.text.split(": ", 1)[1].split("; ")
        assert len(told) == len(days)
        for on, part in zip(days, told, strict=True):
            names = ", ".join(each.vessel for each in served if each.on == on)
            assert part == (names if days == [task.on] else f"{names} {on:%a} {on.day}")


def test_a_vessel_is_cleaned_in_the_days_before_its_start_or_that_day() -> None:
    for name in NAMES:
        cleaned: dict[str, date] = {}
        for day in visit.days(rota(name), rota(name).tasks):
            for line in day.lines:
                words = line.text.replace(",", "").split()
                if words[0] == "clean":
                    cleaned |= dict.fromkeys([line.vessel] if line.vessel else words[1:], day.on)
                if words[0] == "start:":
                    assert 0 <= (day.on - cleaned[line.vessel]).days <= 4


def test_an_overdue_task_says_since_when() -> None:
    task = next(task for task in rota().tasks if task.kind == "harvest")
    late = replace(rota(), overdue={task.id: date(2027, 2, 1)})
    [line] = [line for day in visit.days(late, [task]) for line in day.lines]
    assert line.text.startswith("OVERDUE since Mon 2027-02-01: harvest")


def test_the_light_that_is_set_is_told() -> None:
    task = replace(next(task for task in rota().tasks if task.kind == "reseed"), light_h=8.0)
    assert pour.done(task).endswith("; light 8 h a day")


def test_a_list_has_one_line_for_all_that_is_cleaned_and_nothing_is_lost() -> None:
    mixing = next(task for task in rota().tasks if task.cleans and task.kind == "prepare")
    start = next(task for task in rota().tasks if task.kind == "start")
    ready = visit.Line("", f"clean {', '.join(mixing.cleans)}", None, "", "bleach, hot water", (mixing,))
    start = replace(
        start, vessel="zest", cautions=("bleach", *start.cautions)
    )  # a vessel cleaned on its own day
    own = visit.Line("zest", "clean the vessel", None, "", "bleach, hot water", (start,))
    filling = visit.Line("zest", "start: ...", 1e5, "1", "", (start,))
    day = visit.Day(mixing.on, (ready,), ((own, filling),))
    together = visit.cleaned_together(day)
    assert together.ready[0].text == f"clean {', '.join((*mixing.cleans, 'zest'))}"
    assert together.ready[0].care == "bleach, hot water"
    assert set(together.ready[0].tasks) == {mixing, start}
    assert together.vessels == ((filling,),)
    alone = visit.Day(mixing.on, (), ((own, filling),))
    assert visit.cleaned_together(alone) is alone
