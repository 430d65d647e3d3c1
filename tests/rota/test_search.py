"""The search against every other way to choose the dates, and against a calendar of fixed intervals."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

import pytest
from every_rota import ROUNDING, enumerated, fixed_intervals, home_plan, tiny_renewed_plan, tiny_stepped_plan
from made_plans import START, example_plan, example_vessel

from greenrota.rota.plan import Plan, Tank, Work
from greenrota.rota.schedule import schedule
from greenrota.rota.search import score
from greenrota.rota.search import search as searching
from greenrota.rota.search.score import WEIGHTS, Scorer
from greenrota.rota.search.search import SearchResult, search
from greenrota.rota.simulate.context import context_for
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.restarts import Restart
from greenrota.rota.simulate.simulation import simulate
from greenrota.rota.simulate.start import start_from_plan
from greenrota.rota.state.donors import Source


@pytest.mark.usefixtures("whole_search")
def test_no_way_to_decide_is_better_on_tiny_plans() -> None:
    # Independent route: plain enumeration. tests/bench/best_dates.py does the same for a hundred plans.
    dice = random.Random(7)
    worse = []
    for _ in range(20):
        context, start_state, scores = enumerated(dice)
        best = min(scores)
        found = search(context, start_state, Decisions())
        assert found.score.total >= best - ROUNDING
        worse.append(found.score.total / best - 1.0)
    assert sum(share > ROUNDING for share in worse) <= 1  # 95 of 100 must be equal, so 19 of 20
    assert max(worse) <= 0.02


def found_best_of_all(dice: random.Random, drawn: Callable[[random.Random], Plan]) -> SearchResult:
    """What is found for the next plan that is drawn, held against the best of all ways to decide."""
    context, start_state, scores = enumerated(dice, drawn)
    found = search(context, start_state, Decisions())
    assert found.exact
    assert found.score.total == pytest.approx(min(scores), abs=ROUNDING * min(scores))
    return found


@pytest.mark.usefixtures("whole_search")
def test_no_way_to_decide_is_better_where_vessels_are_filled_in_steps() -> None:
    # The days of top-ups are worked out a second time by the rule, and every one of them is tried.
    dice = random.Random(11)
    waited = 0
    for _ in range(12):
        found = found_best_of_all(dice, tiny_stepped_plan)
        waited += any(each.taken > each.options[0] for each in found.simulated.topups)
    assert waited  # a top-up on a later day than the first does win something


@pytest.mark.usefixtures("whole_search")
def test_no_way_to_decide_is_better_where_vessels_are_broken_down_and_restarted() -> None:
    # Among them restarts from the held-back rest of a starter, whose day is decided like that of any other restart.
    dice = random.Random(5)
    waited = rests = 0
    for _ in range(7):
        found = found_best_of_all(dice, tiny_renewed_plan)
        waited += any(each.taken > each.options[0] for each in found.simulated.restarts)
        rests += any(
            isinstance(event.facts, Restart) and event.facts.turn.source is Source.STARTER
            for event in found.simulated.events
        )
    assert waited  # a later restart does win something
    assert rests  # and the rest of a starter is used


@pytest.mark.parametrize(
    ("vessels", "weekdays"),
    [(2, range(7)), (3, (2, 5, 6)), (5, (0, 3, 5)), (8, range(7))],
)
def test_never_worse_than_a_calendar_of_fixed_intervals(
    vessels: int, weekdays: tuple[int, ...], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nor is a search that may walk through a fifth of the batches of the program's own."""
    monkeypatch.setattr(searching, "MOST_BATCHES", 6_000)
    plan = home_plan(vessels, 45, weekdays)
    context, start_state = context_for(plan), start_from_plan(plan)
    found = search(context, start_state, Decisions())
    calendar = Scorer(context, start_state, Decisions()).score(fixed_intervals(context, start_state))
    assert found.score.total <= calendar.total + ROUNDING


@pytest.mark.usefixtures("longer_search")
def test_the_same_plan_gives_the_same_rota() -> None:
    plan = example_plan(tank=Tank(300.0, 600.0))
    assert schedule(plan).tasks == schedule(plan).tasks


@pytest.mark.usefixtures("longer_search")
def test_dates_of_the_earlier_rota_are_held() -> None:
    plan = example_plan(tank=Tank(300.0, 600.0), days=45)
    context, start_state = context_for(plan), start_from_plan(plan)
    simulated = simulate(context, start_state, Decisions())
    first = simulated.choices[0]
    held = Decisions({first.batch.id: first.options[-1]}, {"north": START})
    found = search(context, start_state, held)
    assert found.decisions.harvests[first.batch.id] == first.options[-1]
    assert found.decisions.starts["north"] == START
    done = {(event.kind, event.batch.id): event.on for event in found.simulated.events}
    assert (done["start", "north/1"], done["harvest", first.batch.id]) == (START, first.options[-1])


@pytest.mark.usefixtures("whole_search")
def test_an_interrupt_gives_the_best_so_far_and_says_so() -> None:
    plan = example_plan(days=62, vessels=tuple(example_vessel(f"v{n}") for n in range(4)))
    told: list[float] = []

    def impatient(share: float) -> None:
        told.append(share)
        if len(told) == 30:
            raise KeyboardInterrupt

    found = search(context_for(plan), start_from_plan(plan), Decisions(), impatient)
    assert found.cut_short and not found.exact
    assert told == sorted(told) and 0.0 < told[-1] < 1.0
    greedy = Scorer(context_for(plan), start_from_plan(plan), Decisions()).score(
        simulate(context_for(plan), start_from_plan(plan), Decisions())
    )
    assert found.score.total <= greedy.total


def test_the_order_of_the_objective_is_the_order_of_its_weights() -> None:
    # Derived by hand from the order in the docs: home, ration, ripeness, jobs, spread, days that are unsure, small
    # harvests, working days, changes, surplus, empty vessels.
    order = [
        "home",
        "short",
        "over_ripe",
        "early",
        "crowded",
        "spread",
        "unsure",
        "small",
        "work_day",
        "changed",
        "spoiled",
        "idle",
    ]
    assert [name for name in WEIGHTS if name in order] == order
    assert list(WEIGHTS.values()) == sorted(WEIGHTS.values(), reverse=True)


def test_the_terms_of_a_score_by_hand() -> None:
    """Two vessels, a pinned cycle of ten days: every term can be read off the tasks."""
    plan = example_plan(tank=Tank(300.0, 500.0, keeps_days=3), work=Work(jobs_per_day=1))
    plan = replace(plan, cycle=replace(plan.cycle, days=10, inoculum=0.25), days=25)
    rota = schedule(plan)
    amounts = rota.found.score.amounts
    assert amounts["work_day"] == len({task.on for task in rota.tasks})
    kept_ml = [task.amounts.keep_ml or 0.0 for task in rota.tasks if task.kind == "reseed"]
    assert amounts["small"] == pytest.approx(sum(ml / 4000.0 for ml in kept_ml))
    harvests = sorted({task.on for task in rota.tasks if task.kind == "harvest"})
    edges = [*harvests, rota.through + timedelta(days=1)]
    gaps = [(later - earlier).days for earlier, later in pairwise(edges)]
    waits = [wait + 0.5 for gap in gaps for wait in range(gap)]  # mean of each day, midnight to midnight
    assert amounts["spread"] == pytest.approx(sum(waits) / len(waits), rel=ROUNDING)
    jobs = {(task.on, task.vessel) for task in rota.tasks}
    per_day = [sum(on == day for on, _ in jobs) for day in {on for on, _ in jobs}]
    assert amounts["crowded"] == sum(count - 1 for count in per_day)
    assert amounts["home"] == 0.0  # the held-back starter is a home beside every vessel


def test_every_vessel_of_a_plan_without_rations_is_started_even_near_its_end(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    fills_l = {"north": 10.0, "south": 4.0, "east": 4.0}
    vessels = tuple(
        example_vessel(name, brim_l=1.25 * litres, fill_l=litres) for name, litres in fills_l.items()
    )
    plan = replace(example_plan(vessels=vessels, days=9), tank=None)

    def started() -> set[str]:
        return {task.vessel for task in schedule(plan).tasks if task.kind == "start"}

    assert started() == {"north", "south", "east"}
    monkeypatch.setattr(score, "WEIGHTS", {**WEIGHTS, "idle": 0.0})
    assert started() < {"north", "south", "east"}  # nothing else in the score asks for it
