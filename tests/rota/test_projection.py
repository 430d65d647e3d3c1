"""When a batch is fed, ready, ripe and over-ripe, and which days it may be harvested on: the logistic law by hand."""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, timedelta

import pytest
from made_plans import START, example_plan, example_vessel

from greenrota.culture.data.medium import media
from greenrota.culture.growth.broth import Broth
from greenrota.rota.plan import Away, CyclePlan, Nutrient, Plan, Work
from greenrota.rota.simulate.context import context_for
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.projection import Projection, fed_broth, harvest_days, over_ripe_on, project
from greenrota.rota.simulate.simulation import simulate
from greenrota.rota.simulate.start import start_from_plan
from greenrota.rota.state.bench import Bench, benches
from greenrota.rota.state.cycle import Cycle, cycle_for
from greenrota.rota.state.opendays import OpenDays

DAY = timedelta(days=1)
TOP = 1.1e6  # Tetraselmis in 4 L
EVERY_DAY = frozenset(range(7))
PLAN = example_plan()
NORTH = benches(PLAN)["north"]
RATE = NORTH.rate_per_day
CYCLE = cycle_for(NORTH, CyclePlan(), EVERY_DAY)
FULL = (882.0, 36.0, 106.0, 26.0)  # umol/L of f/2, and psu: the bench is the lowest ceiling
# An f/2 of half the nitrogen builds 441.2 / 0.75 x 1000 = 588,270 cells/mL: under the bench's 1.1e6, a dose pays.
HALF = replace(
    PLAN, nutrients={"f2": Nutrient("f2", replace(media()["f/2"], nitrogen_umol_l=441.2), dose_ml_per_l=0.20)}
)
LEAN = benches(HALF)["north"]
LEAN_TOP = 441.2 / 0.75 * 1000.0


def on(day: int) -> date:
    return START + day * DAY


def days_between(start: float, share: float, top: float = TOP) -> float:
    """By hand: the log of the odds over the rate."""
    return math.log(share / (1.0 - share) / (start / (top - start))) / RATE


def seen(
    broth: Broth,
    bench: Bench = NORTH,
    cycle: Cycle = CYCLE,
    plan: Plan = PLAN,
    fed: bool = False,
    since: int = 0,
) -> Projection:
    """The outlook on day 0 of a batch that was started `since` days before."""
    return project(bench, cycle, broth, on(-since), START, fed, OpenDays(plan))


@pytest.mark.parametrize("start", [2e4, 1e5, 3e5])
def test_the_window_by_hand(start: float) -> None:
    # from 70 % ready, 80 % ripe, on the day after the fraction; over-ripe three whole days after 95 %
    projection = seen(Broth(4.0, start, *FULL))
    assert projection.ready_on == on(math.ceil(days_between(start, 0.70)))
    assert projection.ripe_on == on(math.ceil(days_between(start, 0.80)))
    assert projection.over_on == on(math.floor(days_between(start, 0.95) + 4.0))
    assert (projection.pinned_on, projection.feed_on) == (None, None)
    assert projection.feed_gain == pytest.approx(0.0, abs=1e-12)


@pytest.mark.parametrize(("bench", "plan"), [(NORTH, PLAN), (LEAN, HALF)])
@pytest.mark.parametrize("start", [0.0, 2e4, 3e5, 0.99 * TOP])
def test_the_over_ripe_day_alone_is_that_of_the_window(bench: Bench, plan: Plan, start: float) -> None:
    broth = Broth(4.0, start, 441.2, 36.0, 106.0, 26.0)  # in LEAN a second dose pays
    whole = seen(broth, bench=bench, plan=plan)
    assert over_ripe_on(bench, CYCLE, broth, START, OpenDays(plan)) == whole.over_on


def test_a_culture_ripe_at_midnight_is_ripe_that_day() -> None:
    # by hand: odds of 4 e^(-5 rate) at the start are odds of 4 after five days
    odds = 4.0 * math.exp(-5.0 * RATE)
    assert seen(Broth(4.0, TOP * odds / (1.0 + odds), *FULL)).ripe_on == on(5)


def test_a_culture_that_stood_still_before_is_over_ripe_the_sooner() -> None:
    # by hand: odds of 99 were odds of 19 ln(99 / 19) / rate days ago; that long it has stood, or since its start
    broth = Broth(4.0, 0.99 * TOP, *FULL)
    ago = math.log(99.0 / 19.0) / RATE
    assert ago > 2.0
    assert seen(broth, since=30).over_on == on(math.floor(4.0 - ago))
    assert seen(broth, since=1).over_on == on(3)
    assert seen(broth, since=0).over_on == on(4)
    assert seen(broth, since=30).ripe_on == START
    assert seen(broth, since=30).ready_on == START
    # above its ceiling it falls towards it: nobody knows since when it stands
    assert seen(Broth(4.0, 1.2 * TOP, *FULL), since=30).over_on == on(4)


def test_where_nothing_grows_nothing_ripens() -> None:
    dark = NORTH._replace(photoperiod_factor=0.0)
    projection = seen(Broth(4.0, 1e5, *FULL), bench=dark)
    assert (projection.ready_on, projection.ripe_on, projection.over_on) == (None, None, None)
    assert seen(Broth(4.0, 0.0, *FULL)).ripe_on is None


def test_a_dose_that_pays_is_given_at_half_the_ceiling() -> None:
    # by hand: half of 588,270 is reached after ln(odds) / rate; a whole dose lifts 588,270 to the bench's 1.1e6
    broth = Broth(4.0, 2e4, 441.2, 36.0, 106.0, 26.0)
    projection = seen(broth, bench=LEAN, plan=HALF)
    days = math.log((LEAN_TOP - 2e4) / 2e4) / LEAN.rate_per_day
    assert projection.feed_on == on(math.floor(days))
    assert projection.feed_gain == pytest.approx(1.1e6 / LEAN_TOP - 1.0, rel=1e-9)
    assert seen(broth, bench=LEAN, plan=HALF, fed=True).feed_on is None
    assert seen(broth, bench=LEAN, plan=HALF, fed=True).feed_gain == 0.0
    # the window is that of the culture with its dose
    grown = LEAN.grow(broth, float(math.floor(days)))
    odds = grown.density_per_ml / (TOP - grown.density_per_ml)
    assert projection.ripe_on == on(math.floor(days) + math.ceil(math.log(4.0 / odds) / LEAN.rate_per_day))


def test_a_dose_waits_two_days_after_the_filling() -> None:
    broth = Broth(4.0, 0.6 * LEAN_TOP, 441.2, 36.0, 106.0, 26.0)  # above half already
    assert seen(broth, bench=LEAN, plan=HALF, since=0).feed_on == on(2)
    assert seen(broth, bench=LEAN, plan=HALF, since=1).feed_on == on(1)
    assert seen(broth, bench=LEAN, plan=HALF, since=9).feed_on == on(0)


def test_a_dose_on_its_pinned_day_or_the_two_after() -> None:
    fixed = CYCLE._replace(feed_day=3, feed_dose=0.5)
    broth = Broth(4.0, 2e4, 441.2, 36.0, 106.0, 26.0)
    assert seen(broth, bench=LEAN, cycle=fixed, plan=HALF).feed_on == on(3)
    assert seen(broth, bench=LEAN, cycle=fixed, plan=HALF, since=4).feed_on == on(0)
    assert seen(broth, bench=LEAN, cycle=fixed, plan=HALF, since=5).feed_on == on(0)
    assert seen(broth, bench=LEAN, cycle=fixed, plan=HALF, since=6).feed_on is None
    # by hand: half a dose more, 441.2 x 1.5 / 0.75 = 882,400 cells/mL
    assert seen(broth, bench=LEAN, cycle=fixed, plan=HALF).feed_gain == pytest.approx(0.5, rel=1e-9)
    assert fed_broth(LEAN, fixed, broth).nitrogen_umol_l == pytest.approx(1.5 * 441.2, rel=1e-12)
    away = replace(HALF, away=(Away(on(3), on(4)),))
    assert seen(broth, bench=LEAN, cycle=fixed, plan=away).feed_on == on(5)
    longer = replace(HALF, away=(Away(on(3), on(5)),))
    assert seen(broth, bench=LEAN, cycle=fixed, plan=longer).feed_on is None


def test_a_due_dose_goes_to_the_last_open_day_before() -> None:
    broth = Broth(4.0, 2e4, 441.2, 36.0, 106.0, 26.0)
    due = math.floor(math.log((LEAN_TOP - 2e4) / 2e4) / LEAN.rate_per_day)
    away = replace(HALF, away=(Away(on(due - 1), on(due + 3)),))
    assert seen(broth, bench=LEAN, plan=away).feed_on == on(due - 2)


def test_a_vessel_without_any_food_gains_nothing_by_a_share() -> None:
    silent = seen(Broth(4.0, 1e5, 0.0, 0.0, 0.0, 26.0))
    assert (silent.feed_on, silent.feed_gain, silent.ripe_on) == (None, 0.0, None)


def test_a_pinned_harvest_is_counted_from_the_start() -> None:
    pinned = cycle_for(NORTH, CyclePlan(days=6, inoculum=0.25), EVERY_DAY)
    assert seen(Broth(4.0, 1e5, *FULL), cycle=pinned, since=2).pinned_on == on(4)
    assert (pinned.pinned_days, pinned.keep_share, pinned.days) == (6, 0.25, 6)


# --- the days of a harvest ----------------------------------------------------------------------------------------


def days(projection: Projection, today: int = 0, through: int = 30, plan: Plan = PLAN) -> list[int]:
    return [(day - START).days for day in harvest_days(projection, on(today), on(through), OpenDays(plan))]


AHEAD = Projection(on(5), on(8), on(12), None, None, 0.0)


def test_from_ready_to_the_day_before_over_ripe() -> None:
    assert days(AHEAD) == [5, 6, 7, 8, 9, 10, 11]
    assert days(AHEAD, today=9) == [9, 10, 11]
    assert days(AHEAD, through=9) == [5, 6, 7, 8, 9]
    assert days(AHEAD._replace(ready_on=None)) == [8, 9, 10, 11]
    assert days(AHEAD._replace(over_on=None), through=14) == list(range(5, 15))


def test_what_ripens_after_the_horizon_has_no_day() -> None:
    assert days(AHEAD, through=7) == []
    assert days(AHEAD, through=8) == [5, 6, 7, 8]
    assert days(AHEAD._replace(ripe_on=None)) == []


def test_a_pinned_day_stands_alone_and_a_missed_one_is_today() -> None:
    pinned = AHEAD._replace(pinned_on=on(6))
    assert days(pinned) == [6]
    assert days(pinned, today=9) == [9]
    assert days(pinned, through=5) == []


def test_where_no_day_is_open_the_nearest_on_both_sides_are_weighed() -> None:
    # our choice: up to six days before ripe, and as long after as the horizon goes
    away = replace(PLAN, away=(Away(on(4), on(14)),))
    assert days(AHEAD, plan=away) == [3, 15]
    assert days(AHEAD, today=4, plan=away) == [15]
    assert days(AHEAD, plan=away, through=14) == [3]
    longer = replace(PLAN, away=(Away(on(2), on(14)),))
    assert days(AHEAD, plan=longer) == [15]
    just = replace(PLAN, away=(Away(on(3), on(14)),))
    assert days(AHEAD, plan=just) == [2, 15]


def test_what_is_over_ripe_already_is_harvested_on_the_next_open_day() -> None:
    assert days(AHEAD, today=13) == [13]
    weekend = replace(PLAN, work=Work(weekdays=frozenset({5, 6})))  # day 0 is a Monday
    assert days(AHEAD, today=14, plan=weekend) == [19]
    assert days(AHEAD, plan=weekend) == [5, 6]


def test_a_day_decided_before_holds_for_a_batch_that_is_ripe_only_after_the_horizon_if_it_is_open() -> None:
    ready = START + timedelta(days=6)  # ripe on the day after, as seen below
    for away, taken in (((), ready), ((Away(ready, ready),), None)):
        plan = example_plan(vessels=(example_vessel(),), days=10, away=away)
        context = context_for(plan)._replace(through=ready)
        decided = Decisions({"north/1": ready}, {"north": START})
        choice = simulate(context, start_from_plan(plan), decided).choices[0]
        assert (choice.projection.ready_on, choice.projection.ripe_on) == (ready, ready + timedelta(days=1))
        assert (choice.options, choice.taken) == ((), taken)
