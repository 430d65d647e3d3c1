"""Intervals against a general-purpose statistics library and published values."""

import numpy as np
import pytest
from scipy import stats

from greenrota.risk.outcome import chance, mean, percentile


@pytest.mark.parametrize(
    ("hits", "tries"),
    [(0, 1), (1, 1), (0, 10), (3, 100), (50, 100), (99, 100), (1, 10**6), (5 * 10**5, 10**6), (10**6, 10**6)],
)
def test_the_exact_interval_is_that_of_the_library(hits: int, tries: int) -> None:
    """Tolerance: the root is searched to 1e-13; the tails lose some digits for large counts."""
    truth = stats.binomtest(hits, tries).proportion_ci(0.95, "exact")
    found = chance(hits, tries)
    assert found.low == pytest.approx(truth.low, abs=1e-11)
    assert found.high == pytest.approx(truth.high, abs=1e-11)


def test_none_lost_says_at_most_three_in_n() -> None:
    """Truth derived by hand: (1 - p)^n = 0.025 for no hit in n."""
    assert chance(0, 200).high == pytest.approx(1.0 - 0.025 ** (1 / 200), rel=1e-10)


def test_nothing_tried_says_nothing() -> None:
    assert (chance(0, 0).low, chance(0, 0).high) == (0.0, 1.0)


def test_the_exact_interval_covers_at_least_as_often_as_it_says() -> None:
    """Truth derived by hand: coverage summed over the binomial law of 40 tries."""
    for p in (0.02, 0.1, 0.35, 0.5):
        covered = sum(
            stats.binom.pmf(k, 40, p) for k in range(41) if chance(k, 40).low <= p <= chance(k, 40).high
        )
        assert covered >= 0.95


def test_mean_and_its_interval() -> None:
    """Truth derived by hand: 1..5 has mean 3 and standard error sqrt(2.5 / 5)."""
    found = mean(np.arange(1, 6))
    assert found.value == 3.0
    assert found.high - 3.0 == pytest.approx(1.959964 * 0.5**0.5, rel=1e-6)


def test_the_interval_of_the_percentile_covers_it() -> None:
    """Coverage over 400 samples of a geometric law whose 90th percentile is known; at least 93 % must hold."""
    truth = stats.geom.ppf(0.9, 0.2) - 1
    dice = np.random.default_rng(1)
    hits = 0
    for _ in range(400):
        found = percentile(np.bincount(dice.geometric(0.2, 500) - 1), 0.9)
        assert found.low <= found.value <= found.high
        hits += found.low <= truth <= found.high
    assert hits / 400 >= 0.93


def test_an_interval_of_a_figure_that_can_not_be_negative_ends_at_zero() -> None:
    found = mean(np.array([0, 0, 0, 1]), least=0.0)
    assert (found.value, found.low) == (0.25, 0.0)  # by hand: 0.25 - 1.96 * 0.5 / 2 is below zero
    assert mean(np.array([0, 0, 0, 1])).low < 0.0
    assert mean(np.array([3]), least=0.0).low == -np.inf  # one season tells no interval, not even this end
