"""Counts that shift an estimate: a grid written out by hand, an independent fitter, simulated counts."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy import optimize, stats

from greenrota.culture.fit.course import Event, Reading, Start, Turn
from greenrota.culture.fit.estimate import START_SPREAD, Estimate
from greenrota.culture.fit.likelihood import ERROR_FACTORS
from greenrota.culture.fit.ripeness import ripeness
from greenrota.culture.fit.tally import WRITTEN, Noise, expected_score, expected_scores
from greenrota.culture.fit.update import Update, updated
from greenrota.culture.growth.logistic import density
from greenrota.culture.numeric.undetermined import Undetermined

HOME = Estimate(0.48, 0.40, 1.1e6, 0.35)  # of the order of a Tetraselmis jar, spreads as they ship
SHARE = 0.8
THREE: list[Event] = [Reading(0.0, 1.0e5), Reading(3.0, 4.2e5), Reading(6.0, 7.6e5)]
SERIES = 100  # simulated; each takes some hundredths of a second


def logistic(start: np.ndarray, ceiling: np.ndarray, rate: np.ndarray, days: float) -> np.ndarray:
    return np.asarray(ceiling / (1.0 + (ceiling / start - 1.0) * np.exp(-rate * days)))


def density_at_the_end(told: Update) -> list[float]:
    """Ends of the 95 % interval of the density at the last event, with the median between them."""
    found = told.grid.density_per_ml
    assert found is not None
    return [float(each) for each in told.grid.quantiles(found, (0.025, 0.5, 0.975))]


def by_hand(planned_per_ml: float, readings: list[Event]) -> tuple[np.ndarray, np.ndarray]:
    """Mean and standard deviation of ln(rate) and ln(ceiling), by one plain sum over 61 x 61 x 141 nodes.

    The start density is the third axis here, not the density at the first count, which lies days after it.
    """
    z = np.linspace(-5.0, 5.0, 61)
    log_rate = (math.log(0.48) + 0.40 * z)[:, None, None]
    log_ceiling = (math.log(1.1e6) + 0.35 * z)[None, :, None]
    log_start = np.linspace(math.log(5e3), math.log(8e5), 141)[None, None, :]
    rate, ceiling, start = np.exp(log_rate), np.exp(log_ceiling), np.exp(log_start)
    prior = np.exp(-0.5 * (z[:, None, None] ** 2 + z[None, :, None] ** 2)) * np.ones_like(start)
    off = log_start - math.log(planned_per_ml)
    prior = prior * (0.95 * stats.norm.pdf(off, 0.0, START_SPREAD) + 0.05 * stats.norm.pdf(off, 0.0, 1.0))
    weight = np.zeros_like(prior)
    for factor in ERROR_FACTORS:
        chance = prior.copy()
        for reading in readings:
            assert isinstance(reading, Reading)
            seen = np.log(logistic(start, ceiling, rate, reading.day))
            chance *= stats.norm.pdf(math.log(reading.density_per_ml), seen, WRITTEN * factor)
        weight += chance
    weight /= weight.sum()
    means = [float((weight * axis).sum()) for axis in (log_rate, log_ceiling)]
    errors = [
        math.sqrt(float((weight * (axis - mean) ** 2).sum()))
        for axis, mean in zip((log_rate, log_ceiling), means, strict=True)
    ]
    return np.array(means), np.array(errors)


def later(events: list[Event], days: float) -> list[Event]:
    return [replace(event, day=event.day + days) for event in events]


def logs(estimate: Estimate) -> list[float]:
    return [math.log(estimate.rate_per_day), math.log(estimate.ceiling_per_ml)]


def spreads(estimate: Estimate) -> list[float]:
    return [estimate.rate_spread, estimate.ceiling_spread]


@pytest.mark.parametrize(
    ("planned_per_ml", "readings"),
    [(5e4, later(THREE, 2.0)), (2e5, [Reading(8.0, 9.5e5)])],
    ids=["three counts", "one near the ceiling"],
)
def test_with_a_planned_start_against_a_sum_by_hand(planned_per_ml: float, readings: list[Event]) -> None:
    means, errors = by_hand(planned_per_ml, readings)
    after = updated(HOME, [Start(0.0, planned_per_ml=planned_per_ml), *readings]).after
    # 0.01 on the log, 3 % of a spread: steps of both sums
    assert logs(after) == pytest.approx(means, abs=0.01)
    assert spreads(after) == pytest.approx(errors, rel=0.03)


def test_without_a_plan_the_density_at_the_first_count_is_left_open() -> None:
    # by hand: the same sum with the first count on the day of the start, where the two densities are one
    z = np.linspace(-5.0, 5.0, 61)
    rate, ceiling = 0.48 * np.exp(0.40 * z)[:, None, None], 1.1e6 * np.exp(0.35 * z)[None, :, None]
    start = np.exp(np.linspace(math.log(1e4), math.log(1e6), 141))[None, None, :]
    weight = np.zeros((61, 61, 141))
    for factor in ERROR_FACTORS:
        chance = np.exp(-0.5 * (z[:, None, None] ** 2 + z[None, :, None] ** 2)) * np.ones_like(start)
        for reading in THREE:
            assert isinstance(reading, Reading)
            seen = np.log(logistic(start, ceiling, rate, reading.day))
            chance = chance * stats.norm.pdf(math.log(reading.density_per_ml), seen, WRITTEN * factor)
        weight += chance
    weight /= weight.sum()
    mean = float((weight * np.log(rate)).sum())
    error = math.sqrt(float((weight * (np.log(rate) - mean) ** 2).sum()))
    after = updated(HOME, [Start(0.0), *THREE]).after
    assert math.log(after.rate_per_day) == pytest.approx(mean, abs=0.01)
    assert after.rate_spread == pytest.approx(error, rel=0.03)


def test_days_before_the_first_count_do_not_matter_without_a_plan() -> None:
    early, at_once = (updated(HOME, [Start(day), *later(THREE, 9.0)]) for day in (0.0, 9.0))
    assert early.after == at_once.after
    assert early.ripeness(SHARE) == at_once.ripeness(SHARE)


def test_many_counts_end_where_an_independent_fitter_does() -> None:
    # independent: scipy.optimize.curve_fit on ln(density); the estimate before is wide, so it hardly pulls
    rng = np.random.default_rng(7)
    day = np.arange(16.0)
    true = (np.array(6e4), np.array(1.3e6), np.array(0.55))
    seen = np.array([float(logistic(*true, t)) for t in day])
    seen = seen * np.exp(rng.normal(0.0, 0.05, day.size))
    found, covariance = optimize.curve_fit(
        lambda t, r, k, s: k + s - np.log(np.exp(s) + (np.exp(k) - np.exp(s)) * np.exp(-r * t)),
        day,
        np.log(seen),
        p0=[0.5, math.log(1e6), math.log(1e5)],
        sigma=np.full(day.size, 0.05),
        absolute_sigma=True,
    )
    wide = Estimate(0.7, 1.0, 2e6, 1.0)
    told = updated(wide, [Start(0.0), *map(Reading, day.tolist(), seen.tolist())], Noise(written=0.05))
    error = np.sqrt(np.diag(covariance))
    # a fifth of a standard error: what the wide estimate and the bend of the logs leave
    assert told.after.rate_per_day == pytest.approx(found[0], abs=0.2 * error[0])
    assert math.log(told.after.ceiling_per_ml) == pytest.approx(found[1], abs=0.2 * error[1])
    # 15 %: the error of a count may also be larger than stated here, which the fitter does not allow
    assert told.after.rate_spread == pytest.approx(error[0] / found[0], rel=0.15)
    assert told.after.ceiling_spread == pytest.approx(error[1], rel=0.15)


def simulated(rng: np.random.Generator, days: list[float]) -> tuple[tuple[float, float, float], list[Event]]:
    """A jar with rate, ceiling and start drawn from HOME and its plan, and counts of it that are 20 % off."""
    rate = HOME.rate_per_day * math.exp(HOME.rate_spread * rng.standard_normal())
    ceiling = HOME.ceiling_per_ml * math.exp(HOME.ceiling_spread * rng.standard_normal())
    start = 1e5 * math.exp(START_SPREAD * rng.standard_normal())
    counts = [
        Reading(t, float(density(start, ceiling, rate, t)) * math.exp(WRITTEN * rng.standard_normal()))
        for t in days
    ]
    return (rate, ceiling, start), [Start(0.0, planned_per_ml=1e5), *counts]


@pytest.mark.parametrize("days", [[0.0, 2.0, 4.0], [0.0, 2.0, 4.0, 6.0, 8.0, 10.0]], ids=["three", "six"])
def test_coverage_on_simulated_counts(days: list[float]) -> None:
    # by simulation, fixed seed: true figures drawn from the estimate; 99.9 % binomial interval of 95 % of the series
    rng = np.random.default_rng(20270201)
    held = np.zeros(4)
    for _ in range(SERIES):
        (rate, ceiling, start), events = simulated(rng, days)
        told = updated(HOME, events)
        now = float(density(start, ceiling, rate, days[-1]))
        room = SHARE / (1.0 - SHARE) * (ceiling - now) / now
        ripe = max(0.0, math.log(room) / rate) if room > 0.0 else 0.0
        when, (low, _, high) = told.ripeness(SHARE), density_at_the_end(told)
        rates, ceilings = told.after.rate_range_per_day, told.after.ceiling_range_per_ml
        held += [
            rates[0] <= rate <= rates[1],
            ceilings[0] <= ceiling <= ceilings[1],
            low <= now <= high,
            when.from_day <= ripe <= when.to_day,
        ]
    least, most = stats.binom.interval(0.999, SERIES, 0.95)
    # the errors may be larger than stated, so the bands hold a little more than they say
    assert np.all(held >= least), held
    assert np.all(held <= max(most, SERIES)), held


def test_after_three_counts_the_band_is_visibly_smaller() -> None:
    # by construction: counts as the middle figures give them; "visibly" taken as a third less
    days = [0.0, 2.0, 4.0]
    counts = [Reading(t, float(density(1e5, 1.1e6, 0.48, t))) for t in days]
    told = updated(HOME, [Start(0.0, planned_per_ml=1e5), *counts])
    now = density_at_the_end(told)[1]
    before, after = ripeness(now, HOME, SHARE, WRITTEN), told.ripeness(SHARE)
    at_start = ripeness(1e5, HOME, SHARE, START_SPREAD)
    assert after.to_day - after.from_day < 0.67 * (at_start.to_day - at_start.from_day)
    assert after.to_day - after.from_day < before.to_day - before.from_day
    assert told.after.rate_spread < 0.67 * HOME.rate_spread
    assert told.counts == 3


def test_each_count_left_out_gives_the_estimate_before_it() -> None:
    events: list[Event] = [Start(0.0, planned_per_ml=1e5), *THREE]
    assert updated(HOME, events).before == HOME
    told = updated(HOME, events[:1])
    assert told.counts == 0
    # without a count what comes out is what went in: the grid's own sums, to 1e-4
    assert logs(told.after) == pytest.approx(logs(HOME), abs=1e-4)
    assert spreads(told.after) == pytest.approx(spreads(HOME), rel=1e-4)
    assert told.after.correlation == pytest.approx(0.0, abs=1e-9)
    leaning = HOME._replace(correlation=-0.6)
    untouched = updated(leaning, events[:1]).after
    assert untouched.correlation == pytest.approx(-0.6, abs=1e-4)
    assert spreads(untouched) == pytest.approx(spreads(leaning), rel=1e-3)
    band = ripeness(1e5, HOME, SHARE, START_SPREAD)
    for ours, theirs in zip(told.ripeness(SHARE), band, strict=True):
        assert ours == pytest.approx(theirs, rel=0.08)  # the doubt about the plan, 5 %, is in one of the two


def test_two_fillings_are_one_after_the_other() -> None:
    # by construction: what the first filling tells is the estimate before the second, the shape of it apart
    first: list[Event] = [Start(0.0), *THREE]
    second: list[Event] = [Start(20.0), *later(THREE, 20.0)]
    both = updated(HOME, first + second).after
    one = updated(updated(HOME, first).after, second).after
    assert logs(both) == pytest.approx(logs(one), abs=0.05)  # a fifth of the spread that is left
    assert spreads(both) == pytest.approx(spreads(one), rel=0.15)


def test_a_reseed_and_a_feed_are_followed() -> None:
    # by construction: exact counts through a re-seed and a dose that lifts the nutrients' ceiling of 5e5
    known = Estimate(0.55, 0.4, 1.0e6, 0.4)
    at_4 = float(density(1e5, 5e5, 0.5, 4.0))
    at_7 = float(density(0.3 * at_4, 5e5, 0.5, 3.0))
    at_9, at_12 = (float(density(at_7, 1.2e6, 0.5, t)) for t in (2.0, 5.0))
    events: list[Event] = [
        Start(0.0, cap_per_ml=5e5),
        Reading(0.0, 1e5),
        Reading(4.0, at_4),
        Turn(4.0, 0.3, 5e5),
        Reading(7.0, at_7),
        Turn(7.0, 1.0),
        Reading(9.0, at_9),
        Reading(12.0, at_12),
    ]
    told = updated(known, events, Noise(written=0.02))
    assert told.after.rate_per_day == pytest.approx(0.5, rel=0.03)
    assert told.after.ceiling_per_ml == pytest.approx(1.2e6, rel=0.05)
    assert density_at_the_end(told)[1] == pytest.approx(at_12, rel=0.02)
    unlifted = updated(known, events[:5], Noise(written=0.02))
    # under the nutrients' ceiling the light's own does not show; the ripe day is that of the nutrients
    assert unlifted.after.ceiling_spread > 0.5 * known.ceiling_spread
    room = SHARE / (1.0 - SHARE) * (5e5 - at_7) / at_7
    assert unlifted.ripeness(SHARE).on_day == pytest.approx(math.log(room) / 0.5, rel=0.1)


def test_a_lag_holds_the_growth_back() -> None:
    # by construction: nothing grows for 3 days, so a count on day 1 is one of the start, with two days still to come
    lagging = updated(HOME, [Start(0.0, 3.0, planned_per_ml=1e5), Reading(1.0, 1e5)])
    growing = updated(HOME, [Start(0.0, planned_per_ml=1e5), Reading(0.0, 1e5)])
    assert lagging.ripeness(SHARE) == pytest.approx([day + 2.0 for day in growing.ripeness(SHARE)], rel=1e-9)


def test_a_start_far_from_its_plan_does_not_carry_the_rate_away() -> None:
    # by construction: planned 7.5e5, counted as a start of 8.7e4 gives; eight times thinner than planned
    counts = [Reading(t, float(density(8.7e4, 1.1e6, 0.48, t))) for t in (1.0, 3.0, 5.0)]
    off, open_start = (
        updated(HOME, [Start(0.0, planned_per_ml=planned), *counts]).after for planned in (7.5e5, None)
    )
    assert off.rate_per_day == pytest.approx(open_start.rate_per_day, rel=0.15)


def test_cells_that_were_counted_and_none_at_all() -> None:
    # 1,000 cells with 2 % of handling are surer than a written density, 5 cells less sure; none in view is a count too
    surer, plain, vaguer = (
        updated(
            HOME, [Start(0.0), Reading(0.0, 1e5, ml), Reading(4.0, 4.5e5, ml)], Noise(handling=0.02)
        ).after
        for ml in (1e-2, None, 5e-5)
    )
    assert surer.rate_spread < plain.rate_spread < vaguer.rate_spread
    thin = updated(HOME, [Start(0.0), Reading(0.0, 0.0), Reading(5.0, 1e5)])
    assert thin.after.rate_per_day > HOME.rate_per_day  # from next to nothing to 1e5 in five days
    # however many cells were counted, no count is surer than 20 % unless the caller says so
    counted: list[Event] = [Start(0.0), Reading(0.0, 1e5, 1.0), Reading(4.0, 4.5e5, 1.0)]
    assert updated(HOME, counted).after == updated(HOME, counted, Noise(handling=0.20)).after
    assert updated(HOME, counted).after.rate_spread > updated(HOME, counted, Noise()).after.rate_spread
    many = np.array([2e4, 3e5, 8e5])
    for reading in (Reading(0.0, 1e5), Reading(0.0, 1e5, 4e-4), Reading(0.0, 0.0)):
        for noise in (Noise(), Noise(handling=0.0)):
            singly = [expected_score(each, reading, noise)[0] for each in many.tolist()]
            assert expected_scores(many, reading, noise) == pytest.approx(singly, rel=1e-12)


def test_a_figure_held_as_it_is_stays() -> None:
    held = updated(HOME._replace(ceiling_spread=0.0), [Start(0.0), *THREE]).after
    assert held.ceiling_per_ml == pytest.approx(1.1e6, rel=1e-12)
    assert held.ceiling_spread == 0.0
    assert held.correlation == 0.0
    assert 0.0 < held.rate_spread < HOME.rate_spread


def test_what_can_not_be_answered_is_refused() -> None:
    with pytest.raises(ValueError, match="no event"):
        updated(HOME, [])
    for nothing in (HOME._replace(rate_per_day=0.0), HOME._replace(ceiling_per_ml=0.0)):
        with pytest.raises(ValueError, match="above zero"):
            updated(nothing, [Start(0.0), *THREE])
    with pytest.raises(ValueError, match="fresh start"):
        updated(HOME, THREE)
    with pytest.raises(ValueError, match="counted or planned"):
        updated(HOME, [Start(0.0), *THREE, Start(9.0)]).ripeness(SHARE)
    told = updated(HOME, [Start(0.0), *THREE])
    with pytest.raises(ValueError, match="share"):
        told.ripeness(1.0)
    starved: list[Event] = [Start(0.0, cap_per_ml=0.0, planned_per_ml=1e5), Reading(3.0, 1e5)]
    for events in (starved, [*starved, Start(9.0), *later(THREE, 9.0)]):
        with pytest.raises(Undetermined, match="missing"):
            updated(HOME, events)
