"""Secchi and turbidity readings: an independent regression, laws, and nothing read off beyond the pairs."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from greenrota.culture.bench.optical import PAIRED_ERROR, density_from_reading

PAIRS = [(6.0, 1.9e6), (9.0, 1.1e6), (14.0, 7.2e5), (20.0, 4.6e5), (31.0, 2.9e5)]  # invented, cm and cells/mL


def test_line_and_interval_agree_with_a_reference_library() -> None:
    # independent: scipy.stats.linregress and the textbook prediction interval on ln against ln; 1e-7: the quantile
    x, y = np.log(np.array(PAIRS)).T
    line = stats.linregress(x, y)
    at = math.log(12.0)
    scatter = math.sqrt(float(np.sum((y - line.intercept - line.slope * x) ** 2)) / 3)
    half = (
        stats.t.ppf(0.975, 3)
        * scatter
        * math.sqrt(1 + 1 / 5 + (at - x.mean()) ** 2 / np.sum((x - x.mean()) ** 2))
    )
    told = density_from_reading(12.0, PAIRS)
    assert told.exponent == pytest.approx(line.slope, rel=1e-10)
    assert math.log(told.density_per_ml) == pytest.approx(line.intercept + line.slope * at, rel=1e-10)
    assert math.log(told.low_per_ml) == pytest.approx(line.intercept + line.slope * at - half, rel=1e-7)
    assert math.log(told.high_per_ml) == pytest.approx(line.intercept + line.slope * at + half, rel=1e-7)
    assert told.interval_known


def test_two_pairs_are_joined_and_carry_a_stated_error() -> None:
    # by hand: density times depth is constant, 9e6; half way in ln both pairs count 1/2: half width sqrt(3/2)
    told = density_from_reading(math.sqrt(200.0), [(10.0, 9e5), (20.0, 4.5e5)])
    assert told.exponent == pytest.approx(-1.0, rel=1e-12)
    assert told.density_per_ml == pytest.approx(9e6 / math.sqrt(200.0), rel=1e-12)
    half = 1.959964 * PAIRED_ERROR * math.sqrt(1.5)
    assert told.high_per_ml / told.density_per_ml == pytest.approx(math.exp(half), rel=1e-6)
    assert not told.interval_known


@given(st.permutations(PAIRS), st.floats(6.0, 31.0), st.floats(0.1, 10.0))
def test_order_and_unit_of_the_readings_do_not_matter(
    pairs: list[tuple[float, float]], reading: float, unit: float
) -> None:
    told = density_from_reading(reading, PAIRS)
    other = density_from_reading(reading * unit, [(r * unit, n) for r, n in pairs])
    assert other.density_per_ml == pytest.approx(told.density_per_ml, rel=1e-9)  # rounding of some logarithms
    assert other.low_per_ml == pytest.approx(told.low_per_ml, rel=1e-9)


@pytest.mark.parametrize(
    ("reading", "side", "nearest"), [(5.9, "below", 6.0), (31.1, "above", 31.0), (31.0, "", 31.0)]
)
def test_nothing_is_read_off_beyond_the_pairs(reading: float, side: str, nearest: float) -> None:
    told = density_from_reading(reading, PAIRS)
    assert told.outside == side
    assert told.density_per_ml == density_from_reading(nearest, PAIRS).density_per_ml


@pytest.mark.parametrize(
    ("reading", "pairs", "why"),
    [
        (10.0, [], "two pairs"),
        (10.0, [(10.0, 9e5)], "two pairs"),
        (10.0, [(10.0, 9e5), (10.0, 8e5)], "two pairs"),
        (10.0, [(10.0, 9e5), (20.0, 9e5)], "neither rise nor fall"),
        (0.0, PAIRS, "above zero"),
        (10.0, [(10.0, 0.0), (20.0, 9e5)], "above zero"),
        (math.nan, PAIRS, "above zero"),
    ],
)
def test_what_makes_no_line_is_refused(reading: float, pairs: list[tuple[float, float]], why: str) -> None:
    with pytest.raises(ValueError, match=why):
        density_from_reading(reading, pairs)


def test_wild_pairs_stay_finite() -> None:
    told = density_from_reading(2.0, [(1.0, 1e-300), (2.0, 1e300), (3.0, 1e-300)])
    assert math.isfinite(told.high_per_ml)
