"""How much culture starts a vessel, and how a starter is shared out: by hand."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta

import pytest
from made_plans import START, example_plan, example_vessel

from greenrota.rota.plan import CyclePlan, Starter
from greenrota.rota.search.search import search
from greenrota.rota.simulate.context import context_for
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.simulation import simulate
from greenrota.rota.simulate.start import start_from_plan
from greenrota.rota.state.bench import Bench, benches
from greenrota.rota.state.cycle import Cycle, cycle_for
from greenrota.rota.state.seeding import (
    inoculum_ml,
    least_inoculum_ml,
    most_inoculum_ml,
    reseed_density_per_ml,
)
from greenrota.rota.state.sharing import StarterShare
from greenrota.rota.state.sharing import allot as allotments
from greenrota.rota.state.state import FridgeBottle, State, first_state

DAY = timedelta(days=1)
EVERY_DAY = frozenset(range(7))
PLAN = example_plan()
NORTH = benches(PLAN)["north"]
CYCLE = cycle_for(NORTH, CyclePlan(), EVERY_DAY)


def on(day: int) -> date:
    return START + day * DAY


def allot(
    state: State,
    places: Mapping[str, Bench],
    cycles: Mapping[str, Cycle],
    empty: list[str],
    day: date,
    opened: date,
) -> list[StarterShare]:
    """All shares of all starters, each shared out in the usual way."""
    return [share for each in allotments(state, places, cycles, empty, day, opened) for share in each.shares]


def test_the_least_and_the_most_of_an_inoculum() -> None:
    # by hand: 0.065 x 1.1e6 x 4,000 mL of 2e6 a mL is 143 mL; at most half of 4 L, or the carry-over if that is more
    assert least_inoculum_ml(NORTH, 2e6) == pytest.approx(143.0, rel=1e-9)
    assert least_inoculum_ml(NORTH, 0.0) == math.inf
    lean, rich = CYCLE._replace(keep_share=0.2), CYCLE._replace(keep_share=0.6)
    assert [most_inoculum_ml(NORTH, cycle) for cycle in (lean, rich)] == [2000.0, pytest.approx(2400.0)]
    assert inoculum_ml(NORTH, lean, 2e6, 2e5) == pytest.approx(400.0, rel=1e-12)
    assert inoculum_ml(NORTH, lean, 2e5, 2e5) == 2000.0
    assert inoculum_ml(NORTH, lean, 0.0, 2e5) == 2000.0
    # by hand: a quarter of 90 % of 1.1e6; a culture that washes out is reckoned at half
    cycle = CYCLE._replace(keep_share=0.25, peak_share=0.9)
    assert reseed_density_per_ml(NORTH, cycle) == pytest.approx(247_500.0, rel=1e-9)
    assert reseed_density_per_ml(NORTH, cycle._replace(peak_share=0.0)) == pytest.approx(137_500.0, rel=1e-9)


def test_a_starter_is_shared_out_in_turn_over_the_cycle() -> None:
    # by hand: 375 mL free seed two vessels of 143 mL, not three; starts of three vessels lie a third of a cycle apart
    plan = example_plan(vessels=tuple(map(example_vessel, ("north", "south", "east"))))
    places, shelf = benches(plan), first_state(plan)
    cycles = dict.fromkeys(places, CYCLE._replace(days=9))
    first, second = allot(shelf, places, cycles, ["north", "south", "east"], START, START)
    assert (first.vessel, first.source, first.volume_ml) == ("east", "starter:bought", pytest.approx(187.5))
    assert (first.least_on, first.first_on, first.last_on) == (START, START, on(54))
    assert (second.vessel, second.least_on, second.first_on) == ("north", START, on(3))
    assert [each.vessel for each in allot(shelf, places, cycles, ["east"], START, START)] == ["east"]
    assert allot(shelf, places, cycles, [], START, START) == []
    assert allot(shelf, places, cycles, ["north"], on(55), START) == []
    assert [each.least_on for each in allot(shelf, places, cycles, ["north"], on(-9), START)] == [on(-2)]


def test_only_starters_with_something_free_are_shared_out_the_oldest_first() -> None:
    plan = example_plan(
        starters=(
            Starter("young", "tetraselmis", 200.0, 2e6, on(-1), keep_back=0.0),
            Starter("full", "tetraselmis", 200.0, 2e6, on(-9), keep_back=1.0),
            Starter("other", "isochrysis", 200.0, 2e6, on(-9), keep_back=0.0),
            Starter("old", "tetraselmis", 200.0, 2e6, on(-3), keep_back=0.0),
        )
    )
    places, shelf = benches(plan), first_state(plan)
    shelf.put(FridgeBottle("fridge:north/1", "tetraselmis", 900.0, 2e6, on(-20), "north/1"))
    found = allot(shelf, places, dict.fromkeys(places, CYCLE), ["north", "south"], START, START)
    assert [(each.vessel, each.source) for each in found] == [
        ("north", "starter:old"),
        ("south", "starter:young"),
    ]


@pytest.mark.usefixtures("longer_search")
def test_a_starter_of_which_nothing_is_held_back_can_be_spared() -> None:
    """Poured whole it leaves the strain in one vessel; the spared rest is a second home from the first day on."""
    plan = example_plan(vessels=(example_vessel("north"),))
    poured = replace(plan, starters=tuple(replace(each, keep_back=0.0) for each in plan.starters))
    (shared,) = simulate(context_for(poured), start_from_plan(poured), Decisions()).allotments
    whole, spared = shared.ways
    # by hand: 1.2 x 0.065 x 1.1e6 x 4,000 mL of 2e6 a mL are 171.6 mL
    assert (whole.volumes_ml, spared.volumes_ml) == ((500.0,), (pytest.approx(171.6, rel=1e-9),))
    found = search(context_for(poured), start_from_plan(poured), Decisions())
    assert found.decisions.sharings[spared.source] == spared
    assert found.score.amounts["home"] == 0.0
    held = simulate(context_for(plan), start_from_plan(plan), Decisions()).allotments
    assert [len(each.ways) for each in held] == [
        1
    ]  # a quarter held back, as the plan says, is insurance enough


def test_one_vessel_is_started_however_little_there_is_and_two_are_not() -> None:
    """By hand: 10 mL less a quarter; two vessels would need 0.4 x 2 x 143 mL at the least."""
    vessels = (example_vessel("north"), example_vessel("south"))
    scarce = tuple(replace(each, volume_ml=10.0) for each in example_plan().starters)
    plan = example_plan(vessels=vessels, starters=scarce)
    (shared,) = simulate(context_for(plan), start_from_plan(plan), Decisions()).allotments
    assert [(way.vessels, way.volumes_ml) for way in shared.ways] == [(("north",), (7.5,))]


def test_of_a_starter_that_is_all_held_back_nothing_is_shared_out() -> None:
    bottle = FridgeBottle("starter:a", "tetraselmis", 500.0, 2e6, START, None, held_ml=500.0)
    shelf = State()
    shelf.put(bottle)
    assert allot(shelf, {"north": NORTH}, {"north": CYCLE}, ["north"], START, START) == []
