"""A rota planned beyond its horizon: what it said stays, the rest is added, and is kept by later rotas.

Truth: by hand from the promise that looking further changes no date.
"""

from __future__ import annotations

import copy
from dataclasses import replace
from datetime import date, timedelta

import pytest
from audit import check_all
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from made_logs import fulfils, lived
from made_plans import START, example_plan, example_vessel, lively_plans

from greenrota.logbook.entry import Entry
from greenrota.rota.replay.replay import replay
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import Scheduled, schedule_from, schedule_further
from greenrota.rota.simulate.context import context_for, context_from
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.simulation import simulate
from greenrota.rota.tasks.task import Task


def of_cultures(rota: Rota, through: date) -> dict[str, Task]:
    """The tasks up to a day; without buckets, which may serve fillings after it."""
    return {task.id: task for task in rota.tasks if task.on <= through and task.kind != "prepare"}


def stripped(tasks: dict[str, Task]) -> dict[str, tuple[object, ...]]:
    return {name: (task.on, task.kind, task.parent, task.amounts) for name, task in tasks.items()}


@settings(deadline=None, max_examples=12, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(lively_plans(most_vessels=3), st.integers(0, 3), st.integers(0, 12), st.sampled_from((9, 31, 62)))
def test_looking_further_changes_no_day_and_no_amount(
    plan_: object, seed: int, lived_days: int, more: int
) -> None:
    plan = plan_
    told = lived(plan, lived_days, seed)  # type: ignore[arg-type]
    on = plan.start + timedelta(days=lived_days)  # type: ignore[attr-defined]
    stood = schedule_from(plan, told, on, ())  # type: ignore[arg-type]
    through = stood.rota.through + timedelta(days=more)
    further = schedule_further(stood, told, through)
    assert further.rota.through == through
    assert stripped(of_cultures(further.rota, stood.rota.through)) == stripped(
        of_cultures(stood.rota, stood.rota.through)
    )
    assert further.rota.overdue == stood.rota.overdue
    check_all(further.rota)
    # What is remembered with it gives the same rota of the day again.
    again = schedule_from(plan, told, on, further.remembered)  # type: ignore[arg-type]
    assert again.rota.tasks == stood.rota.tasks


def shelf(days: int = 14) -> tuple[list[Entry], Scheduled, date]:
    """Two jars, three weeks of work done as planned with a horizon of two weeks, and the rota of the day after."""
    plan = example_plan(days=days, vessels=tuple(example_vessel(name) for name in ("north", "south")))
    told: list[Entry] = []
    day, found = plan.start, schedule_from(plan, told, plan.start, ())
    for _ in range(21):
        told += [fulfils(task, day) for task in found.rota.tasks if task.on == day]
        day += timedelta(days=1)
        found = schedule_from(plan, told, day, found.remembered)
    return told, found, day


def test_later_days_are_kept_by_the_rotas_that_follow() -> None:
    told, found, day = shelf()
    plan, through = found.rota.plan, day + timedelta(days=40)
    further = schedule_further(found, told, through)
    ahead = {
        name: task
        for name, task in of_cultures(further.rota, through).items()
        if task.on > found.rota.through
    }
    assert sum(task.kind == "harvest" for task in ahead.values()) >= 3
    known = further.remembered
    for _ in range(30):
        todays = [task for task in schedule_from(plan, told, day, known).rota.tasks if task.on == day]
        told += [fulfils(task, day) for task in todays]
        now = schedule_from(plan, told, day, known)
        known = now.remembered
        seen = of_cultures(now.rota, now.rota.through)
        for name in seen.keys() & ahead.keys():
            assert seen[name].on == ahead[name].on, (day, name)
        day += timedelta(days=1)
    assert day > found.rota.through  # so that days after the old horizon were reached


def test_a_rota_that_goes_far_enough_is_left_alone() -> None:
    told, found, _ = shelf()
    assert schedule_further(found, told, found.rota.through) is found


def test_a_rota_planned_further_can_be_copied() -> None:
    told, found, day = shelf()
    rota = schedule_further(found, told, day + timedelta(days=40)).rota
    other = copy.deepcopy(rota)
    assert other == rota and other.through == rota.through and other.context.settled == rota.context.settled


@pytest.mark.parametrize("lost_after", range(3, 12))
def test_after_the_first_horizon_a_lost_vessel_waits_for_a_better_donor_as_before(lost_after: int) -> None:
    """The same state with the same days ahead, once inside the first horizon of a plan and once long after it."""
    plan = example_plan(days=30, vessels=tuple(example_vessel(name) for name in ("north", "south")))
    on = START + timedelta(days=lost_after)
    book = [
        Entry(START, "started", "north", (("from", "starter:bought"), ("inoculum", 375.0))),
        Entry(START, "started", "south", (("from", "north"), ("inoculum", 150.0))),
        Entry(on, "crashed", "south", (("cause", "overheating"),)),
    ]
    inside, after = (
        simulate(
            context_from(context_for(each), on),
            replay(context_for(each), book, on).start_state(),
            Decisions(),
        )
        for each in (plan, replace(plan, start=START - timedelta(days=60)))
    )
    days = min(inside.through, after.through)
    early = [(event.kind, event.batch.id, event.on) for event in inside.events if event.on <= days]
    assert early == [(event.kind, event.batch.id, event.on) for event in after.events if event.on <= days]
    assert any(kind == "start" for kind, _, _ in early)
