"""Growth against a general-purpose integrator, check values reckoned by algebra, and its laws."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from greenrota.culture.growth.logistic import (
    days_to_density,
    density,
    doubling_time_h,
    sawtooth_peak_share,
    wash_out_share,
)

CEILINGS = st.floats(1e3, 1e9)
SHARES = st.floats(1e-6, 3.0)
RATES = st.floats(0.0, 3.0)
DAYS = st.floats(0.0, 60.0)
LAGS = st.floats(0.0, 6.0)

# Derived by hand from K / (1 + (K/N0 - 1) e^-rt) with K 2e6, N0 1e5, r 0.5; two decimals were written down.
LOGISTIC = [
    (1.0, 159_692.34),
    (2.0, 250_322.00),
    (3.0, 381_717.78),
    (5.0, 781_367.52),
    (7.0, 1_270_849.65),
    (10.0, 1_773_016.65),
    (14.0, 1_965_938.62),
]


@pytest.mark.parametrize(("days", "per_ml"), LOGISTIC)
def test_density_has_the_hand_reckoned_values(days: float, per_ml: float) -> None:
    assert density(1e5, 2e6, 0.5, days) == pytest.approx(per_ml, abs=0.005)


def test_half_the_ceiling_is_passed_at_the_inflexion() -> None:
    # ln(K/N0 - 1)/r, by hand
    assert days_to_density(1e5, 1e6, 2e6, 0.5) == pytest.approx(5.88888, abs=5e-6)


@pytest.mark.parametrize(
    ("rate", "hours"), [(0.2, 83.18), (0.3, 55.45), (0.5, 33.27), (0.7, 23.77), (1.0, 16.64)]
)
def test_doubling_times(rate: float, hours: float) -> None:
    # ln 2 / mu (Barsanti & Gualtieri 2006, eq. 6.6), two decimals
    assert doubling_time_h(rate) == pytest.approx(hours, abs=0.005)
    # and far below the ceiling nothing slows growth
    assert days_to_density(1.0, 2.0, 1e12, rate) * 24.0 == pytest.approx(hours, abs=0.005)


# Derived by hand: (1 - E/(1-f))/(1 - E) with r 0.5, five decimals.
SAWTOOTH = [(0.25, 7 / 3, 0.84926), (0.5, 7 / 3, 0.54777), (0.3, 3.0, 0.87691), (0.5, 2.0, 0.41802)]


@pytest.mark.parametrize(("harvest", "interval", "peak"), SAWTOOTH)
def test_sawtooth_has_the_hand_reckoned_values(harvest: float, interval: float, peak: float) -> None:
    assert sawtooth_peak_share(1.0 - harvest, interval, 0.5) == pytest.approx(peak, abs=5e-6)


@pytest.mark.parametrize(("harvest", "interval", "peak"), SAWTOOTH)
def test_sawtooth_is_where_cropping_over_and_over_ends(harvest: float, interval: float, peak: float) -> None:
    share = 1.0
    for _ in range(400):
        share = density(share * (1.0 - harvest), 1.0, 0.5, interval)
    assert share == pytest.approx(peak, abs=5e-6)


@pytest.mark.parametrize(("harvest", "rate"), [(0.25, 0.1233), (0.50, 0.2971)])
def test_handbook_cadence(harvest: float, rate: float) -> None:
    # FAO 471 (Helm, Bourne & Lovatelli 2004) s. 3.3, seen in a copy: 25-50 % three times a week for months;
    # what it needs is -3 ln(1 - f)/7, by hand. Below it the culture washes out, above it it lives.
    needed = -3.0 * math.log(1.0 - harvest) / 7.0
    assert needed == pytest.approx(rate, abs=5e-5)
    assert sawtooth_peak_share(1.0 - harvest, 7 / 3, needed * 0.999) == 0.0
    assert sawtooth_peak_share(1.0 - harvest, 7 / 3, needed * 1.001) > 0.0


@pytest.mark.parametrize(
    ("rate", "percents"),
    [(0.3, (25.9, 45.1, 59.3)), (0.5, (39.3, 63.2, 77.7)), (1.0, (63.2, 86.5, 95.0))],
)
def test_the_largest_harvest_that_growth_replaces(rate: float, percents: tuple[float, ...]) -> None:
    # 1 - e^(-mu D) for D = 1, 2, 3 days, by hand, one decimal
    for days, percent in enumerate(percents, start=1):
        assert 100.0 * (1.0 - wash_out_share(rate, float(days))) == pytest.approx(percent, abs=0.05)


@given(st.floats(0.01, 1.0), st.floats(0.5, 60.0), st.floats(1e-300, 3.0))
def test_sawtooth_is_a_share_and_washes_out_below_its_threshold(
    keep: float, interval: float, rate: float
) -> None:
    peak = sawtooth_peak_share(keep, interval, rate)
    assert 0.0 <= peak <= 1.0
    assert (peak == 0.0) == (keep <= wash_out_share(rate, interval))


def test_sawtooth_refuses_what_it_does_not_hold_for() -> None:
    for keep, interval, rate in ((0.0, 1.0, 1.0), (1.1, 1.0, 1.0), (0.5, 0.0, 1.0), (0.5, 1.0, 0.0)):
        with pytest.raises(ValueError, match=r"."):
            sawtooth_peak_share(keep, interval, rate)


@given(CEILINGS, SHARES, RATES, DAYS, LAGS)
def test_density_stays_between_start_and_ceiling(
    ceiling: float, share: float, rate: float, days: float, lag: float
) -> None:
    start = share * ceiling
    grown = density(start, ceiling, rate, days, lag)
    slack = 1e-12 * max(start, ceiling)  # rounding of three products
    assert min(start, ceiling) - slack <= grown <= max(start, ceiling) + slack
    if days <= lag:
        assert grown == pytest.approx(start, rel=1e-12)


@given(CEILINGS, st.floats(1e-6, 0.999), RATES, st.floats(0.0, 20.0), st.floats(0.0, 20.0), LAGS)
def test_growing_on_equals_growing_at_once(
    ceiling: float, share: float, rate: float, a: float, b: float, lag: float
) -> None:
    part = density(share * ceiling, ceiling, rate, a, lag)
    whole = density(share * ceiling, ceiling, rate, a + b, lag)
    # rel: a cancellation of K - N near the ceiling loses digits of the odds, not of the density
    assert density(part, ceiling, rate, b, max(0.0, lag - a)) == pytest.approx(whole, rel=1e-9)


@given(CEILINGS, st.floats(1e-4, 0.9), st.floats(0.0, 1.0), st.floats(0.01, 3.0), LAGS)
def test_days_to_density_undoes_density(
    ceiling: float, share: float, way: float, rate: float, lag: float
) -> None:
    start = share * ceiling
    goal = start + way * (0.99 * ceiling - start)
    days = days_to_density(start, goal, ceiling, rate, lag)
    assert density(start, ceiling, rate, days, lag) == pytest.approx(goal, rel=1e-9)
    assert days == 0.0 if goal == start else days > lag - 1e-9


def test_a_start_as_thin_as_a_float_can_be_takes_for_ever() -> None:
    assert days_to_density(5e-324, 1e6, 2e6, 0.5) == math.inf


@pytest.mark.parametrize(
    ("start", "goal", "ceiling", "rate"),
    [(0.0, 1.0, 2.0, 1.0), (1.0, 2.0, 2.0, 1.0), (1.5, 1.0, 2.0, 1.0), (1.0, 1.5, 2.0, 0.0)],
)
def test_days_to_density_refuses_goals_out_of_reach(
    start: float, goal: float, ceiling: float, rate: float
) -> None:
    with pytest.raises(ValueError, match=r"goal|rate"):
        days_to_density(start, goal, ceiling, rate)


@pytest.mark.parametrize("days", [0.0, 1.0, 2000.0, 1e6])
def test_nothing_comes_of_nothing(days: float) -> None:
    # exp underflows after some 745 growing days at 1 a day: an empty vessel must not divide by zero then
    assert density(0.0, 1e6, 1.0, days) == 0.0
    assert density(0.0, 0.0, 1.0, days) == 0.0
    assert density(1e5, 1e6, 1.0, days + 50.0) <= 1e6


def test_without_any_nutrient_there_is_no_growth() -> None:
    assert density(5e4, 0.0, 0.5, 3.0, lag_days=4.0) == 5e4
    assert density(5e4, 0.0, 0.5, 3.0) == 0.0


@settings(max_examples=25)
@given(
    CEILINGS,
    st.floats(1e-4, 2.0),
    st.floats(0.01, 2.0),
    LAGS,
    st.lists(
        st.tuples(
            st.floats(0.1, 6.0), st.sampled_from(("dose", "draw and top up", "mix")), st.floats(0.1, 0.9)
        ),
        max_size=6,
    ),
)
def test_random_events_against_an_integrator(
    ceiling: float, share: float, rate: float, lag: float, events: list[tuple[float, str, float]]
) -> None:
    # independent route: scipy's DOP853 on dX/dt = mu X (1 - X/K) in ln X, a stretch at a time
    ours = theirs = share * ceiling
    for days, event, size in events:
        ours = density(ours, ceiling, rate, days, lag)
        theirs = _integrated(theirs, ceiling, rate, days, lag)
        lag = max(0.0, lag - days)
        if event == "dose":
            ceiling *= 1.0 + size
        elif event == "draw and top up":
            ours, theirs = ours * size, theirs * size
        else:
            other = 0.5 * ceiling
            ours, theirs = ours * size + other * (1.0 - size), theirs * size + other * (1.0 - size)
    assert ours == pytest.approx(theirs, rel=1e-7)  # the integrator's tolerance is 1e-10 a stretch


def _integrated(start: float, ceiling: float, rate: float, days: float, lag: float) -> float:
    interval = max(0.0, days - lag)
    if interval == 0.0:
        return start
    solved = solve_ivp(
        lambda _, y: rate * (1.0 - np.exp(y) / ceiling),
        (0.0, interval),
        [math.log(start)],
        method="DOP853",
        rtol=1e-10,
        atol=1e-10,
    )
    return float(np.exp(solved.y[0, -1]))


def test_arrays_give_what_scalars_give() -> None:
    starts = np.array([0.0, 1e4, 1e5, 3e6])[:, None]
    days = np.array([0.0, 1.0, 4.5, 30.0, 2000.0])
    grid = density(starts, np.float64(2e6), 0.5, days, 2.0)
    assert grid.shape == (4, 5)
    for i, start in enumerate(starts[:, 0]):
        for j, day in enumerate(days):
            assert grid[i, j] == pytest.approx(density(float(start), 2e6, 0.5, float(day), 2.0), rel=1e-12)
    rates = np.array([0.2, 0.5])
    assert doubling_time_h(rates).tolist() == pytest.approx([doubling_time_h(0.2), doubling_time_h(0.5)])
    assert wash_out_share(rates, 2.0).tolist() == pytest.approx([wash_out_share(r, 2.0) for r in (0.2, 0.5)])
