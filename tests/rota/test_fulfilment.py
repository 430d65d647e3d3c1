"""Which task an entry fulfils, and the entry of a task done as planned, told by hand-made tasks."""

from datetime import date, timedelta

import pytest

from greenrota.logbook.entry import format_entry
from greenrota.rota.kinds import TASK_KINDS
from greenrota.rota.tasks.amounts import Amounts
from greenrota.rota.tasks.fulfilment import planned_entries, planned_values, task_fulfilled
from greenrota.rota.tasks.task import Task

DAY = date(2027, 2, 10)
AMOUNTS = Amounts(
    inoculum_ml=187.4499,
    seawater_ml=3812.5,
    salt_g=112.4,
    nutrient_ml={"a": 0.8, "b": 0.8},
    harvest_ml=2400.06,
    keep_ml=1600.0,
    bank_ml=430.0,
)


def task(kind: str, on: date = DAY, vessel: str = "north") -> Task:
    return Task(
        f"{vessel}/1/{kind}", kind, on, vessel, f"{vessel}/1", "starter:x", AMOUNTS, None, None, "", ()
    )


def test_every_kind_of_task_has_its_entry() -> None:
    assert len({record.entry for record in TASK_KINDS.values()}) == len(TASK_KINDS)


@pytest.mark.parametrize(
    ("kind", "line"),
    [
        ("prepare", "2027-02-10 prepared north volume=3812.5mL"),
        ("start", "2027-02-10 started north from=starter:x inoculum=187.4mL"),
        (
            "feed",
            "2027-02-10 fed north nutrient=0.8mL",
        ),  # of a two-part medium the first part stands for both
        ("harvest", "2027-02-10 harvested north volume=2400.1mL"),
        ("reseed", "2027-02-10 reseeded north inoculum=187.4mL"),
        ("renew", "2027-02-10 discarded north"),
        ("bank", "2027-02-10 banked north volume=430mL"),
    ],
)
def test_a_task_done_as_planned_is_one_line(kind: str, line: str) -> None:
    assert [format_entry(entry) for entry in planned_entries(task(kind))] == [line]


def test_amounts_that_are_not_known_are_not_told() -> None:
    bare = Task("north/1/feed", "feed", DAY, "north", "north/1", "x", Amounts(), None, None, "", ())
    assert planned_values(bare) == ()


@pytest.mark.parametrize(("days", "fulfils"), [(-30, True), (0, True), (3, True), (4, False)])
def test_a_task_may_be_done_late_or_a_few_days_early(days: int, fulfils: bool) -> None:
    due = task("harvest", DAY + timedelta(days=days))
    assert task_fulfilled([due], "harvested", "north", DAY) == (due if fulfils else None)


def test_the_first_task_of_that_kind_and_vessel_is_meant() -> None:
    tasks = [
        task("feed"),
        task("harvest", vessel="south"),
        task("harvest"),
        task("harvest", DAY + timedelta(1)),
    ]
    assert task_fulfilled(tasks, "harvested", "north", DAY) is tasks[2]
    assert task_fulfilled(tasks, "banked", "north", DAY) is None
