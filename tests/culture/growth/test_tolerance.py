"""The factors of temperature and salinity: published sets and corners by hand, shape as laws."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from greenrota.culture.growth.tolerance import cardinal_factor, salinity_factor

OCEANICA_C = (0.2, 26.7, 33.3)  # Nannochloropsis oceanica, Bernard & Remond 2012, seen in a copy (Kooi 2017)
HANDBOOK_PSU = (12.0, 20.0, 24.0, 40.0)  # published: FAO 361 Table 2.2, 12..40 with 20..24 best (g/L there)


@pytest.mark.parametrize(
    ("temperature_c", "factor"),
    [(10.0, 0.21270), (15.0, 0.45766), (20.0, 0.74527), (25.0, 0.97532), (30.0, 0.84410), (33.0, 0.13368)],
)
def test_published_set(temperature_c, factor):
    # cardinal temperatures: Bernard & Remond 2012 (copy); factors by hand from the equation, 5 decimals
    assert cardinal_factor(temperature_c, *OCEANICA_C) == pytest.approx(factor, rel=0, abs=6e-6)


@pytest.mark.parametrize("temperature_c", [-5.0, 0.2, 33.3, 45.0])
def test_nothing_grows_at_or_outside_the_limits(temperature_c):
    assert cardinal_factor(temperature_c, *OCEANICA_C) == 0.0


triples = st.tuples(st.floats(-5.0, 15.0), st.floats(5.0, 40.0), st.floats(0.51, 0.98)).map(
    lambda t: (t[0], t[0] + t[1] * t[2], t[0] + t[1])
)


@given(cardinal=triples, share=st.floats(0.0, 1.0))
def test_a_share_with_its_peak_at_the_optimum(cardinal, share):
    t_min, t_opt, t_max = cardinal
    assert cardinal_factor(t_opt, *cardinal) == pytest.approx(1.0, rel=1e-9)
    assert 0.0 <= cardinal_factor(t_min + share * (t_max - t_min), *cardinal) <= 1.0


@given(cardinal=triples, first=st.floats(0.0, 1.0), second=st.floats(0.0, 1.0))
def test_rises_to_the_optimum_and_falls_after_it(cardinal, first, second):
    t_min, t_opt, t_max = cardinal
    near, far = sorted((first, second))
    for limit in (t_min, t_max):
        nearer = cardinal_factor(t_opt + near * (limit - t_opt), *cardinal)
        farther = cardinal_factor(t_opt + far * (limit - t_opt), *cardinal)
        assert farther <= nearer + 1e-9  # rounding where the two are nearly one temperature


@pytest.mark.parametrize(
    "cardinal", [(0.0, 15.0, 30.0), (0.0, 14.0, 30.0), (0.0, 30.0, 30.0), (0.0, 31.0, 30.0), (10.0, 5.0, 0.0)]
)
def test_an_optimum_out_of_place_is_named(cardinal):
    with pytest.raises(ValueError, match=f"best temperature {cardinal[1]}"):
        cardinal_factor(20.0, *cardinal)


def test_a_temperature_that_is_no_number_is_refused():
    with pytest.raises(ValueError, match="nan"):
        cardinal_factor(float("nan"), *OCEANICA_C)


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


def test_a_salinity_that_is_no_number_is_refused():
    with pytest.raises(ValueError, match="nan"):
        salinity_factor(float("nan"), *HANDBOOK_PSU)
