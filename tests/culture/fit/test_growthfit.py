"""The growth fit: coverage by simulation, dilutions and feeds, an independent fitter, refusals, the next count."""

import math

import numpy as np
import pytest
from numpy.random import Generator
from scipy import optimize

from greenrota.culture.fit.band import band
from greenrota.culture.fit.course import Event, Reading, Start, Turn, course
from greenrota.culture.fit.growthfit import GrowthFit, fit_growth
from greenrota.culture.fit.nextcount import best_next_count
from greenrota.culture.fit.tally import Noise, expected_score, observed_score
from greenrota.culture.numeric.undetermined import Undetermined

RATE, TOP, FIRST = 0.55, 1.3e6, 1.2e5  # invented, of the order of a Tetraselmis vessel
SQUARES_ML = 4e-4  # four large squares
SERIES = 160  # simulated for the coverage
ONE_BATCH: list[Event] = [
    Start(0.0),
    *(Reading(float(day), 0.0, SQUARES_ML) for day in [0, 1, 2, 4, 5, 7, 9, 11]),
]
TWO_BATCHES: list[Event] = [
    Start(0.0),
    *(Reading(float(day), 0.0, SQUARES_ML) for day in [0, 2, 4, 6, 8]),
    Turn(8.0, 0.2),
    *(Reading(float(day), 0.0, SQUARES_ML) for day in [8, 10, 12, 15]),
]


def counted(shape: list[Event], rng: Generator | None, handling: float, rate: float = RATE) -> list[Event]:
    """The shape with counts: exact ones, or with lognormal handling and Poisson cells."""
    points = iter(course(shape, rate, 1.0 / TOP, [math.log(FIRST)] * 9))
    events: list[Event] = []
    for event in shape:
        if isinstance(event, Reading):
            seen, ml = next(points).density_per_ml, event.looked_at_ml or SQUARES_ML
            if rng is not None:
                seen = rng.poisson(seen * ml * math.exp(handling * rng.standard_normal())) / ml
            event = Reading(event.day, seen, event.looked_at_ml)
        events.append(event)
    return events


@pytest.mark.parametrize(
    ("shape", "handling"), [(ONE_BATCH, 0.0), (TWO_BATCHES, 0.10)], ids=["poisson", "handled"]
)
def test_coverage(shape: list[Event], handling: float) -> None:
    # by simulation: 160 series; the standard error of a coverage of 95 % is then 1.7 %, so the seed is fixed
    rng = np.random.default_rng(20270201)
    held = np.zeros(3)
    for _ in range(SERIES):
        fit = fit_growth(counted(shape, rng, handling), 0.6, 1e6, Noise(handling=handling))
        figures = ((fit.rate, RATE), (fit.ceiling, TOP), (fit.starts[0], FIRST))
        held += [figure.low <= true <= figure.high for figure, true in figures]
    assert np.all((held / SERIES >= 0.93) & (held / SERIES <= 0.97)), held / SERIES


@pytest.mark.parametrize("shape", [ONE_BATCH, TWO_BATCHES], ids=["one batch", "two batches"])
def test_exact_counts_give_the_figures_back(shape: list[Event]) -> None:
    # by construction; 2e-3: the score takes a count as a random one, 1/4 cell apart from its mean, of 48 or more
    fit = fit_growth(counted(shape, None, 0.0), 0.4, 3e6)
    assert fit.rate.value == pytest.approx(RATE, rel=2e-3)
    assert fit.ceiling.value == pytest.approx(TOP, rel=2e-3)
    assert fit.starts[0].value == pytest.approx(FIRST, rel=5e-3)
    assert fit.rate.determined
    assert fit.ceiling.determined
    assert fit.widened == 1.0


@pytest.mark.parametrize("seed", range(6))
def test_an_independent_fitter_agrees(seed: int) -> None:
    # independent: scipy.optimize.curve_fit on ln(density), densities written down without their cells
    rng = np.random.default_rng(seed)
    day = np.array([0.0, 1.0, 2.0, 4.0, 6.0, 8.0, 10.0, 13.0])
    rate, top, first = rng.uniform([0.35, 8e5, 5e4], [0.9, 3e6, 2e5])
    n = first * top / (first + (top - first) * np.exp(-rate * day)) * np.exp(rng.normal(0.0, 0.1, day.size))
    fit = fit_growth([Start(0.0), *map(Reading, day.tolist(), n.tolist())], 0.5, 1e6, Noise(written=0.1))

    def log_logistic(t: np.ndarray, r: float, k: float, s: float) -> np.ndarray:
        return np.asarray(-np.log(np.exp(-k) + (np.exp(-s) - np.exp(-k)) * np.exp(-r * t)))

    start = [0.5, math.log(1e6), math.log(1e5)]
    found, covariance = optimize.curve_fit(
        log_logistic,
        day,
        np.log(n),
        p0=start,
        sigma=np.full(day.size, 0.1),
        absolute_sigma=True,
        ftol=1e-13,
        xtol=1e-13,
    )
    # 1e-5 and 1e-3: the other fitter's derivatives are one-sided differences
    assert fit.rate.value == pytest.approx(found[0], rel=1e-5)
    assert math.log(fit.ceiling.value) == pytest.approx(found[1], rel=1e-5)
    assert fit.rate.standard_error == pytest.approx(fit.widened * covariance[0, 0] ** 0.5, rel=1e-3)
    assert fit.ceiling.standard_error / fit.ceiling.value == pytest.approx(
        fit.widened * covariance[1, 1] ** 0.5, rel=1e-3
    )


def test_the_course_keeps_to_its_derivatives() -> None:
    # derived by hand, held against central differences of the course itself; 1e-6: their truncation
    shape: list[Event] = [Start(0.0), Reading(3.0, 0.0), Turn(4.0, 0.3, 9e5), Reading(9.0, 0.0), Start(10.0)]
    shape += [Turn(12.0, 1.0), Reading(15.0, 0.0)]
    at = np.array([0.5, 8e-7, math.log(1e5), math.log(2e5), 0.4])

    def run(p: np.ndarray) -> list[float]:
        return [point.density_per_ml for point in course(shape, p[0], p[1], p[2:4].tolist(), float(p[4]))]

    points = course(shape, at[0], at[1], at[2:4].tolist(), float(at[4]))
    for index, name in ((0, "by_rate"), (1, "by_crowding"), (4, "by_lag")):
        step = np.zeros(5)
        step[index] = 1e-5 * at[index]
        slope = (np.array(run(at + step)) - np.array(run(at - step))) / (2 * step[index])
        np.testing.assert_allclose([getattr(point, name) for point in points], slope, rtol=1e-6, atol=1e-3)
    assert [point.start for point in points] == [0, 0, 1]
    step = np.array([0.0, 0.0, 1e-5, 0.0, 0.0])
    slope = (np.array(run(at + step)) - np.array(run(at - step))) / 2e-5
    np.testing.assert_allclose([p.by_log_start * (p.start == 0) for p in points], slope, rtol=1e-6, atol=1e-3)


def test_a_feed_inside_the_series_lifts_the_nutrients_ceiling() -> None:
    # by construction: light and air carry 1.3e6, the first dose 8e5, both together more than the bench
    shape: list[Event] = [
        Start(0.0, cap_per_ml=8e5),
        *(Reading(float(d), 0.0, SQUARES_ML) for d in (0, 2, 4, 7, 9)),
    ]
    shape += [Turn(9.0, 1.0, 1.6e6), *(Reading(float(d), 0.0, SQUARES_ML) for d in (11, 14, 18))]
    fit = fit_growth(counted(shape, None, 0.0), 0.4, 3e6)
    assert fit.ceiling.value == pytest.approx(TOP, rel=5e-3)  # as in the exact counts above
    assert fit.rate.value == pytest.approx(RATE, rel=5e-3)
    before = fit_growth(counted(shape[:6], None, 0.0), 0.4, 3e6)
    assert not before.ceiling.determined
    assert before.rate.determined


def test_zeros_and_densities_without_cells_are_counts_too() -> None:
    events = counted(ONE_BATCH, None, 0.0)
    thin = [Start(0.0), Reading(0.0, 0.0, SQUARES_ML), Reading(0.0, 0.0), *events[2:]]
    fit = fit_growth(thin, 0.5, 1e6)
    assert math.isfinite(fit.rss)
    assert fit.starts[0].value < FIRST  # no cell seen twice pulls the start down
    # by hand: on the scale of unit error, no cell in four squares is 2 sqrt(3/8), expected 2 sqrt(1/8 + n)
    noise = Noise(handling=0.0)
    assert observed_score(Reading(0.0, 0.0), noise) == pytest.approx(2 * math.sqrt(0.375), rel=1e-12)
    assert expected_score(1e4, Reading(0.0, 0.0), noise)[0] == pytest.approx(2 * math.sqrt(4.125), rel=1e-12)


def test_counts_that_scatter_too_much_widen_the_intervals() -> None:
    events = counted(ONE_BATCH, None, 0.0)
    shaken = [
        Reading(e.day, e.density_per_ml * (1.5 if i % 2 else 0.6), e.looked_at_ml)
        if isinstance(e, Reading)
        else e
        for i, e in enumerate(events)
    ]
    calm, wild = fit_growth(events, 0.5, 1e6), fit_growth(shaken, 0.5, 1e6)
    assert wild.widened > 1.5
    assert wild.widened == pytest.approx(math.sqrt(wild.rss / wild.dof), rel=1e-12)  # derived by hand
    assert wild.starts[0].high - wild.starts[0].low > 1.5 * (calm.starts[0].high - calm.starts[0].low)


def exponential() -> GrowthFit:
    days = [0.0, 1.0, 2.0, 3.0, 4.0]
    return fit_growth([Start(0.0), *(Reading(d, 2e4 * math.exp(0.5 * d), 1e-3) for d in days)], 0.4, 1e6)


def test_a_ceiling_is_refused_while_all_is_exponential() -> None:
    fit = exponential()
    assert not fit.ceiling.determined
    assert fit.ceiling.high == math.inf
    assert fit.ceiling.low > 0.0
    assert fit.rate.determined
    assert fit.rate.low < 0.5 < fit.rate.high


def test_a_rate_is_refused_on_a_plateau() -> None:
    flat = [
        Start(0.0),
        *(Reading(d, 1e6 * (1.0 + 0.02 * (-1) ** int(d)), 4e-4) for d in (0.0, 2.0, 4.0, 6.0, 9.0)),
    ]
    assert not fit_growth(flat, 0.4, 1e6).rate.determined


def test_a_rise_between_two_counts_has_no_upper_end() -> None:
    jump = [Start(0.0), Reading(0.0, 5e4, 4e-4), *(Reading(d, 1e6, 4e-4) for d in (10.0, 12.0, 14.0))]
    fit = fit_growth(jump, 0.4, 1e6)
    assert not fit.rate.determined
    assert fit.rate.low > 0.2  # ln(20)/10 is 0.3 /day, the least that gets there
    assert fit.rate.high == math.inf
    assert fit.ceiling.determined


def test_a_loss_is_no_rate() -> None:
    # counts that fall from under the ceiling of one dose to a fifth of it after a second one: nothing grew
    events: list[Event] = [
        Start(0.0, 0.0, 6.8e5),
        Turn(2.0, 1.0, 1.27e6),
        Reading(3.0, 9.1e5, 2.5e-4),
        Reading(4.0, 8.0e5),
        Reading(7.0, 1.5e5, SQUARES_ML),
    ]
    fit = fit_growth(events, 0.5, 1.3e6)
    assert fit.rate.value < 0.0
    assert not fit.rate.determined


def test_fewer_counts_than_figures_are_refused() -> None:
    with pytest.raises(Undetermined, match=r"there are 2.* too few for 3"):
        fit_growth([Start(0.0), Reading(0.0, 1e5), Reading(2.0, 2e5)], 0.4, 1e6)
    with pytest.raises(Undetermined):
        fit_growth([Start(0.0), *(Reading(3.0, 1e5) for _ in range(5))], 0.4, 1e6)
    with pytest.raises(Undetermined, match="there are 0"):
        fit_growth([], 0.4, 1e6)


def test_a_start_without_counts_costs_nothing() -> None:
    events = counted(ONE_BATCH, None, 0.0)
    more = [*events, Start(20.0), Turn(25.0, 0.3)]
    assert fit_growth(more, 0.5, 1e6).rate == fit_growth(events, 0.5, 1e6).rate


def test_a_lag_is_fitted_where_counts_show_it() -> None:
    shape: list[Event] = [
        Start(0.0, 1.7),
        *(Reading(d, 0.0, SQUARES_ML) for d in (0.0, 1.0, 2.0, 3.0, 5.0, 7.0, 11.0)),
    ]
    fit = fit_growth(counted(shape, None, 0.0), 0.4, 1e6, fit_lag=True)
    assert fit.lag is not None
    assert fit.lag.value == pytest.approx(1.7, abs=0.02)  # exact counts, as above
    assert fit.lag.low < 1.7 < fit.lag.high
    with pytest.raises(Undetermined, match="during the lag"):
        fit_growth(counted([shape[0], *shape[4:]], None, 0.0), 0.4, 1e6, fit_lag=True)
    none = fit_growth(counted(ONE_BATCH, None, 0.0), 0.4, 1e6, fit_lag=True)
    assert none.lag is not None
    assert none.lag.low == 0.0
    assert len(band(none)) > 40


def test_the_band_holds_the_curve_and_narrows_with_counts() -> None:
    fit = fit_growth(counted(TWO_BATCHES, None, 0.0), 0.4, 1e6)
    points = band(fit, 2)
    assert all(p.low_per_ml < p.density_per_ml < p.high_per_ml for p in points)
    assert points[-1].day == 15.0
    at_dilution = [p.density_per_ml for p in points if p.day == 8.0]
    assert at_dilution[-1] == pytest.approx(0.2 * at_dilution[0], rel=1e-9)  # the share kept


def test_the_next_count_is_the_one_that_does_most() -> None:
    # by hand: rising counts say nothing of the ceiling, so a later day is asked for; a plateau nothing of the rate
    rising: list[Event] = [
        Start(0.0),
        *(Reading(d, 2e4 * math.exp(0.5 * d), 1e-3) for d in (0.0, 1.0, 2.0, 3.0)),
    ]
    asked = best_next_count(rising, 0.5, 1e6)
    assert asked.figure == "ceiling"
    assert not asked.next_batch
    assert asked.day >= 5
    assert asked.relative_error_then < asked.relative_error_now
    flat: list[Event] = [Start(0.0), *(Reading(d, 9.9e5, 4e-4) for d in (0.0, 2.0, 4.0, 6.0))]
    asked = best_next_count(flat, 0.5, 1e6)
    assert asked.figure == "rate"
    assert asked.next_batch
    assert best_next_count(rising, 0.5, 1e6, alive=False).next_batch
    with pytest.raises(ValueError, match="above zero"):
        best_next_count(rising, 0.0, 1e6)


def test_the_promise_of_the_next_count_is_kept() -> None:
    # by construction: with the count that was asked for, at its expected value, the error is what was promised
    events: list[Event] = [Start(0.0), *(Reading(d, 0.0, SQUARES_ML) for d in (0.0, 2.0, 4.0, 6.0))]
    asked = best_next_count(counted(events, None, 0.0), RATE, TOP)
    more = best_next_count(
        counted([*events, Reading(6.0 + asked.day, 0.0, SQUARES_ML)], None, 0.0), RATE, TOP
    )
    assert asked.figure == "ceiling"
    assert not asked.next_batch
    # 5 %: what is asked for next may be another figure, at most as badly known as this one was promised to be
    assert more.relative_error_now <= 1.05 * max(asked.relative_error_then, asked.relative_error_now / 2)


@pytest.mark.parametrize("seed", range(25))
def test_wild_counts_end_in_a_fit_or_a_refusal(seed: int) -> None:
    rng = np.random.default_rng(seed)
    day, events = 0.0, [Start(0.0, 0.5 * (seed % 2))]
    for _ in range(rng.integers(1, 12)):
        day += float(rng.integers(0, 5))
        reading = Reading(
            day, float(rng.choice([0.0, 1.0, 1e5, 4e5, 1e6, 1e12])), rng.choice([None, SQUARES_ML])
        )
        events.append(rng.choice([Turn(day, 0.2), Start(day, 0.0, 1e6), *[reading] * 6]))
    try:
        fit = fit_growth(events, 0.5, 1e6, fit_lag=seed % 3 == 0)
    except Undetermined as refused:
        assert str(refused) != ""
    else:
        assert not fit.rate.determined or fit.rate.value > 0.0
        assert fit.rate.low <= fit.rate.value <= fit.rate.high or not fit.rate.determined
        assert fit.ceiling.low <= fit.ceiling.value <= fit.ceiling.high
        assert all(math.isfinite(point.density_per_ml) for point in band(fit))
    assert best_next_count(events, 0.5, 1e6).relative_error_then > 0.0
