"""Laws of the rota that is lived with, over generated plans and logbooks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

import pytest
from audit import check_all
from hypothesis import given, settings
from hypothesis import strategies as st
from made_logs import books, held, lived, numbered
from made_plans import START, example_plan, lively_plans, plans

from greenrota.logbook.entry import Entry
from greenrota.rota.plan import Plan
from greenrota.rota.replay.replay import replay
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.simulate.context import context_for
from greenrota.rota.state.state import State

SEEDS = st.integers(0, 10_000)
LIVES = st.tuples(lively_plans(most_days=31, most_vessels=3), st.integers(3, 14), SEEDS)
BOOKS = plans(most_days=31).flatmap(lambda plan: st.tuples(st.just(plan), books(plan)))


@settings(max_examples=50)
@given(BOOKS, st.integers(0, 60))
def test_whatever_stands_in_the_book_a_rota_comes_of_it(book: tuple[Plan, list[Entry]], days: int) -> None:
    plan, told = book
    rota = schedule(plan, held(told), plan.start + timedelta(days=days))
    check_all(rota)
    assert all(problem.code.startswith("log-") and problem.hint for problem in rota.problems)


@settings(max_examples=10)
@given(LIVES)
def test_a_life_with_the_rota_holds_every_law(life: tuple[Plan, int, int]) -> None:
    plan, days, seed = life
    told = lived(plan, days, seed, luck=0.7)
    for n in (days // 2, days):
        check_all(schedule(plan, told, plan.start + timedelta(days=n)))


@settings(max_examples=8)
@given(lively_plans(most_days=24, most_vessels=3), SEEDS)
def test_a_rota_kept_to_is_a_rota_kept(plan: Plan, seed: int) -> None:
    """Where every task is done as it stands, the days of the first rota are the days of the last."""
    first = schedule(plan)
    told = lived(plan, 10, seed, luck=1.0)
    last = schedule(plan, told, plan.start + timedelta(days=9))
    assert not last.problems
    planned = {(task.id, task.on) for task in first.tasks if task.on > last.as_of and task.kind != "bank"}
    assert {(task.id, task.on) for task in last.tasks if task.kind != "bank"} >= planned
    assert not last.overdue


@settings(max_examples=40)
@given(BOOKS)
def test_replaying_twice_gives_one_state_and_so_does_folding_step_by_step(
    book: tuple[Plan, list[Entry]],
) -> None:
    plan, told = book
    context, end = context_for(plan), plan.through + timedelta(days=9)
    watched: list[State] = []
    whole = replay(context, told, end, lambda _, shelf: watched.append(shelf.copy()))
    again = replay(context_for(plan), told, end)
    assert state(whole.recorder.state) == state(again.recorder.state)
    assert (whole.done, whole.suspects, whole.crashes) == (again.done, again.suspects, again.crashes)
    for n, shelf in enumerate(watched, start=1):
        assert state(shelf) == state(replay(context, told[:n], end).recorder.state)


def state(shelf: State) -> tuple[object, ...]:
    return (shelf.cultures, shelf.bottles, shelf.filled, shelf.batches, shelf.numbers, shelf.harvests)


@settings(max_examples=25)
@given(BOOKS, st.data())
def test_a_void_restores_the_state_exactly(book: tuple[Plan, list[Entry]], data: st.DataObject) -> None:
    plan, told = book
    slip = data.draw(books(plan, most=1))
    if not slip:
        return
    number = len(told) + 1
    wrong = replace(slip[0], number=number)
    void = Entry(plan.through, "void", "-", (("entry", number),), number + 1)
    mended = held([*told, wrong, void])
    assert mended == held(told)
    assert schedule(plan, mended, plan.through).tasks == schedule(plan, held(told), plan.through).tasks


def test_entries_of_one_day_count_in_the_order_written() -> None:
    plan = example_plan()
    on = plan.start
    start = Entry(on, "started", "north", (("from", "starter:bought"), ("inoculum", 187.5)))
    count = Entry(on + timedelta(days=9), "counted", "north", (("density", 5e5),))
    take = Entry(on + timedelta(days=9), "harvested", "north", (("volume", 3000.0),))
    first_counted = replay(context_for(plan), numbered([start, count, take]), plan.through)
    first_taken = replay(context_for(plan), numbered([start, take, count]), plan.through)
    assert first_counted.recorder.state.harvests[0].broth.density_per_ml == 5e5
    assert first_taken.recorder.state.harvests[0].broth.density_per_ml != 5e5
    for history in (first_counted, first_taken):
        assert history.recorder.state.cultures["north"].broth.density_per_ml == 5e5


@settings(max_examples=12)
@given(lively_plans(most_days=31), st.integers(2, 10), SEEDS, st.integers(0, 5))
def test_a_crash_moves_no_task_of_a_vessel_that_has_nothing_to_do_with_it(
    plan: Plan, days: int, seed: int, which: int
) -> None:
    told = lived(plan, days, seed, luck=0.9)
    today = plan.start + timedelta(days=days)
    before = schedule(plan, told, today)
    alive = sorted(before.state.cultures)
    if not told or not alive:
        return
    lost = alive[which % len(alive)]
    crash = Entry(today, "crashed", lost, (("cause", "unknown"),), len(told) + 1)
    after = schedule(plan, [*told, crash], today)
    check_all(after)
    concerned = _concerned({lost}, (before, after))
    # a vessel that waited for a harvest may now be started from a bottle: that is new, and moves nothing
    assert _dates(before, concerned).items() <= _dates(after, concerned).items()


def _dates(rota: Rota, but: set[str]) -> dict[str, date]:
    """The days of all tasks of the other vessels.

    Not of back-ups, filled from whichever harvest comes next, nor of salt water, which is mixed for several at once.
    """
    shared = ("bank", "prepare")
    return {task.id: task.on for task in rota.tasks if task.vessel not in but and task.kind not in shared}


def _concerned(lost: set[str], rotas: Sequence[Rota]) -> set[str]:
    """The vessels that give to or take from one another, directly or through a bottle, beginning with the lost."""
    pairs = [
        (task.vessel, task.parent.removeprefix("fridge:").rsplit("/", 1)[0])
        for rota in rotas
        for task in rota.tasks
        if task.kind == "start" and not task.parent.startswith("starter:")
    ]
    found = set(lost)
    while True:
        more = {name for pair in pairs if found & set(pair) for name in pair} - found
        if not more:
            return found
        found |= more


def test_no_suspect_gives_nor_do_its_children() -> None:
    plan = example_plan(days=45)
    told = lived(plan, 16, seed=1, luck=1.0)
    today = plan.start + timedelta(days=16)
    living = schedule(plan, told, today).state.cultures
    assert set(living) == {"north", "south"}
    crash = Entry(
        today, "crashed", "north", (("cause", "contamination"), ("since", plan.start)), len(told) + 1
    )
    rota = schedule(plan, [*told, crash], today)
    assert living["south"].batch.id in rota.suspects
    tainted = set(rota.suspects)
    for task in rota.tasks:
        if task.kind == "reseed" and task.parent in tainted:
            tainted.add(task.batch)
        if task.kind == "start":
            assert task.parent not in tainted
        assert not (task.kind == "bank" and task.batch in tainted)


@pytest.mark.parametrize("day", [date(1, 1, 1), date(1970, 1, 1), START - timedelta(days=400)])
def test_an_entry_from_long_ago_is_history_and_costs_no_search_through_the_years(day: date) -> None:
    """By hand: a culture written down years before the plan begins stands, and today's rota is planned from today."""
    plan = example_plan(days=10)
    told = numbered([Entry(day, "started", "north", (("from", "starter:bought"),))])
    rota = schedule(plan, told, plan.start)
    assert set(rota.state.cultures) == {"north"}
    assert rota.as_of == plan.start
    assert schedule(plan, told, day).as_of >= plan.start - timedelta(days=60)
