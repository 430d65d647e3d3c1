"""Laws of every rota, over generated plans."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from audit import check_all
from hypothesis import given, settings
from hypothesis import strategies as st
from made_plans import lively_plans, plans

from greenrota.rota.plan import Plan
from greenrota.rota.schedule import schedule


@settings(max_examples=60)
@given(plans())
def test_every_rota_stands_up_to_an_audit(plan: Plan) -> None:
    rota = schedule(plan)
    check_all(rota)


@settings(max_examples=25)
@given(lively_plans())
def test_a_fair_shelf_is_started_and_harvested(plan: Plan) -> None:
    rota = schedule(plan)
    check_all(rota)
    first = {task.vessel for task in rota.tasks if task.kind == "start"} | set(rota.simulation.waiting)
    assert first == {vessel.name for vessel in plan.vessels}


@settings(max_examples=20)
@given(lively_plans(most_days=30))
def test_twice_the_volume_is_twice_every_amount(plan: Plan) -> None:
    # doubling is exact in binary, so dates and amounts must agree to the last bit but for sums
    level = {name: replace(s, ceiling_exponent=0.0) for name, s in plan.strains.items()}
    plan = replace(
        plan, cycle=replace(plan.cycle, backup_ml=1e6)
    )  # the largest bottle at home does not double
    single = schedule(replace(plan, strains=level))
    tank = plan.tank  # the ration doubles with the shelf, else other dates would serve it better
    if tank is not None:
        tank = replace(tank, volume_l=2.0 * tank.volume_l, ration_ml_per_day=2.0 * tank.ration_ml_per_day)
    double = schedule(
        replace(
            plan,
            strains=level,
            tank=tank,
            water=replace(plan.water, bucket_l=2.0 * plan.water.bucket_l),
            vessels=tuple(replace(v, fill_l=2.0 * v.fill_l, brim_l=2.0 * v.brim_l) for v in plan.vessels),
            starters=tuple(replace(s, volume_ml=2.0 * s.volume_ml) for s in plan.starters),
        )
    )
    assert [(t.id, t.on, t.parent) for t in single.tasks] == [(t.id, t.on, t.parent) for t in double.tasks]
    for one, two in zip(single.tasks, double.tasks, strict=True):
        assert (two.density_before_per_ml, two.density_after_per_ml) == (
            one.density_before_per_ml,
            one.density_after_per_ml,
        )
        for name in ("inoculum_ml", "seawater_ml", "salt_g", "harvest_ml", "keep_ml", "bank_ml"):
            amount = getattr(one.amounts, name)
            expected = None if amount is None else pytest.approx(2.0 * amount, rel=1e-9, abs=1e-9)
            assert getattr(two.amounts, name) == expected
        for name, ml in one.amounts.nutrient_ml.items():
            assert two.amounts.nutrient_ml[name] == pytest.approx(2.0 * ml, rel=1e-9, abs=1e-9)


@settings(max_examples=15)
@given(plans(most_days=31))
def test_one_plan_gives_one_rota(plan: Plan) -> None:
    once, again = schedule(plan), schedule(replace(plan))
    assert once.tasks == again.tasks
    assert once.warnings == again.warnings


@settings(max_examples=20)
@given(lively_plans(), st.integers(0, 20), st.integers(0, 20))
def test_looking_at_a_vessel_on_the_way_changes_nothing(plan: Plan, a: int, b: int) -> None:
    rota = schedule(plan)
    shelf = rota.simulation.state
    for name, culture in shelf.cultures.items():
        bench = rota.benches[name]
        way = shelf.copy()
        way.cultures[name] = shelf.at(bench, culture.on + timedelta(days=a))
        end = culture.on + timedelta(days=a + b)
        stepwise, at_once = way.at(bench, end), shelf.at(bench, end)
        assert stepwise.broth.density_per_ml == pytest.approx(at_once.broth.density_per_ml, rel=1e-9)
        assert stepwise.broth.lag_days == pytest.approx(at_once.broth.lag_days, abs=1e-9)
