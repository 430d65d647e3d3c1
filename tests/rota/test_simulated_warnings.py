"""What a shelf gives in the long run, by hand."""

from __future__ import annotations

from datetime import timedelta

import pytest
from made_plans import example_plan, example_vessel

from greenrota.logbook.entry import Entry
from greenrota.rota.plan import CyclePlan, Work
from greenrota.rota.schedule import schedule
from greenrota.rota.warnings.amounts import sustainable_yield_ml_per_day


def test_the_yield_is_what_each_harvest_takes_over_the_days_between() -> None:
    # three quarters of 4 L every 6 days, from the one vessel that is not standby
    jars = (example_vessel("north"), example_vessel("south", role="standby"))
    plan = example_plan(vessels=jars, cycle=CyclePlan(inoculum=0.25, days=6))
    assert sustainable_yield_ml_per_day(schedule(plan)) == pytest.approx(500.0)


def test_days_off_stretch_the_days_between() -> None:
    # with Mondays alone, 6 days become 7
    plan = example_plan(
        vessels=(example_vessel("north"),),
        cycle=CyclePlan(inoculum=0.25, days=6),
        work=Work(weekdays=frozenset({0})),
    )
    assert sustainable_yield_ml_per_day(schedule(plan)) == pytest.approx(3000.0 / 7.0)


def test_a_back_up_without_a_living_cell_is_called_too_small_and_no_size_is_named() -> None:
    # the plan pins the harvest, so a vessel counted empty is harvested and banked all the same
    plan = example_plan(vessels=(example_vessel("north"),), cycle=CyclePlan(days=7))
    started, counted = plan.start - timedelta(days=3), plan.start
    entries = (
        Entry(started, "started", "north", (("inoculum", 300.0),)),
        Entry(counted, "counted", "north", (("density", 0.0),)),
    )
    texts = [warning.text for warning in schedule(plan, entries).warnings if warning.code == "backup-small"]
    assert len(texts) == 1
    assert "restarts no vessel" in texts[0]
    assert "backup =" not in texts[0]
