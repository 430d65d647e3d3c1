"""What changed between two rotas, and why: by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta

import pytest
from made_logs import crash_on_the_fifth_day, fulfils, numbered
from made_plans import START, example_plan

from greenrota.logbook.entry import Entry, Value
from greenrota.rota.answers.changes import Change, compare, first_day_that_differs
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.tasks.task import Task

DAY = timedelta(days=1)


def entry(day: int, kind: str, vessel: str, **values: Value) -> Entry:
    return Entry(START + day * DAY, kind, vessel, tuple(values.items()))


@pytest.fixture(scope="module")
def rota() -> Rota:
    return schedule(example_plan())


def with_tasks(rota: Rota, **changed: Task | None) -> Rota:
    """The rota with one task exchanged (or left out) for each name; a new name is put in."""
    named: Mapping[str, Task | None] = {key.replace("_", "/"): task for key, task in changed.items()}
    tasks = [named.get(task.id, task) for task in rota.tasks]
    tasks += [task for name, task in named.items() if name not in {task.id for task in rota.tasks}]
    return replace(rota, tasks=tuple(task for task in tasks if task is not None))


def only(before: Rota, after: Rota) -> Change:
    (change,) = compare(before, after, START).changes
    return change


def task(rota: Rota, name: str) -> Task:
    return next(task for task in rota.tasks if task.id == name)


def test_a_rota_set_against_itself_keeps_every_task(rota: Rota) -> None:
    same = compare(rota, rota, START + DAY)
    assert (same.since, same.kept, same.changes) == (START + DAY, len(rota.tasks), ())


def test_a_task_moved_new_and_dropped(rota: Rota) -> None:
    was = task(rota, "north/1/harvest")
    later = replace(was, on=was.on + DAY, reason="because")
    moved = only(rota, with_tasks(rota, north_1_harvest=later))
    assert moved == Change("north/1/harvest", "moved", was, later, "because")
    new = only(with_tasks(rota, north_1_harvest=None), rota)
    assert new == Change("north/1/harvest", "new", None, was, was.reason)
    dropped = only(rota, with_tasks(rota, north_1_harvest=None))
    assert dropped == Change("north/1/harvest", "dropped", was, None, "follows from the changes before it")
    assert compare(rota, with_tasks(rota, north_1_harvest=later), START).kept == len(rota.tasks) - 1


def test_another_parent_is_told_whether_it_moved_or_not(rota: Rota) -> None:
    was = task(rota, "south/1/start")
    here, there = (
        replace(was, parent="north/1", reason="so"),
        replace(was, parent="north/1", reason="so", on=was.on + DAY),
    )
    told = "comes from north/1 now, not from starter:bought: so"
    assert only(rota, with_tasks(rota, south_1_start=here)) == Change(
        "south/1/start", "amounts", was, here, told
    )
    assert only(rota, with_tasks(rota, south_1_start=there)) == Change(
        "south/1/start", "moved", was, there, told
    )


@pytest.mark.parametrize("name", ["inoculum_ml", "seawater_ml", "salt_g", "harvest_ml", "keep_ml", "bank_ml"])
def test_a_pour_is_the_same_to_half_a_percent_or_half_a_millilitre(rota: Rota, name: str) -> None:
    # by hand: 1000 against 1005 is 5 of 5.025 allowed, against 1006 is 6 of 5.03; 10.0 against 10.5 and 10.6
    plain = task(rota, "north/1/start")

    def changed(a: float | None, b: float | None) -> int:
        before, after = (
            replace(plain, amounts=replace(plain.amounts, **{name: figure})) for figure in (a, b)
        )
        return len(
            compare(
                with_tasks(rota, north_1_start=before), with_tasks(rota, north_1_start=after), START
            ).changes
        )

    assert [changed(1000.0, 1005.0), changed(1000.0, 1006.0), changed(1006.0, 1000.0)] == [0, 1, 1]
    assert [changed(10.0, 10.5), changed(10.0, 10.6)] == [0, 1]
    assert [changed(None, None), changed(None, 1.0), changed(1.0, None), changed(0.0, None)] == [0, 1, 1, 1]


def test_nutrients_are_the_same_bottle_and_pour(rota: Rota) -> None:
    plain = task(rota, "north/1/start")

    def changed(nutrient_ml: dict[str, float]) -> list[str]:
        after = replace(plain, amounts=replace(plain.amounts, nutrient_ml=nutrient_ml))
        return [
            change.change for change in compare(rota, with_tasks(rota, north_1_start=after), START).changes
        ]

    assert changed({"f2": 0.8}) == []
    assert changed({"f2": 1.3}) == []  # 0.5 mL more
    assert changed({"f2": 1.4}) == ["amounts"]
    assert changed({"other": 0.8}) == ["amounts"]


def test_a_harvest_that_shrank_names_who_took_inoculum(rota: Rota) -> None:
    # by hand: a donor's harvest is smaller by what a start on the same day took from it
    after = schedule(example_plan(vessels=(*rota.plan.vessels, replace(rota.plan.vessels[0], name="east"))))
    start = next(
        task for task in after.tasks if task.kind == "start" and not task.parent.startswith("starter")
    )
    harvest = task(after, f"{start.parent}/harvest")
    assert harvest.on == start.on
    more = replace(harvest, amounts=replace(harvest.amounts, harvest_ml=9999.0))
    before = replace(after, tasks=tuple(more if each is harvest else each for each in after.tasks))
    assert only(before, after).reason == f"{start.batch} took inoculum from {start.parent}"
    reseed = task(after, "north/2/reseed")
    more = replace(reseed, amounts=replace(reseed.amounts, keep_ml=9999.0))
    before = replace(after, tasks=tuple(more if each is reseed else each for each in after.tasks))
    assert only(before, after) == Change("north/2/reseed", "amounts", more, reseed, reseed.reason)


def test_the_first_day_that_differs() -> None:
    a, b, c = entry(1, "note", "-"), entry(3, "note", "-"), entry(5, "note", "-")
    as_of = START + 9 * DAY
    assert first_day_that_differs([a], [a, c, b], as_of) == b.on
    assert first_day_that_differs([a, b], [a], as_of) == b.on
    assert first_day_that_differs([a], [a], as_of) == as_of
    assert first_day_that_differs([a], [a, c], START + 4 * DAY) == START + 4 * DAY


def test_a_crash_is_the_reason_of_what_it_drops() -> None:
    told, now = crash_on_the_fifth_day()
    changes = compare(schedule(example_plan(), told[:-1], now.as_of), now, now.as_of)
    assert first_day_that_differs(told[:-1], told, now.as_of) == now.as_of
    dropped = {change.id: change.reason for change in changes.changes if change.change == "dropped"}
    assert dropped["south/1/harvest"] == f"south/1 crashed on {now.as_of} (heat)"
    assert "south/2/start" in {change.id for change in changes.changes if change.change == "new"}
    days = [(change.after or change.before).on for change in changes.changes]  # type: ignore[union-attr]
    assert days == sorted(days)
    assert compare(now, schedule(example_plan(), told, now.as_of), now.as_of).changes == ()
    # what is done is not dropped
    assert not {change.id for change in changes.changes} & {"south/1/start", "north/1/start"}


def test_what_has_passed_and_what_is_suspect_are_told(rota: Rota) -> None:
    was = task(rota, "north/1/harvest")
    late = replace(with_tasks(rota, north_1_harvest=None), as_of=was.on + DAY)
    dropped = compare(rota, late, START).changes
    assert [change.reason for change in dropped] == [f"its day, {was.on}, has passed"]
    moved = replace(with_tasks(rota, north_1_harvest=replace(was, on=was.on + 2 * DAY)), as_of=was.on + DAY)
    assert only(rota, moved).reason == f"was due on {was.on}; {was.reason}"
    told = numbered(
        [
            *(fulfils(each, each.on) for each in rota.tasks if each.kind == "start"),
            entry(8, "crashed", "south", cause="contamination", since=START - 2 * DAY),
        ]
    )
    after = schedule(example_plan(), told, START + 8 * DAY)
    suspect = with_tasks(
        after, north_9_bank=replace(was, id="north/9/bank", parent="north/1", on=after.as_of + DAY)
    )
    assert only(suspect, after).reason == f"north/1 is suspect: {after.suspects['north/1'].because}"
