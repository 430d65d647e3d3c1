"""The figures beside a fit: errors, bands, lags and the next count, each against an independent reckoning."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from statistics import median

import numpy as np
import pytest

from greenrota.culture.fit.band import band
from greenrota.culture.fit.course import Event, Reading, Start, Turn, course
from greenrota.culture.fit.growthfit import curve_error, fit_growth
from greenrota.culture.fit.growthmodel import Model
from greenrota.culture.fit.nextcount import DAYS_AHEAD, best_next_count
from greenrota.culture.fit.tally import Noise, expected_score, observed_score
from greenrota.culture.growth.logistic import density

RATE, TOP, FIRST = 0.55, 1.3e6, 1.2e5  # invented, of the order of a Tetraselmis vessel
SQUARES_ML = 4e-4  # four large squares
DAYS = (0.0, 1.0, 2.0, 4.0, 5.0, 7.0, 9.0, 11.0)


def exact(
    shape: Sequence[Event], logs: Sequence[float] = (math.log(FIRST),), lag: float | None = None
) -> list[Event]:
    """The shape with the counts that rate, ceiling and start density give."""
    points = iter(course(shape, RATE, 1.0 / TOP, logs, lag))
    return [
        Reading(e.day, next(points).density_per_ml, e.looked_at_ml) if isinstance(e, Reading) else e
        for e in shape
    ]


ONE_BATCH: list[Event] = [Start(0.0), *(Reading(day, 0.0, SQUARES_ML) for day in DAYS)]
TWO_FILLINGS: list[Event] = [
    *ONE_BATCH,
    Start(20.0, 0.5),
    *(Reading(20.0 + day, 0.0, SQUARES_ML) for day in DAYS),
]
LOGS = (math.log(FIRST), math.log(3e5))


def test_the_score_is_as_printed_and_its_slope_is_its_derivative() -> None:
    # by hand: 2 sqrt(n + 3/8) without handling; with it 2/h asinh(h sqrt(n + 3/8)), asinh x = ln(x + sqrt(x^2 + 1))
    reading = Reading(0.0, 250_000.0, SQUARES_ML)
    assert observed_score(reading, Noise(handling=0.0)) == pytest.approx(2.0 * math.sqrt(100.375), rel=1e-12)
    inside = 0.1 * math.sqrt(100.375)
    by_hand = 20.0 * math.log(inside + math.sqrt(inside**2 + 1.0))
    assert observed_score(reading, Noise(handling=0.1)) == pytest.approx(by_hand, rel=1e-12)
    for noise in (Noise(handling=0.1), Noise(handling=0.3), Noise(handling=0.0)):
        for counted in (reading, Reading(0.0, 250_000.0)):
            slope = expected_score(2e5, counted, noise)[1]
            up, down = (expected_score(2e5 + step, counted, noise)[0] for step in (1.0, -1.0))
            assert slope == pytest.approx((up - down) / 2.0, rel=1e-6)  # second order of a step of 5e-6
    assert all(math.isnan(figure) for figure in expected_score(0.0, reading, Noise()))
    assert math.isfinite(expected_score(0.5, reading, Noise())[0])


def test_errors_of_a_curve_by_hand() -> None:
    # by hand: 1^2 x 0.04 + 2^2 x 0.01 = 0.08; no slopes, no error
    slopes, covariance = np.array([[1.0, 2.0], [0.0, 0.0]]), np.array([[0.04, 0.0], [0.0, 0.01]])
    assert curve_error(slopes, covariance) == pytest.approx([math.sqrt(0.08), 0.0], rel=1e-12)


@pytest.mark.parametrize("lag", [None, 0.3])
def test_slopes_of_two_fillings_are_derivatives(lag: float | None) -> None:
    model = Model(exact(TWO_FILLINGS, LOGS), Noise(), fit_lag=lag is not None)
    theta = np.array([RATE, model.scale / TOP, *([] if lag is None else [lag]), *LOGS])
    densities, slopes = model.densities(theta)
    for index in range(model.size):
        step = np.zeros(model.size)
        step[index] = 1e-6
        by_steps = (model.densities(theta + step)[0] - model.densities(theta - step)[0]) / 2e-6
        # rounding of 1e-16 x 1e6 over a step of 1e-6 leaves 1e-4 of a cell; one cell is far below any count
        assert slopes[:, index] == pytest.approx(by_steps, rel=1e-5, abs=1.0)
    assert densities[len(DAYS)] == pytest.approx(3e5, rel=1e-12)


def test_a_long_lag_runs_down_over_many_counts() -> None:
    # by hand: nothing grows up to 3.5 days, then 1.5 days to day 5, whatever was counted on the way
    shape: list[Event] = [Start(0.0, 3.5), *(Reading(day, 0.0) for day in (1.0, 2.0, 3.0, 5.0))]
    seen = [point.density_per_ml for point in course(shape, RATE, 1.0 / TOP, [math.log(FIRST)])]
    assert seen[:3] == pytest.approx([FIRST] * 3, rel=1e-12)
    assert seen[3] == pytest.approx(density(FIRST, TOP, RATE, 1.5), rel=1e-12)


def test_nutrients_of_a_filling_cap_it() -> None:
    # by hand: without any crowding of its own a culture ends at what its nutrients build
    shape: list[Event] = [
        Start(0.0, cap_per_ml=2e5),
        Reading(60.0, 0.0),
        Turn(60.0, 1.0, 4e5),
        Reading(120.0, 0.0),
    ]
    seen = [point.density_per_ml for point in course(shape, RATE, 0.0, [math.log(FIRST)])]
    assert seen == pytest.approx([2e5, 4e5], rel=1e-9)  # e^(-0.55 x 60) is 5e-15


def test_no_lag_still_tells_what_a_lag_would_do() -> None:
    # by construction: the derivative at no lag is that from the side of a lag, in every filling
    shape: list[Event] = [Start(0.0), Reading(3.0, 0.0), Start(10.0), Reading(13.0, 0.0), Reading(14.0, 0.0)]
    here = course(shape, RATE, 1.0 / TOP, LOGS, 0.0)
    there = course(shape, RATE, 1.0 / TOP, LOGS, 1e-6)
    for point, later in zip(here[:2], there[:2], strict=True):
        assert point.by_lag == pytest.approx((later.density_per_ml - point.density_per_ml) / 1e-6, rel=1e-4)


@pytest.mark.parametrize("scatter", [0.0, 0.3], ids=["exact", "scattered"])
def test_the_count_on_the_day_of_the_start_knows_the_start(scatter: float) -> None:
    # by construction: on day 0 the curve is the start density, so both have one relative error and one band
    signs = np.array([1.0, -1.0, 1.0, -1.0, -1.0, 1.0, -1.0, 1.0])
    events: list[Event] = [
        Start(0.0),
        *(
            Reading(e.day, e.density_per_ml * math.exp(scatter * sign), SQUARES_ML)
            for e, sign in zip(exact(ONE_BATCH)[1:], signs, strict=True)
            if isinstance(e, Reading)
        ),
    ]
    fit = fit_growth(events, 0.5, 1e6)
    assert (fit.widened > 1.0) == (scatter > 0.0)
    start, (first, error) = fit.starts[0], fit.fitted[0]
    assert first == pytest.approx(start.value, rel=1e-12)
    assert error == pytest.approx(start.standard_error / start.value, rel=1e-9)
    assert math.sqrt(fit.covariance[0, 0]) == pytest.approx(fit.rate.standard_error, rel=1e-9)
    begun = band(fit)[0]
    assert math.log(begun.high_per_ml / begun.density_per_ml) == pytest.approx(1.959964 * error, rel=1e-6)
    assert begun.low_per_ml * begun.high_per_ml == pytest.approx(begun.density_per_ml**2, rel=1e-12)
    if not scatter:
        assert fit.ceiling.low < fit.ceiling.value < fit.ceiling.high < math.inf
        seen = [e.density_per_ml for e in events if isinstance(e, Reading)]
        assert [value for value, _ in fit.fitted] == pytest.approx(
            seen, rel=0.01
        )  # a quarter of a cell in 48


def test_one_count_too_many_can_already_widen() -> None:
    # by construction: four counts, three figures, one to spare; a fall to a fifth is no growth with 10 % of error
    events: list[Event] = [
        Start(0.0),
        *(Reading(d, n, 1e-2) for d, n in ((0, 1e5), (2, 3e5), (4, 2e5), (8, 1e6))),
    ]
    fit = fit_growth(events, 0.5, 1e6)
    assert fit.dof == 1
    assert fit.widened > 1.0


def test_growth_ahead_of_the_start_is_a_lag_of_nothing() -> None:
    # by construction: counts of a culture a day ahead of its start; the other figures are those of a fit without lag
    seen = exact(ONE_BATCH, lag=-1.0)
    for events in (seen, [Start(0.0, 2.0), *seen[1:]]):
        fit = fit_growth(events, 0.5, 1e6, Noise(handling=0.05), fit_lag=True)
        plain = fit_growth(seen, 0.5, 1e6, Noise(handling=0.05))
        assert fit.lag is not None
        assert (fit.lag.value, fit.lag.low) == (0.0, 0.0)
        assert (fit.rate, fit.ceiling, fit.starts) == (plain.rate, plain.ceiling, plain.starts)


def test_crowding_that_the_nutrients_hide_gets_the_error_of_a_guess() -> None:
    # our choice: 1 for the crowding, in units of one over the densest count, and nothing shared with the others
    shape: list[Event] = [
        Start(0.0, cap_per_ml=2e5),
        *(Reading(d, 0.0, SQUARES_ML) for d in (0.0, 1.0, 2.0, 4.0, 8.0)),
    ]
    points = iter(course(shape, RATE, 0.0, [math.log(2e4)]))
    events = [replace_count(e, next(points).density_per_ml) if isinstance(e, Reading) else e for e in shape]
    fit = fit_growth(events, 0.5, 1e7)
    assert not fit.ceiling.determined
    assert fit.rate.value == pytest.approx(RATE, rel=0.05)  # a quarter of a cell in the first 8
    assert fit.covariance[1].tolist() == [0.0, 1.0, 0.0]
    assert fit.covariance[:, 1].tolist() == [0.0, 1.0, 0.0]


def replace_count(reading: Reading, density_per_ml: float) -> Reading:
    return Reading(reading.day, density_per_ml, reading.looked_at_ml)


def test_without_a_ceiling_its_error_is_open() -> None:
    events: list[Event] = [
        Start(0.0),
        *(Reading(d, 2e4 * math.exp(0.5 * d), 1e-3) for d in (0.0, 1.0, 2.0, 3.0)),
    ]
    ceiling = fit_growth(events, 0.5, 1e6).ceiling
    assert (ceiling.value, ceiling.standard_error, ceiling.high, ceiling.determined) == (
        math.inf,
        math.inf,
        math.inf,
        False,
    )
    assert (
        4.5e4 < ceiling.low < math.inf
    )  # the last count was 2e4 e^1.5 = 9e4; half of it would show as a bend


def test_the_band_is_drawn_on_its_own_grid() -> None:
    # by hand: half days of 0..8 and 8..15 with both sides of the re-seed on day 8 and the last day once
    shape: list[Event] = [
        Start(0.0),
        *(Reading(d, 0.0, SQUARES_ML) for d in (0.0, 2.0, 4.0, 6.0, 8.0)),
        Turn(8.0, 0.2),
        *(Reading(d, 0.0, SQUARES_ML) for d in (8.0, 10.0, 12.0, 15.0)),
    ]
    fit = fit_growth(exact(shape), 0.4, 1e6)
    points = band(fit, 2)
    assert [point.day for point in points] == [n / 2 for n in range(17)] + [n / 2 for n in range(16, 31)]
    before = [density(FIRST, TOP, RATE, n / 2) for n in range(17)]
    after = [density(0.2 * before[-1], TOP, RATE, n / 2) for n in range(15)]
    assert [point.density_per_ml for point in points] == pytest.approx(before + after, rel=0.01)  # as above
    assert all(one.day <= two.day for one, two in pairwise(points))


def information(events: Sequence[Event], start: float, rate: float, top: float, noise: Noise) -> np.ndarray:
    """By numbers alone: slopes of every score by the logs of rate, ceiling and start, squared and summed."""

    def scores(logs: np.ndarray) -> np.ndarray:
        at, day, per_day, most = math.exp(logs[2]), 0.0, math.exp(logs[0]), math.exp(logs[1])
        seen = []
        for event in events:
            at, day = density(at, most, per_day, event.day - day), event.day
            if isinstance(event, Turn):
                at *= event.share
            elif isinstance(event, Reading):
                seen.append(expected_score(at, event, noise)[0])
        return np.array(seen)

    logs = np.log([rate, top, start])
    slopes = np.array([(scores(logs + step) - scores(logs - step)) / 2e-5 for step in np.eye(3) * 1e-5]).T
    return slopes.T @ slopes


def errors(told: np.ndarray) -> np.ndarray:
    return np.sqrt(np.diag(np.linalg.inv(np.eye(3) + told)))[:2]


RISING: list[Event] = [Start(0.0), *(Reading(d, 0.0, SQUARES_ML) for d in (1.0, 2.0, 4.0))]
RESEEDED: list[Event] = [
    *RISING,
    Turn(4.0, 0.3),
    Reading(5.0, 0.0, 8e-4),
    Turn(5.0, 1.0),
    Reading(6.0, 0.0, SQUARES_ML),
]
FULL: list[Event] = [Start(0.0), *(Reading(d, 0.0, SQUARES_ML) for d in (9.0, 10.0, 12.0))]


@pytest.mark.parametrize("first_day", [0, 3])
@pytest.mark.parametrize("shape", [RISING, RESEEDED, FULL], ids=["rising", "re-seeded", "full"])
def test_the_next_count_against_every_count_there_could_be(shape: list[Event], first_day: int) -> None:
    # independent route: the information of every possible count by differences; the first with 90 % of the best gain
    noise, last = Noise(handling=0.2), shape[-1].day
    events = exact(shape)
    known = information(events, FIRST, RATE, TOP, noise)
    worst = int(np.argmax(errors(known)))
    now = errors(known)[worst]
    share = median([e.share for e in shape if isinstance(e, Turn) and e.share < 1.0] or [0.2])
    ml = median([e.looked_at_ml or 0.0 for e in shape if isinstance(e, Reading)])
    tries = [
        (again, day) for again in (False, True) for day in range(0 if again else first_day, DAYS_AHEAD + 1)
    ]
    then = [
        errors(information([*events, *([Turn(last, share)] if again else []), Reading(last + day, TOP, ml)],
                           FIRST, RATE, TOP, noise))[worst]
        for again, day in tries
    ]  # fmt: skip
    gains = [now**2 - error**2 for error in then]
    best = next(i for i, gain in enumerate(gains) if gain >= 0.9 * max(gains))
    asked = best_next_count(events, RATE, TOP, noise, first_day=first_day)
    assert (asked.next_batch, asked.day) == tries[best]
    assert asked.figure == ("rate", "ceiling")[worst]
    # 1/8 against 3/8 of a cell in the first count moves the start a little; steps of 1e-5 do less
    assert asked.relative_error_now == pytest.approx(now, rel=1e-3)
    assert asked.relative_error_then == pytest.approx(then[best], rel=1e-3)


def test_before_any_count_the_guess_is_good_to_a_factor_of_e() -> None:
    # our choice: an error of 1 on the log of each figure; the rate goes first where both are known as little
    asked = best_next_count([], RATE, TOP)
    assert (asked.figure, asked.relative_error_now) == ("rate", 1.0)
    assert asked.relative_error_then < 1.0


def test_a_first_count_years_after_the_start_asks_for_no_figure_below_all_floats() -> None:
    asked = best_next_count([Start(0.0), Reading(3650.0, 1e5)], RATE, TOP)
    assert math.isfinite(asked.relative_error_now)
    assert asked.relative_error_then <= asked.relative_error_now
