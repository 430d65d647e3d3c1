"""Least squares and profile intervals against certified values, published fits and an independent fitter."""

import numpy as np
import pytest
from numpy.typing import NDArray
from published_series import RAT42, TETRAHELE, YEAST
from scipy import optimize, stats

from greenrota.culture.growth.logistic import density
from greenrota.culture.numeric.least_squares import Fit, Residuals, least_squares
from greenrota.culture.numeric.profile import profile_interval, refitted
from greenrota.culture.numeric.quantile import chi_square_quantile, normal_deviation, student_deviation
from greenrota.culture.numeric.undetermined import Undetermined

Array = NDArray[np.float64]


def interval_of(
    off: Residuals, fit: Fit, index: int, deviation: float, limits: tuple[float, float] = (-np.inf, np.inf)
) -> tuple[float, float]:
    """The profile interval of a plain model."""
    return profile_interval(
        lambda at, starts: refitted(off, None, index, at, starts), fit, index, deviation, limits
    )


# certified: NIST StRD, nonlinear regression, Rat42 (Ratkowsky 1983, pasture yield): y = b1 / (1 + exp(b2 - b3 x))
RAT42_X, RAT42_Y = np.array(RAT42.times), np.array(RAT42.counts)
RAT42_B = [72.462237576, 2.6180768402, 0.067359200066]
RAT42_SD = [1.7340283401, 0.088295217536, 0.0034465663377]
RAT42_RSS, RAT42_RESIDUAL_SD, RAT42_DOF = 8.0565229338, 1.1587725499, 6


def rat42(b: Array) -> Array:
    return b[0] / (1.0 + np.exp(b[1] - b[2] * RAT42_X)) - RAT42_Y


@pytest.mark.parametrize("start", [[100.0, 1.0, 0.1], [75.0, 2.5, 0.07]], ids=["far", "near"])
def test_rat42_to_nine_digits(start: list[float]) -> None:
    # both starts are those of NIST; certified to 11 digits, 9 wanted: rtol 5e-10 is half a unit of the ninth
    fit = least_squares(rat42, start)
    np.testing.assert_allclose(fit.parameters, RAT42_B, rtol=5e-10)
    np.testing.assert_allclose(fit.standard_errors, RAT42_SD, rtol=5e-10)
    assert fit.rss == pytest.approx(RAT42_RSS, rel=5e-10)
    assert fit.scatter**0.5 == pytest.approx(RAT42_RESIDUAL_SD, rel=5e-10)
    assert fit.dof == RAT42_DOF


def test_own_slopes_give_what_the_stencil_gives() -> None:
    def slopes(b: Array) -> Array:
        grown = np.exp(b[1] - b[2] * RAT42_X)
        by_grown = -b[0] * grown / (1.0 + grown) ** 2
        return np.column_stack([1.0 / (1.0 + grown), by_grown, -RAT42_X * by_grown])  # derived by hand

    fit = least_squares(rat42, [100.0, 1.0, 0.1], slopes)
    np.testing.assert_allclose(fit.parameters, RAT42_B, rtol=5e-10)
    np.testing.assert_allclose(fit.standard_errors, RAT42_SD, rtol=5e-10)


# published: the authors' own fits with N0 fixed at 2200 cells/mL (source beside the series): K, se, r, se
TETRASELMIS = {
    "8_1": (20328.86, 525.50, 0.152862, 0.007330),
    "16_5": (17701.90, 513.94, 0.356005, 0.036475),
}


@pytest.mark.parametrize("unit", TETRASELMIS)
def test_tetraselmis_as_published(unit: str) -> None:
    top, top_error, rate, rate_error = TETRASELMIS[unit]
    rows = [np.array(column) for column in (TETRAHELE[unit].times, TETRAHELE[unit].counts)]
    repeats = [1] + [2] * (len(rows[0]) - 1)  # every row but the first stands twice in the authors' file
    t, n = (np.repeat(row, repeats) for row in rows)
    fit = least_squares(lambda p: density(np.float64(2200.0), p[0], p[1], t) - n, [15000.0, 0.2])
    # 2e-5: times printed to 1e-4 d, of the 5 to 10 days in which the counts tell the rate; errors to 4 or 5 digits
    np.testing.assert_allclose(fit.parameters, [top, rate], rtol=2e-5)
    np.testing.assert_allclose(fit.standard_errors, [top_error, rate_error], rtol=2e-4)


def test_yeast_has_the_published_ceiling_in_its_interval() -> None:
    # Pearl's curve was drawn with K = 665, not fitted by least squares; so it is looked for in the 95 % interval
    t, n = np.array(YEAST.times), np.array(YEAST.counts)

    def off(p: Array) -> Array:
        return np.asarray(density(p[2], p[0], p[1], t)) - n

    fit = least_squares(off, [600.0, 0.5, 10.0])
    deviation = student_deviation(0.95, fit.dof) * fit.scatter**0.5
    low, high = interval_of(off, fit, 0, deviation)
    assert low < 665.0 < high
    assert high - low < 0.02 * 665.0  # and the interval is narrow, so that this can fail


@pytest.mark.parametrize("seed", range(12))
def test_an_independent_fitter_agrees(seed: int) -> None:
    # independent: scipy.optimize.curve_fit, on series drawn at random; its own tolerance is 1e-8 of the sum of squares
    rng = np.random.default_rng(seed)
    t = np.sort(rng.uniform(0.0, 16.0, 14))
    true = rng.uniform([0.8, 0.3, 0.05], [3.0, 0.9, 0.2])
    n = np.asarray(density(true[2], true[0], true[1], t)) + rng.normal(0.0, 0.03, t.size)
    start = [1.2, 0.5, 0.1]
    fit = least_squares(lambda p: np.asarray(density(p[2], p[0], p[1], t)) - n, start)
    found, covariance = optimize.curve_fit(
        lambda x, k, r, s: density(s, k, r, x), t, n, p0=start, ftol=1e-14, xtol=1e-14
    )
    # 1e-5: their derivatives are one-sided differences, good to about 1e-7 of the curve
    np.testing.assert_allclose(fit.parameters, found, rtol=1e-5)
    np.testing.assert_allclose(fit.covariance, covariance, rtol=1e-3, atol=1e-12)


def test_known_errors_leave_the_scatter_out() -> None:
    # by hand: y = a, three points of error 1 about 2: variance of the mean 1/3, whatever the scatter
    fit = least_squares(lambda p: np.full(3, p[0]) - np.array([1.0, 2.0, 3.0]), [0.0], known_errors=True)
    assert fit.parameters[0] == pytest.approx(2.0, abs=1e-12)
    assert fit.covariance[0, 0] == pytest.approx(1.0 / 3.0, rel=1e-12)
    assert fit.rss == pytest.approx(2.0, rel=1e-12)


def test_profile_of_a_straight_model_is_the_plain_interval() -> None:
    # by hand: for a model that is linear in its parameters profile and standard error agree exactly
    x, y = np.arange(6.0), np.array([0.3, 1.1, 1.8, 3.3, 3.9, 5.2])
    off = lambda p: p[0] + p[1] * x - y  # noqa: E731
    fit = least_squares(off, [0.0, 0.0], known_errors=True)
    for index in (0, 1):
        low, high = interval_of(off, fit, index, 1.96)
        half = 1.96 * fit.standard_errors[index]
        # the end is searched to 1e-3 of the deviation
        assert low == pytest.approx(fit.parameters[index] - half, abs=2e-3 * half)
        assert high == pytest.approx(fit.parameters[index] + half, abs=2e-3 * half)


def test_an_end_beyond_its_limit_is_open() -> None:
    x, y = np.arange(5.0), np.array([0.1, 0.9, 2.2, 2.8, 4.1])
    off = lambda p: p[0] * x - y  # noqa: E731
    fit = least_squares(off, [1.0], known_errors=True)
    assert interval_of(off, fit, 0, 1.96, limits=(0.9, 1.1)) == (-np.inf, np.inf)


def test_what_is_not_told_is_refused() -> None:
    x = np.arange(4.0)
    with pytest.raises(Undetermined, match="2 points do not tell 3"):
        least_squares(lambda p: p[0] + p[1] * x[:2] + p[2], [0.0, 0.0, 0.0])
    with pytest.raises(Undetermined, match="mix of parameters"):
        least_squares(lambda p: (p[0] + p[1]) * x - x, [0.0, 0.0])
    with pytest.raises(Undetermined, match="does not change"):
        least_squares(lambda p: p[0] * x - x + 0.0 * p[1], [0.0, 0.0])
    with pytest.raises(ValueError, match="outside the model"):
        least_squares(lambda p: p[0] * x + np.nan, [0.0])


@pytest.mark.parametrize("dof", [1, 2, 3, 4, 7, 16, 41])
def test_quantiles_are_those_of_a_reference_library(dof: int) -> None:
    # independent: scipy.stats; 1e-8 is the width of the search, 3 % and 1 % what the docstring allows
    assert student_deviation(0.95, dof) == pytest.approx(stats.t.ppf(0.975, dof), rel=1e-8)
    assert chi_square_quantile(0.95, dof) == pytest.approx(
        stats.chi2.ppf(0.95, dof), rel=0.03 if dof == 1 else 0.01
    )
    assert normal_deviation(0.95) == pytest.approx(stats.norm.ppf(0.975), rel=1e-12)
    with pytest.raises(ValueError, match="0 degrees"):
        student_deviation(0.95, 0)
