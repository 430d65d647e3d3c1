"""What a shelf gives in the long run, by hand."""

from __future__ import annotations

import pytest
from made_plans import example_plan, example_vessel

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
