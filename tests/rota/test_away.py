"""Days away: every measure is found, vessels are followed by hand, feed that does not keep is said to be missing."""

from __future__ import annotations

import math
import random
from datetime import date, timedelta

import pytest
from every_rota import small_plan
from made_plans import START, example_plan

from greenrota.logbook.entry import Entry
from greenrota.rota.answers.away import LAST_DAYS, Departure, departures, windows
from greenrota.rota.plan import Away, CyclePlan, Plan, Tank
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule


def plan_away(first: int, length: int, **changes: object) -> Plan:
    """Two vessels, and days away of a length after so many at home."""
    gone = Away(START + timedelta(days=first), START + timedelta(days=first + length - 1))
    return example_plan(**{"days": 62, "away": (gone,), "tank": Tank(300.0, 300.0), **changes})


def departure(plan: Plan) -> tuple[Rota, Departure]:
    rota = schedule(plan)
    (found,) = departures(rota)
    return rota, found


def on(number: int) -> date:
    return START + timedelta(days=number)


def test_windows_that_touch_are_one() -> None:
    plan = example_plan(
        away=(Away(on(9), on(12)), Away(on(3), on(5)), Away(on(6), on(7)), Away(on(4), on(4)))
    )
    assert windows(plan) == [Away(on(3), on(7)), Away(on(9), on(12))]


def test_days_away_that_are_over_or_past_the_horizon_do_not_come() -> None:
    away = (Away(on(2), on(3)), Away(on(8), on(10)), Away(on(40), on(45)))
    plan = example_plan(days=31, away=away)
    assert [each.first for each in departures(schedule(plan))] == [on(2), on(8)]
    told = (Entry(on(5), "note", "-", (("text", "all well"),), 1),)
    assert [each.first for each in departures(schedule(plan, told, on(5)))] == [on(8)]
    assert [each.first for each in departures(schedule(plan, told, on(9)))] == [on(8)]  # has begun


def test_nothing_is_put_on_a_day_away_and_the_last_days_are_shown() -> None:
    dice = random.Random(5)
    for _ in range(8):
        rota = schedule(small_plan(dice))
        for each in departures(rota):
            assert not [task for task in rota.tasks if each.first <= task.on <= each.last]
            before = {
                task.id
                for task in rota.tasks
                if each.first - timedelta(days=LAST_DAYS) <= task.on < each.first
            }
            assert before <= {task.id for task in each.tasks}
            assert {measure.task.id for measure in each.measures} <= {task.id for task in each.tasks}


def kinds(plan: Plan) -> set[tuple[str, str]]:
    """What is done otherwise, and at which kind of task."""
    _, found = departure(plan)
    assert all(measure.task.on < found.first for measure in found.measures)
    return {(measure.kind, measure.task.kind) for measure in found.measures}


@pytest.mark.parametrize(
    ("days", "wanted"),
    [
        # what is tried comes in this order: earlier, thinner, dimmer, the fridge
        (5, set()),
        (9, {("early", "harvest")}),
        (12, {("thinned", "reseed")}),
        (18, {("dimmed", "reseed")}),
    ],
)
def test_measures_come_in_their_order(days: int, wanted: set[tuple[str, str]]) -> None:
    first = 10 if days == 5 else 12 if days == 9 else 14
    plan = plan_away(first, days, tank=Tank(300.0, 300.0, keeps_days=7), cycle=CyclePlan(inoculum=0.25))
    # beside a thinner re-seed the search may still find an earlier harvest that helps
    beside = {("early", "harvest")} if days > 9 else set()
    assert kinds(plan) - beside == wanted


def test_a_vessel_that_can_not_wait_is_parked_and_restarted() -> None:
    rota, found = departure(plan_away(14, 34))
    parked = [measure.task for measure in found.measures if measure.kind == "parked"]
    assert parked and {task.kind for task in parked} == {"renew"}
    for task in parked:
        (left,) = [left for left in found.vessels if left.vessel == task.vessel]
        assert left.batch is None
        assert left.restart_on is not None and left.restart_on > found.last
        assert any(
            t.kind == "start" and t.vessel == task.vessel and t.on == left.restart_on for t in rota.tasks
        )
    assert any(left.batch is not None for left in found.vessels)  # the last living one is never emptied


def test_how_a_vessel_stands_on_return_by_the_logistic_law() -> None:
    # Independent route: the law in closed form (Verhulst 1838), from the printed density of the last re-seed.
    rota, found = departure(plan_away(12, 9))
    for left in found.vessels:
        assert left.batch is not None
        seeded = next(t for t in rota.tasks if t.batch == left.batch and t.kind in ("reseed", "start"))
        assert seeded.density_after_per_ml is not None
        bench = rota.benches[left.vessel].lit(left.light_h)
        interval = next(each for each in rota.simulation.intervals if each.batch.id == left.batch)
        top = bench.ceiling(interval.broth).per_ml
        grown = math.exp(bench.rate_per_day * (found.back_on - seeded.on).days)
        start = seeded.density_after_per_ml
        assert left.back_per_ml == pytest.approx(
            top * start * grown / (top + start * (grown - 1.0)), rel=1e-6
        )
        assert left.back_share == pytest.approx(left.back_per_ml / top, rel=1e-6)
        assert left.leaving_per_ml <= left.back_per_ml
        # ripe on the day that begins at 80 % of the ceiling, over-ripe after three full days at 95 % (model page)
        ripe_days, still_days = (
            math.log((top - start) / start * share / (1.0 - share)) / bench.rate_per_day
            for share in (0.80, 0.95)
        )
        assert left.ripe_on == seeded.on + timedelta(days=math.ceil(ripe_days))
        assert left.over_on == seeded.on + timedelta(days=math.ceil(still_days) + 3)


def test_feed_that_does_not_keep_as_long_as_the_days_away_is_missing() -> None:
    # By hand: a harvest of day d is fed through d + 3; on every day after that the whole ration lacks.
    _, found = departure(plan_away(12, 9, tank=Tank(300.0, 300.0, keeps_days=3)))
    assert found.usable_through is not None and found.usable_through < found.last
    assert len(found.days) == 9
    for day in found.days:
        if day.on > found.usable_through:
            assert (day.fed_ml, day.short_ml) == (0.0, 300.0)
    late = (found.last - found.usable_through).days
    assert len(found.short_days) >= late >= 5


def test_an_end_past_the_horizon_is_looked_at_all_the_same() -> None:
    _, found = departure(plan_away(20, 30, days=31))
    assert found.days[-1].on == START + timedelta(days=30)
    assert all(left.batch is None or left.back_per_ml > 0.0 for left in found.vessels)


def test_days_away_from_the_very_first_day() -> None:
    _, found = departure(plan_away(0, 4))
    assert (found.tasks, found.measures) == ((), ())
    assert all(left.batch is None and left.restart_on for left in found.vessels)
    assert found.usable_through is None
