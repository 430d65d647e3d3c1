"""How much is kept back at a harvest and how many days lie between harvests: by hand."""

from __future__ import annotations

import math

import pytest
from made_plans import example_plan

from greenrota.rota.plan import CyclePlan
from greenrota.rota.state.bench import benches
from greenrota.rota.state.cycle import cycle_for, mean_gap_days

EVERY_DAY = frozenset(range(7))
PLAN = example_plan()
NORTH = benches(PLAN)["north"]
RATE = NORTH.rate_per_day
CYCLE = cycle_for(NORTH, CyclePlan(), EVERY_DAY)


def test_mean_gaps_by_hand() -> None:
    # by hand: weekends only, at least 3 days: Saturday to Saturday (5 days to next Saturday are 7), Sunday to Saturday
    assert mean_gap_days(3, frozenset({5, 6})) == pytest.approx((7 + 6) / 2)
    assert mean_gap_days(3, EVERY_DAY) == 3.0
    assert mean_gap_days(8, frozenset({0})) == 14.0
    assert mean_gap_days(7, frozenset({0})) == 7.0


def test_a_cycle_is_the_longest_that_gives_nearly_the_most() -> None:
    # independent route: every carry-over and interval, by the saw-tooth formula itself
    options = []
    for gap in range(2, 29):
        decay = math.exp(-RATE * gap)
        for percent in range(15, 65, 5):
            keep = percent / 100
            peak = (1.0 - decay / keep) / (1.0 - decay) if decay < keep else 0.0
            if peak >= 0.80:
                options.append((gap, (1.0 - keep) * peak / gap, keep, peak))
    most = max(option[1] for option in options)
    gap, _, keep, peak = max(option for option in options if option[1] >= 0.95 * most)
    assert (CYCLE.days, CYCLE.keep_share) == (gap, keep)
    assert CYCLE.peak_share == pytest.approx(peak, rel=1e-12)
    assert (CYCLE.pinned_days, CYCLE.feed_day, CYCLE.feed_dose, CYCLE.renew_after) == (None, None, 1.0, 8)
    wanted = cycle_for(NORTH, CyclePlan(feed_day=4, feed_dose=0.5, renew_after=3), EVERY_DAY)
    assert (wanted.feed_day, wanted.feed_dose, wanted.renew_after) == (4, 0.5, 3)


def test_what_never_ripens_is_worked_at_its_best_and_what_washes_out_says_how_much_must_stay() -> None:
    slow = NORTH._replace(photoperiod_factor=0.08 * NORTH.photoperiod_factor)
    best = cycle_for(slow, CyclePlan(), EVERY_DAY)
    # by hand: the longest interval and the largest carry-over come nearest to the ceiling
    assert (best.days, best.keep_share) == (28, 0.6)
    assert 0.0 < best.peak_share < 0.8
    decay = math.exp(-28.0 * slow.rate_per_day)
    assert best.peak_share == pytest.approx((1.0 - decay / 0.6) / (1.0 - decay), rel=1e-12)
    washed = cycle_for(NORTH, CyclePlan(days=2, inoculum=0.05), EVERY_DAY)
    assert washed.peak_share == 0.0
    assert washed.why == f"washes out: more than {math.exp(-2.0 * RATE):.0%} would have to stay"
    dark = cycle_for(NORTH._replace(photoperiod_factor=0.0), CyclePlan(), EVERY_DAY)
    assert dark.peak_share == 0.0
