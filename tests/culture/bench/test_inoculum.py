"""Inoculum: the dilution law, splits that conserve, and the fridge."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from greenrota.culture.bench.inoculum import (
    MIN_START_SHARE,
    fridge_share_alive,
    how_many_vessels,
    inoculum_l_for_density,
    inoculum_l_for_share,
    lag_days,
    split_starter,
    start_density,
    too_old,
)


def test_dilution_law() -> None:
    # derived by hand: 4 L x 1e5 / 1.5e6 = 266.67 mL
    assert inoculum_l_for_density(4.0, 1e5, 1.5e6) * 1000.0 == pytest.approx(266.67, abs=0.005)


@given(st.floats(0.1, 50.0), st.floats(1e3, 1e7), st.floats(1.01, 100.0))
def test_the_inoculum_gives_the_density_asked_for(fill_l: float, goal_per_ml: float, times: float) -> None:
    litres = inoculum_l_for_density(fill_l, goal_per_ml, goal_per_ml * times)
    assert 0.0 < litres < fill_l
    assert start_density(fill_l, litres, goal_per_ml * times) == pytest.approx(goal_per_ml, rel=1e-12)


@given(st.floats(0.1, 50.0), st.floats(0.01, 1.0))
def test_a_share_dilutes_by_the_share(fill_l: float, share: float) -> None:
    assert start_density(fill_l, inoculum_l_for_share(fill_l, share), 1e6) == pytest.approx(
        share * 1e6, rel=1e-12
    )


@pytest.mark.parametrize("source_per_ml", [1e5, 0.9e5, 0.0])
def test_a_source_too_thin_is_refused(source_per_ml: float) -> None:
    with pytest.raises(ValueError, match="source"):
        inoculum_l_for_density(4.0, 1e5, source_per_ml)


def test_more_than_the_vessel_is_refused() -> None:
    with pytest.raises(ValueError, match="does not fit"):
        start_density(4.0, 4.1, 1e6)
    with pytest.raises(ValueError, match="share"):
        inoculum_l_for_share(4.0, 1.2)
    with pytest.raises(ValueError, match="fill"):
        inoculum_l_for_share(0.0, 0.2)
    with pytest.raises(ValueError, match="goal"):
        inoculum_l_for_density(4.0, 0.0, 1e6)
    with pytest.raises(ValueError, match="below zero"):
        start_density(4.0, 1.0, -1.0)


@given(st.floats(1.0, 1e4), st.floats(0.0, 0.95), st.integers(1, 40))
def test_a_split_conserves_the_starter(volume_ml: float, keep_back: float, vessels: int) -> None:
    split = split_starter(volume_ml, keep_back, vessels)
    assert split.held_ml + split.vessels * split.per_vessel_ml == pytest.approx(volume_ml, rel=1e-12)
    assert split.held_ml == pytest.approx(keep_back * volume_ml, rel=1e-12)


def test_splits_that_make_no_sense_are_refused() -> None:
    with pytest.raises(ValueError, match="one vessel"):
        split_starter(500.0, 0.25, 0)
    with pytest.raises(ValueError, match="held back"):
        split_starter(500.0, 1.0, 2)
    with pytest.raises(ValueError, match="starter"):
        split_starter(0.0, 0.25, 2)
    with pytest.raises(ValueError, match="above zero"):
        how_many_vessels(500.0, 2e6, 0.25, 4.0, 0.0)


@given(st.floats(50.0, 5000.0), st.floats(1e5, 5e6), st.floats(0.0, 0.9), st.floats(0.2, 20.0))
def test_as_many_vessels_as_start_dense_enough_and_no_more(
    volume_ml: float, density_per_ml: float, keep_back: float, fill_l: float
) -> None:
    ceiling_per_ml = 1.1e6
    count = how_many_vessels(volume_ml, density_per_ml, keep_back, fill_l, ceiling_per_ml)
    cells = volume_ml * (1.0 - keep_back) * density_per_ml
    needed_each = MIN_START_SHARE * ceiling_per_ml * fill_l * 1000.0
    assert count * needed_each <= cells * (1.0 + 1e-6)  # the rounding allowance of an exact fit
    assert (count + 1) * needed_each > cells * (1.0 - 1e-6)


def test_a_source_thinner_than_the_start_seeds_nothing() -> None:
    assert how_many_vessels(5000.0, 0.06 * 1.1e6, 0.0, 1.0, 1.1e6) == 0


def test_an_exact_fit_counts() -> None:
    # derived by hand: 3 vessels of 1 L at 0.1 x 1e6 cells/mL need 300 mL of 1e6
    assert how_many_vessels(400.0, 1e6, 0.25, 1.0, 1e6, min_start_share=0.1) == 3
    # the same with figures that do not sit on floats: 800/9 mL, a quarter held back, is 1 L x 1e5 / 1.5e6
    assert how_many_vessels(800.0 / 9.0, 1.5e6, 0.25, 1.0, 1e6, min_start_share=0.1) == 1


def test_lag_of_a_bottle_grows_from_fresh_to_old() -> None:
    # our choice: 1 day fresh, 4 days at the end of the fridge days, a line between, no longer after
    assert lag_days(3.0, 56.0) == 0.0
    assert lag_days(8.5, 14.0) == 2.0
    assert lag_days(56.0, 56.0) == 4.0
    assert lag_days(200.0, 56.0) == 4.0


@given(st.floats(0.0, 300.0), st.floats(0.0, 300.0), st.floats(1.0, 100.0))
def test_a_bottle_only_gets_worse(age: float, more: float, fridge_days: float) -> None:
    later = age + more
    assert lag_days(later, fridge_days) >= lag_days(age, fridge_days)
    assert 0.0 <= fridge_share_alive(later, fridge_days) <= fridge_share_alive(age, fridge_days) <= 1.0
    assert too_old(later, fridge_days) >= too_old(age, fridge_days)


def test_share_alive_in_the_fridge() -> None:
    # our choice: a half at the end of the fridge days, a straight line
    assert fridge_share_alive(0.0, 56.0) == 1.0
    assert fridge_share_alive(56.0, 56.0) == 0.5
    assert fridge_share_alive(109.0, 56.0) == 0.0
    assert not too_old(56.0, 56.0)
    assert too_old(56.5, 56.0)


def test_age_and_fridge_days_out_of_range_are_refused() -> None:
    with pytest.raises(ValueError, match="age"):
        lag_days(-1.0, 56.0)
    with pytest.raises(ValueError, match="fridge days"):
        fridge_share_alive(1.0, 0.0)
