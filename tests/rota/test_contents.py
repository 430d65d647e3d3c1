"""What stands in a vessel before and after the work of a day: by hand."""

from __future__ import annotations

from datetime import timedelta

import pytest
from made_logs import crash_on_the_fifth_day, fulfils, numbered
from made_plans import example_plan

from greenrota.culture.growth.logistic import density
from greenrota.logbook.entry import Entry
from greenrota.rota.answers.contents import after_work, before_work, choice_of, vessel_intervals
from greenrota.rota.plan import CyclePlan
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.tasks.task import Task

DAY = timedelta(days=1)


@pytest.fixture(scope="module")
def rota() -> Rota:
    return schedule(example_plan())


def task(rota: Rota, name: str) -> Task:
    return next(task for task in rota.tasks if task.id == name)


def test_what_stands_before_and_after_the_work_of_a_day(rota: Rota) -> None:
    # by hand: nothing before the start; 93,750 cells/mL after it; on the harvest's day the old batch, then the new
    first, cut = task(rota, "north/1/start"), task(rota, "north/1/harvest")
    assert before_work(rota, "north", first.on) is None
    begun = after_work(rota, "north", first.on)
    assert begun is not None
    assert begun[1].density_per_ml == pytest.approx(93_750.0, rel=1e-12)
    ripe, reseeded = before_work(rota, "north", cut.on), after_work(rota, "north", cut.on)
    assert ripe is not None
    assert reseeded is not None
    assert (ripe[0].batch.id, reseeded[0].batch.id) == ("north/1", "north/2")
    assert ripe[1].density_per_ml == pytest.approx(cut.density_before_per_ml, rel=1e-12)
    assert reseeded[1].density_per_ml == pytest.approx(
        task(rota, "north/2/reseed").density_after_per_ml, rel=1e-12
    )
    between = before_work(rota, "north", first.on + DAY), after_work(rota, "north", first.on + DAY)
    assert between[0] == between[1]
    assert after_work(rota, "north", rota.through) is not None
    assert after_work(rota, "north", rota.through + DAY) is None
    intervals = vessel_intervals(rota, "north")
    assert {interval.batch.vessel for interval in intervals} == {"north"}
    assert [interval.first for interval in intervals] == sorted(interval.first for interval in intervals)


def test_on_the_day_the_rota_stands_at_what_was_logged_is_done() -> None:
    _, now = crash_on_the_fifth_day()
    assert before_work(now, "south", now.as_of) is None
    here = before_work(now, "north", now.as_of)
    assert here is not None
    assert here[0].batch.id == "north/1"
    assert now.state.at(now.benches["north"], now.as_of) is not None
    assert here[1].density_per_ml > 93_750.0  # it has grown since its start
    day_before = before_work(now, "south", now.as_of - DAY)
    assert day_before is not None
    assert day_before[0].batch.id == "south/1"


def test_a_vessel_under_a_short_light_grows_by_it_to_the_day_the_rota_stands_at() -> None:
    # by hand: the same broth under 6 h instead of 14 h grows at 6 / 14 of the rate
    first = schedule(example_plan())
    told = [fulfils(each, each.on) for each in first.tasks if each.kind == "start" and each.vessel == "north"]
    begun = told[0].on
    told.append(Entry(begun + 8 * DAY, "reseeded", "north", (("inoculum", 1000.0), ("light", 6.0))))
    now = schedule(example_plan(), numbered(told), begun + 11 * DAY)
    here = before_work(now, "north", now.as_of)
    assert here is not None
    kept, bench = now.state.cultures["north"], now.benches["north"]
    by_hand = density(
        kept.broth.density_per_ml, bench.ceiling(kept.broth).per_ml, bench.rate_per_day * 6 / 14, 3.0
    )
    assert (kept.on, kept.light_h) == (begun + 8 * DAY, 6.0)
    assert here[1].density_per_ml == pytest.approx(by_hand, rel=1e-9)


def test_a_renewed_vessel_is_empty_when_the_day_is_done() -> None:
    rota = schedule(example_plan(days=60, cycle=CyclePlan(renew_after=2)))
    renewed = next(task for task in rota.tasks if task.kind == "renew")
    assert before_work(rota, renewed.vessel, renewed.on) is not None
    again = [t for t in rota.tasks if t.vessel == renewed.vessel and t.kind == "start" and t.on == renewed.on]
    after = after_work(rota, renewed.vessel, renewed.on)
    assert (after is None) == (not again)


def test_a_vessel_renewed_on_the_last_day_is_empty_too() -> None:
    """By hand: harvests pinned to every eighth day and broken down after two re-seeds, on day 24, the last of 25."""
    rota = schedule(example_plan(days=25, cycle=CyclePlan(days=8, inoculum=0.25, renew_after=2)))
    (renewed,) = [each for each in rota.tasks if each.kind == "renew"]
    assert (renewed.id, renewed.on) == ("north/3/renew", rota.through)
    assert before_work(rota, "north", renewed.on) is not None
    assert after_work(rota, "north", renewed.on) is None
    assert after_work(rota, "south", renewed.on) is not None


def test_the_choice_behind_a_harvest(rota: Rota) -> None:
    choice = choice_of(rota, "north/1")
    assert choice is not None
    assert choice.taken == task(rota, "north/1/harvest").on
    assert choice_of(rota, "north/99") is None
