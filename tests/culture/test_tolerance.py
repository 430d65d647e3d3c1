"""The salinity factor: corners by hand, shape as laws."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from greenrota.culture.tolerance import salinity_factor

HANDBOOK_PSU = (12.0, 20.0, 24.0, 40.0)  # published: FAO 361 Table 2.2, 12..40 with 20..24 best (g/L there)


@pytest.mark.parametrize(
    ("salinity_psu", "factor"),
    [
        (5.0, 0.0),
        (12.0, 0.0),
        (16.0, 0.5),
        (20.0, 1.0),
        (22.0, 1.0),
        (24.0, 1.0),
        (32.0, 0.5),
        (40.0, 0.0),
        (45.0, 0.0),
    ],
)
def test_corners_and_middles(salinity_psu, factor):
    assert salinity_factor(salinity_psu, *HANDBOOK_PSU) == factor  # by hand


def test_an_optimum_at_its_limit_counts_as_best():
    assert salinity_factor(0.0, 0.0, 0.0, 30.0, 30.0) == 1.0
    assert salinity_factor(30.0, 0.0, 0.0, 30.0, 30.0) == 1.0
    assert salinity_factor(30.1, 0.0, 0.0, 30.0, 30.0) == 0.0


@given(
    limits=st.lists(st.floats(0.0, 60.0), min_size=4, max_size=4).map(sorted),
    salinity_psu=st.floats(0.0, 60.0),
)
def test_is_a_share(limits, salinity_psu):
    assert 0.0 <= salinity_factor(salinity_psu, *limits) <= 1.0


@given(first=st.floats(0.0, 60.0), second=st.floats(0.0, 60.0))
def test_mirrored_limits_give_the_mirrored_factor(first, second):
    low, high = 12.0, 40.0
    mirrored = (60.0 - high, 60.0 - 24.0, 60.0 - 20.0, 60.0 - low)
    for salinity_psu in (first, second):
        # atol: one subtraction from 60
        assert salinity_factor(60.0 - salinity_psu, *mirrored) == pytest.approx(
            salinity_factor(salinity_psu, *HANDBOOK_PSU), abs=1e-12
        )


def test_limits_out_of_order_are_named():
    with pytest.raises(ValueError, match=r"20.0, 12.0, 24.0, 40.0"):
        salinity_factor(22.0, 20.0, 12.0, 24.0, 40.0)


def test_no_number_is_refused():
    with pytest.raises(ValueError, match="nan"):
        salinity_factor(float("nan"), *HANDBOOK_PSU)
