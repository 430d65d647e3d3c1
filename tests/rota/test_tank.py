"""The tank side: published worst cases, the bracket, limits of one's own."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_texts import SHORT

from greenrota.culture.data.medium import media
from greenrota.culture.growth.broth import Broth
from greenrota.planfile.read.load import read_plan
from greenrota.rota.feed.daily import daily_rations
from greenrota.rota.feed.tank import TankDay, ration_warnings, tank_days
from greenrota.rota.plan import Consumer, Diet, Plan, Tank
from greenrota.rota.state.state import HarvestBottle

SHELF = read_plan(SHORT, "plan.toml")
FIRST = SHELF.start
F2 = media()["f/2"]


def harvest(volume_ml: float, density_per_ml: float = 1e6, strain: str = "tetraselmis") -> HarvestBottle:
    """A harvest that still holds all of f/2's nitrogen and phosphorus, dissolved and in the cells."""
    broth = Broth(1.0, density_per_ml, F2.nitrogen_umol_l, F2.phosphorus_umol_l, 0.0, 26.0)
    return HarvestBottle("harvest:north/1", "north/1", strain, FIRST, volume_ml, broth)


def fed(tank: Tank | None, *others: Consumer) -> Plan:
    return replace(SHELF, tank=tank, consumers=others)


def days_of(plan: Plan, harvest: HarvestBottle, days: int) -> tuple[TankDay, ...]:
    return tank_days(plan, daily_rations(plan, [harvest], FIRST + timedelta(days=days - 1)))


# Derived by hand: 75 mg/L NaNO3 x 62.005 / 84.995 = 54.71 mg/L NO3 and 5 mg/L NaH2PO4.H2O x 94.971 / 137.992
# = 3.441 mg/L PO4 (f/2: Guillard & Ryther 1962, Guillard 1975), times dose over tank. Half the last digit given.
@pytest.mark.parametrize(
    ("tank_l", "dose_ml", "no3", "po4"),
    [(200.0, 100.0, 0.027, 0.0017), (200.0, 500.0, 0.137, 0.0086), (100.0, 250.0, 0.137, 0.0086)],
)
def test_worst_case_of_one_ration(tank_l: float, dose_ml: float, no3: float, po4: float) -> None:
    first = days_of(fed(Tank(tank_l, dose_ml, 40)), harvest(20000.0), 1)[0]
    assert first.nitrate.high == pytest.approx(no3, abs=0.0005)
    assert first.phosphate.high == pytest.approx(po4, abs=0.00005)
    assert first.nitrate_so_far == first.nitrate


def test_worst_case_of_a_month() -> None:
    # derived by hand, as above: half a litre a day in 200 L for 30 days, nothing leaves
    last = days_of(fed(Tank(200.0, 500.0, 40)), harvest(20000.0), 30)[-1]
    assert last.nitrate_so_far.high == pytest.approx(4.1, abs=0.05)
    assert last.phosphate_so_far.high == pytest.approx(0.26, abs=0.005)


def test_the_middle_is_what_the_quota_leaves() -> None:
    # by hand: 1e6 cells/mL x 1e3 mL/L x quota in pmol is as many umol/L as the quota has pmol, over 1000 of each
    strain = SHELF.strains["tetraselmis"]
    first = days_of(fed(Tank(200.0, 100.0, 40)), harvest(5000.0, 1e5), 1)[0]
    left_umol_l = F2.nitrogen_umol_l - 100.0 * strain.n_pmol
    assert left_umol_l > 0.0
    assert first.nitrate.middle == pytest.approx(left_umol_l * 62.005e-3 * 0.1 / 200.0, rel=1e-9)


def test_a_strain_that_left_the_plan_counts_as_dissolved() -> None:
    first = days_of(fed(Tank(200.0, 100.0, 40)), harvest(5000.0, strain="isochrysis"), 1)[0]
    assert first.nitrate.middle == first.nitrate.high


def test_only_what_goes_into_the_tank_counts() -> None:
    copepods = Consumer("copepods", 400.0, priority=1)
    alone = days_of(fed(Tank(200.0, 100.0, 40)), harvest(20000.0), 5)
    assert days_of(fed(Tank(200.0, 100.0, 40), copepods), harvest(20000.0), 5) == alone
    assert days_of(fed(None, copepods), harvest(20000.0), 5) == ()


@given(st.floats(0.0, 3e7), st.floats(1.0, 900.0), st.integers(1, 20))
def test_the_middle_lies_in_the_bracket_and_sums_only_rise(
    density: float, ration_ml: float, days: int
) -> None:
    before = 0.0
    for one in days_of(fed(Tank(200.0, ration_ml, 10)), harvest(5000.0, density), days):
        for ion in (one.nitrate, one.phosphate, one.nitrate_so_far, one.phosphate_so_far):
            assert ion.low == 0.0 <= ion.middle <= ion.high
        assert one.nitrate_so_far.high >= before
        before = one.nitrate_so_far.high


@given(st.floats(10.0, 900.0))
def test_twice_the_tank_is_half_the_figure(ration_ml: float) -> None:
    one = days_of(fed(Tank(200.0, ration_ml, 10)), harvest(5000.0), 9)[-1]
    two = days_of(fed(Tank(400.0, ration_ml, 10)), harvest(5000.0), 9)[-1]
    assert two.nitrate_so_far.high == pytest.approx(one.nitrate_so_far.high / 2, rel=1e-12)  # a few roundings


def told(tank: Tank, *others: Consumer) -> dict[str, str]:
    plan = fed(tank, *others)
    return dict(ration_warnings(plan, daily_rations(plan, [harvest(20000.0)], FIRST + timedelta(days=29))))


def test_a_limit_is_compared_with_the_upper_bound() -> None:
    # by hand: 0.1368 mg/L a day pass 1 mg/L with the eighth ration (1.094), 4.10 mg/L after thirty
    over = told(Tank(200.0, 500.0, 40, nitrate_limit_mg_per_l=1.0, phosphate_limit_mg_per_l=0.3))
    assert list(over) == ["tank-nitrate"]
    assert f"from {date(2027, 2, 8)} on" in over["tank-nitrate"]
    assert "between 0 and 4.1 mg/L" in over["tank-nitrate"]
    low = told(Tank(200.0, 500.0, 40, nitrate_limit_mg_per_l=4.2, phosphate_limit_mg_per_l=0.2))
    assert list(low) == ["tank-phosphate"]
    assert told(Tank(200.0, 500.0, 40)) == {}


def test_a_diet_that_no_vessel_grows_is_told() -> None:
    clams = Consumer("clams", 10.0, diet=Diet(any_of=("pavlova", "isochrysis")))
    assert told(Tank(200.0, 500.0, 40), clams).keys() == {"strain-not-grown"}
    mixed = Consumer("clams", 10.0, diet=Diet(shares=(("pavlova", 0.5), ("tetraselmis", 0.5))))
    assert "fed pavlova," in told(Tank(200.0, 500.0, 40), mixed)["strain-not-grown"]
    either = Consumer("clams", 10.0, diet=Diet(any_of=("pavlova", "tetraselmis")))
    assert told(Tank(200.0, 500.0, 40), either) == {}
