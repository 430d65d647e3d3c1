"""Counting: the exact interval against scipy and closed forms, densities against printed exercises."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import chi2, poisson

from greenrota.culture.bench.count import count_density, poisson_interval


@pytest.mark.parametrize("cells", [0, 1, 2, 3, 5, 10, 30, 100, 999, 10_000, 123_456, 1_000_000])
@pytest.mark.parametrize("confidence", [0.5, 0.9, 0.95, 0.999])
def test_interval_against_the_chi_square_quantiles(cells, confidence):
    # independent library, Garwood's form: chi2 of 2n below, of 2n + 2 above. rtol: the 1e-9 we promise
    tail = (1.0 - confidence) / 2.0
    low, high = poisson_interval(cells, confidence)
    expected_low = chi2.ppf(tail, 2 * cells) / 2.0 if cells else 0.0
    assert low == pytest.approx(expected_low, rel=1e-9)
    assert high == pytest.approx(chi2.ppf(1.0 - tail, 2 * cells + 2) / 2.0, rel=1e-9)


def test_closed_forms():
    # by hand: none seen means exp(-high) = tail; one or more seen means 1 - exp(-low) = tail
    assert poisson_interval(0)[1] == pytest.approx(-math.log(0.025), rel=1e-11)
    assert poisson_interval(1)[0] == pytest.approx(-math.log1p(-0.025), rel=1e-9)


@settings(max_examples=50)
@given(cells=st.integers(1, 5000), confidence=st.floats(0.1, 0.9999))
def test_ends_leave_the_tails_they_promise(cells, confidence):
    # definition, through the Poisson sum of an independent library
    low, high = poisson_interval(cells, confidence)
    tail = (1.0 - confidence) / 2.0
    assert poisson.sf(cells - 1, low) == pytest.approx(tail, rel=1e-6)
    assert poisson.cdf(cells, high) == pytest.approx(tail, rel=1e-6)
    assert low < cells < high


@pytest.mark.parametrize(
    ("cells", "squares", "per_ml"),
    [
        (20 + 30 + 25 + 28, 4, 257_500.0),  # printed exercise, mean 25.75
        (18, 4, 45_000.0),  # published laboratory rows, undiluted
        (21, 4, 52_500.0),
        (10, 4, 25_000.0),
        (16, 4, 40_000.0),
        (39, 9, 39 / 9 * 1e4),  # printed exercise, 4.33 a square
    ],
)
def test_density_of_printed_counts(cells, squares, per_ml):
    assert count_density(cells, squares, 1.0).density_per_ml == pytest.approx(per_ml, rel=1e-12)


def test_density_carries_dilution_and_interval():
    # by hand: 100 cells in 4 squares of 1e-4 mL, one part in ten: 100 / 4e-4 x 10 = 2.5e6 per mL
    counted = count_density(100, 4, 10.0)
    assert counted.density_per_ml == pytest.approx(2.5e6, rel=1e-12)
    assert counted.low_per_ml == pytest.approx(chi2.ppf(0.025, 200) / 2 * 25_000, rel=1e-9)
    assert counted.high_per_ml == pytest.approx(chi2.ppf(0.975, 202) / 2 * 25_000, rel=1e-9)


def test_nothing_seen_still_has_an_upper_end():
    counted = count_density(0, 4, 1.0)
    assert (counted.density_per_ml, counted.low_per_ml) == (0.0, 0.0)
    assert counted.high_per_ml == pytest.approx(-math.log(0.025) / 4e-4, rel=1e-9)


@pytest.mark.parametrize(
    ("reckon", "named"),
    [
        (lambda: count_density(-1, 4, 1.0), "-1"),
        (lambda: count_density(1_000_001, 4, 1.0), "1000001"),
        (lambda: count_density(10, 0, 1.0), "0 squares"),
        (lambda: count_density(10, 4, 0.5), "dilution 0.5"),
        (lambda: count_density(10, 4, float("nan")), "dilution nan"),
        (lambda: poisson_interval(2.5), "2.5"),  # type: ignore[arg-type]
        (lambda: poisson_interval(10, 1.0), "confidence 1.0"),
        (lambda: poisson_interval(10, 0.0), "confidence 0.0"),
    ],
)
def test_values_outside_are_named(reckon, named):
    with pytest.raises(ValueError, match=named):
        reckon()
