"""Living culture in the fridge: its lag, what stays alive, and when it is too old."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from greenrota.culture.inoculum import fridge_share_alive, lag_days, too_old


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
