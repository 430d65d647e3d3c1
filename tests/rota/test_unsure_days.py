"""Harvest days that hold where growth is slow or fast: the term of the score against draws of what may be true."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from datetime import timedelta
from functools import cache

import numpy as np
import pytest
from every_rota import home_plan
from made_plans import START, example_plan

from greenrota.culture.growth.broth import Broth
from greenrota.logbook.book import culture, read_book
from greenrota.rota.answers.ripeness import vessel_ripeness
from greenrota.rota.plan import Plan
from greenrota.rota.replay.replay import Moment, replays
from greenrota.rota.replay.spreads import replays_with_spreads
from greenrota.rota.schedule import schedule
from greenrota.rota.search import score
from greenrota.rota.search.score import WEIGHTS, Scorer
from greenrota.rota.search.search import SearchResult, search
from greenrota.rota.simulate.context import context_for
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.events import HarvestChoice
from greenrota.rota.simulate.projection import Projection, project
from greenrota.rota.simulate.simulation import Simulation
from greenrota.rota.simulate.start import start_from_plan
from greenrota.rota.state.bench import benches
from greenrota.rota.state.opendays import OpenDays
from greenrota.rota.state.state import Batch

PLAN = example_plan()
NORTH = benches(PLAN)["north"]
BATCH = Batch("north/1", "north", "tetraselmis", 1, "starter:bought", START, 0)
START_SPREAD = 0.3  # of ln(start density), as the model page says
LATE_QUARTER, EARLY_QUARTER = 0.75, 0.25
COUNTS = (
    "2027-02-03 started north from=starter:bought inoculum=187.5mL n=1\n"
    "2027-02-05 counted north density=1.6e5/mL cells=64 squares=4 n=2\n"
    "2027-02-07 counted north density=3.0e5/mL cells=120 squares=4 n=3\n"
    "2027-02-09 counted north density=5.1e5/mL cells=204 squares=4 n=4\n"
)


def unsure(projection: Projection, taken: int, rate_spreads: Mapping[str, float] | None = None) -> float:
    """The term of one harvest, so many days after the start."""
    start_state = start_from_plan(PLAN)._replace(rate_spreads=rate_spreads or {})
    choice = HarvestChoice(BATCH, projection, (), START + timedelta(days=taken))
    through = START + timedelta(days=30)
    simulated = Simulation(START, through, (), (), (choice,), start_state.state, (), {})
    return Scorer(context_for(PLAN), start_state, Decisions()).score(simulated).amounts["unsure"]


def test_a_vessel_without_light_breaks_no_reckoning() -> None:
    """By hand: three quarters of a normal distribution lie below 0.6745 standard deviations; nothing of the start."""
    dark = replace(PLAN, vessels=(replace(PLAN.vessels[0], photoperiod_h=0.0), *PLAN.vessels[1:]))
    name, spread = dark.vessels[0].name, PLAN.strains["tetraselmis"].rate_spread
    assert benches(dark)[name].rate_per_day == 0.0
    scorer = Scorer(context_for(dark), start_from_plan(dark), Decisions())
    assert scorer.quarter_days(name, 2.0) == pytest.approx(0.6745 * 2.0 * spread, rel=1e-4)


def test_the_slow_and_the_fast_quarter_are_those_of_drawn_cultures() -> None:
    """Ripe days of 40,000 cultures whose rate and start density are drawn, by the logistic law solved for time."""
    dice, broth = np.random.default_rng(1), Broth(4.0, 1.2e5, 882.0, 36.0, 106.0, 26.0)
    cycle = context_for(PLAN).cycles["north"]
    known = project(NORTH, cycle, broth, START, START, True, OpenDays(PLAN))
    assert known.ripe_on is not None and known.over_on is not None
    top = NORTH.ceiling(broth).per_ml
    rates = NORTH.rate_per_day * np.exp(NORTH.strain.rate_spread * dice.standard_normal(40_000))
    starts = broth.density_per_ml * np.exp(START_SPREAD * dice.standard_normal(40_000))
    ripe_days = np.log(0.8 / 0.2 * (top - starts) / starts) / rates
    assert np.median(ripe_days) == pytest.approx(known.growth_days, rel=0.01)
    fast, slow = np.quantile(ripe_days, [EARLY_QUARTER, LATE_QUARTER])
    half_wide = 0.5 * (slow - fast)
    ripe, over = (known.ripe_on - START).days, (known.over_on - START).days
    # far from both ends of the good days nothing is early or over-ripe; one day outside either end, one day and more
    assert unsure(known, ripe) == pytest.approx(half_wide + max(0.0, ripe - over + 1 + half_wide), rel=0.1)
    far = known._replace(over_on=None)
    assert unsure(far, ripe + math.ceil(half_wide) + 1) == 0.0
    assert unsure(far, ripe - 3) == pytest.approx(half_wide, rel=0.1)
    early = known._replace(over_on=START + timedelta(days=ripe + 40))
    assert unsure(early, ripe + 40 - 1) == pytest.approx(half_wide, rel=0.1)


def test_a_culture_that_is_ripe_already_is_sure() -> None:
    broth = Broth(4.0, 1.05e6, 882.0, 36.0, 106.0, 26.0)
    cycle = context_for(PLAN).cycles["north"]
    known = project(NORTH, cycle, broth, START, START, True, OpenDays(PLAN))
    assert known.growth_days == 0.0
    assert unsure(known, 1) == 0.0


def test_counts_make_it_surer() -> None:
    entries = culture(read_book(COUNTS.encode()).entries)
    rota = schedule(PLAN, entries, entries[-1].on)
    (spread,) = rota.start_state.rate_spreads.values()
    known = vessel_ripeness(rota, "north", entries)
    assert spread == pytest.approx(known.after.rate_spread, rel=1e-3)
    assert spread < 0.7 * NORTH.strain.rate_spread
    ahead = project(
        NORTH,
        rota.cycles["north"],
        Broth(4.0, 1.2e5, 882.0, 36.0, 106.0, 26.0),
        START,
        START,
        True,
        OpenDays(PLAN),
    )._replace(
        over_on=None,
    )
    assert ahead.ripe_on is not None
    ripe = (ahead.ripe_on - START).days
    assert unsure(ahead, ripe, {"north": spread}) < 0.8 * unsure(ahead, ripe)
    assert schedule(PLAN, entries[:1], entries[0].on).start_state.rate_spreads == {}


def test_spreads_are_of_what_was_counted_by_then_and_change_no_state() -> None:
    entries, context = culture(read_book(COUNTS.encode()).entries), context_for(PLAN)
    moments = [Moment(START + timedelta(days=n), evening) for n in range(12) for evening in (False, True)]
    pairs = list(replays_with_spreads(context, entries, moments))
    for (logged, _), alone in zip(pairs, replays(context, entries, moments), strict=True):
        assert (logged.recorder.state, logged.done) == (alone.recorder.state, alone.done)
    spreads = [found.get("north") for _, found in pairs]
    counted = [sum(e.kind == "counted" and (e.on, True) <= moment for e in entries) for moment in moments]
    for known, number in zip(spreads, counted, strict=True):
        assert (known is None) == (number == 0)
    by_number = dict(zip(counted, spreads, strict=True))
    assert by_number[3] < by_number[2] < by_number[1] < NORTH.strain.rate_spread


# --- the days that are chosen -------------------------------------------------------------------------------------


@cache
def drawn(count: int = 4_000) -> tuple[np.ndarray, np.ndarray]:
    """Factors on growth days and shifts by the start, for drawn cultures: ripe after growth_days x factor + shift."""
    dice = np.random.default_rng(2)
    slower = np.exp(NORTH.strain.rate_spread * dice.standard_normal(count))
    return slower, slower * START_SPREAD * dice.standard_normal(count) / NORTH.rate_per_day


def days_off(found: SearchResult) -> float:
    """Mean days by which harvests are early or over-ripe, over drawn cultures and all harvests of a rota."""
    slower, shift = drawn()
    total = []
    for choice in found.simulated.choices:
        known = choice.projection
        if choice.taken is None or known.ripe_on is None or known.over_on is None:
            continue
        moved = known.growth_days * (slower - 1.0) + (shift if known.growth_days > 0.0 else 0.0)
        early = np.maximum(0.0, (known.ripe_on - choice.taken).days + moved)
        over = np.maximum(0.0, (choice.taken - known.over_on).days + 1 - moved)
        total.append(float(np.mean(early + over)))
    return float(np.mean(total))


def found_with(plan: Plan, weight: float, monkeypatch: pytest.MonkeyPatch) -> SearchResult:
    monkeypatch.setattr(score, "WEIGHTS", {**WEIGHTS, "unsure": weight})
    return search(context_for(plan), start_from_plan(plan), Decisions(), budget=10_000)


@pytest.mark.parametrize("vessels", [2, 3])
def test_the_days_chosen_hold_better_than_those_chosen_without(
    vessels: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = home_plan(vessels, 31)
    with_term, without = (found_with(plan, weight, monkeypatch) for weight in (WEIGHTS["unsure"], 0.0))
    assert days_off(with_term) < days_off(without)
