"""The forecast band of a ripe day: a reference integrator, simulated jars, and corners by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import integrate, special, stats

from greenrota.culture.data.strain import strains
from greenrota.culture.fit.estimate import START_SPREAD, Estimate, estimate_of_strain, far_from_plan
from greenrota.culture.fit.ripeness import ripeness
from greenrota.culture.growth.logistic import days_to_density

HOME = Estimate(0.48, 0.40, 1.1e6, 0.35)  # of the order of a Tetraselmis jar, spreads as they ship
SHARE = 0.8
CASES = {
    "as it ships": (2e5, HOME, 0.0),
    "a written density": (2e5, HOME, 0.2),
    "after counts": (2e5, HOME._replace(rate_spread=0.15, ceiling_spread=0.15, correlation=-0.6), 0.1),
    "rate hardly known": (5e4, HOME._replace(rate_spread=0.8, ceiling_spread=0.2), 0.2),
    "ceiling hardly known": (2e5, HOME._replace(rate_spread=0.05, ceiling_spread=0.6), 0.0),
    "ceiling nearly exact": (2e5, HOME._replace(ceiling_spread=0.02), 0.0),
    "rate exact": (2e5, HOME._replace(rate_spread=0.0), 0.1),
    "nearly ripe": (8e5, HOME, 0.2),
}


def chance_by(days: float, density_per_ml: float, known: Estimate, density_spread: float) -> float:
    """The chance of being ripe, summed over ln(ceiling / density) by a general-purpose integrator.

    The other order than the program's: for a given ceiling the chance over the rate is the closed form.
    """
    off = math.hypot(known.ceiling_spread, density_spread)
    lean = known.correlation * known.ceiling_spread / off
    rest = known.rate_spread * math.sqrt(1.0 - lean**2)
    middle = math.log(known.ceiling_per_ml / density_per_ml)

    def given(z: float) -> float:
        ratio = math.exp(middle + off * z)
        needed = SHARE / (1.0 - SHARE) * (ratio - 1.0)  # e^(r t) that takes it there
        if needed <= 1.0:
            return math.exp(-0.5 * z * z)
        log_rate = math.log(math.log(needed) / days)
        mean = math.log(known.rate_per_day) + lean * known.rate_spread * z
        late = float(mean >= log_rate) if rest == 0.0 else special.ndtr((mean - log_rate) / rest)
        return math.exp(-0.5 * z * z) * float(late)

    whole = integrate.quad(given, -8.0, 8.0, limit=400, points=[-1.0, 0.0, 1.0])[0]
    return float(whole) / math.sqrt(2.0 * math.pi)


@pytest.mark.parametrize("case", CASES)
def test_the_band_against_an_integrator(case: str) -> None:
    density_per_ml, known, density_spread = CASES[case]
    told = ripeness(density_per_ml, known, SHARE, density_spread)
    for chance, day in ((0.025, told.from_day), (0.975, told.to_day)):
        reached = chance_by(max(day, 1e-6), density_per_ml, known, density_spread)
        if day == 0.0:
            assert reached >= chance
            continue
        # 1e-3 of chance: steps of a tenth of a deviation where the ceiling is nearly exact; far below a day
        assert reached == pytest.approx(chance, abs=1e-3)


@pytest.mark.parametrize("case", CASES)
def test_the_band_holds_the_days_of_simulated_jars(case: str) -> None:
    # by simulation: 4,000 jars with figures of their own, their ripe days solved from the logistic by hand
    density_per_ml, known, density_spread = CASES[case]
    rng = np.random.default_rng(20270201)
    z = rng.standard_normal((3, 4000))
    log_rate = math.log(known.rate_per_day) + known.rate_spread * z[0]
    lean = known.correlation * z[0] + math.sqrt(1.0 - known.correlation**2) * z[1]
    ceiling = known.ceiling_per_ml * np.exp(known.ceiling_spread * lean)
    start = density_per_ml * np.exp(density_spread * z[2])
    room = np.maximum(ceiling / start - 1.0, 1e-12)
    days = np.maximum(0.0, np.log(SHARE / (1.0 - SHARE) * room) / np.exp(log_rate))
    told = ripeness(density_per_ml, known, SHARE, density_spread)
    late, early = int(np.sum(days > told.to_day)), int(np.sum(days < told.from_day))
    low, high = stats.binom.interval(0.999, 4000, 0.025)
    assert low <= late <= high
    assert early <= high
    assert early >= low or told.from_day == 0.0


def test_without_spreads_the_band_is_the_day() -> None:
    exact = HOME._replace(rate_spread=0.0, ceiling_spread=0.0)
    days = days_to_density(2e5, 0.8 * 1.1e6, 1.1e6, 0.48)
    assert ripeness(2e5, exact, SHARE) == pytest.approx((days, days, days), rel=1e-9)
    assert ripeness(2e5, exact, SHARE, lag_days=2.5) == pytest.approx([days + 2.5] * 3, rel=1e-9)


def test_with_the_rate_alone_the_band_is_that_of_the_rate() -> None:
    # by hand: the days go as 1 / rate, so the ends are e^(1.96 x 0.4) either way
    days, low, high = ripeness(2e5, HOME._replace(ceiling_spread=0.0), SHARE)
    assert high / days == pytest.approx(math.exp(1.959964 * 0.4), rel=1e-6)
    assert days / low == pytest.approx(math.exp(1.959964 * 0.4), rel=1e-6)


def test_a_start_that_is_a_share_of_the_ceiling_does_not_feel_its_spread() -> None:
    tracking = ripeness(4.4e5, HOME, SHARE, start_tracks_ceiling=True)
    assert tracking == pytest.approx(ripeness(4.4e5, HOME._replace(ceiling_spread=0.0), SHARE), rel=1e-9)
    # a culture seeded at 40 % of its ceiling is never ripe at once; a poorly known ceiling could make it look so
    assert tracking.from_day > ripeness(4.4e5, HOME, SHARE).from_day


def test_less_spread_is_a_smaller_band() -> None:
    widths = []
    for spread in (0.5, 0.3, 0.1, 0.02):
        told = ripeness(2e5, Estimate(0.48, spread, 1.1e6, spread), SHARE)
        assert told.from_day < told.on_day < told.to_day
        widths.append(told.to_day - told.from_day)
    assert widths == sorted(widths, reverse=True)


def test_what_is_ripe_and_what_never_will_be() -> None:
    sure = HOME._replace(rate_spread=0.1, ceiling_spread=0.02)
    assert ripeness(1.0e6, sure, SHARE, lag_days=3.0) == (0.0, 0.0, 0.0)
    assert ripeness(2e6, HOME, SHARE).on_day == 0.0  # above its ceiling
    never = (math.inf, math.inf, math.inf)
    assert ripeness(0.0, HOME, SHARE) == never
    assert ripeness(1e5, HOME._replace(rate_per_day=0.0), SHARE) == never
    assert ripeness(1e5, HOME._replace(ceiling_per_ml=0.0), SHARE) == never
    assert ripeness(1e5, HOME._replace(rate_per_day=1e-6), SHARE).to_day == math.inf


@pytest.mark.parametrize("share", [0.0, 1.0, -0.1, math.nan])
def test_a_share_out_of_range_is_refused(share: float) -> None:
    with pytest.raises(ValueError, match="share"):
        ripeness(1e5, HOME, share)
    with pytest.raises(ValueError, match="spread"):
        ripeness(1e5, HOME, SHARE, density_spread=-0.1)


def test_a_strain_brings_its_spreads() -> None:
    tetraselmis = strains()["tetraselmis"]
    known = estimate_of_strain(tetraselmis, 0.4, 9e5)
    assert (known.rate_per_day, known.ceiling_per_ml, known.correlation) == (0.4, 9e5, 0.0)
    assert (known.rate_spread, known.ceiling_spread) == (tetraselmis.rate_spread, tetraselmis.ceiling_spread)
    # by hand: 0.4 e^(-1.96 x 0.40) = 0.183 and 0.876; 9e5 / 1.986 and x 1.986
    assert known.rate_range_per_day == pytest.approx((0.1826, 0.8761), rel=1e-3)
    assert known.ceiling_range_per_ml == pytest.approx((4.532e5, 1.7873e6), rel=1e-3)


def test_a_start_far_from_its_plan() -> None:
    # by hand: ends at e^(1.96 sqrt(0.4^2 + 0.3^2)) = e^0.98 = 2.66 times the plan, either way
    assert START_SPREAD == 0.3
    for times in (2.6, 1.0 / 2.6):
        assert not far_from_plan(times * 1e5, 1e5, 0.4)
    for times in (2.7, 1.0 / 2.7):
        assert far_from_plan(times * 1e5, 1e5, 0.4)
    for refused in ((0.0, 1e5, 0.1), (1e5, 0.0, 0.1), (1e5, 1e5, -0.1), (math.nan, 1e5, 0.1)):
        with pytest.raises(ValueError, match="above zero"):
            far_from_plan(*refused)
