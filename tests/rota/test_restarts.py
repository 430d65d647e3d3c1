"""What an emptied vessel is given on a day of the planned walk, and the reason that goes with it: by hand."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from made_plans import START, example_plan, example_vessel

from greenrota.culture.growth.broth import Broth
from greenrota.rota.plan import CyclePlan
from greenrota.rota.simulate.restarts import Day, Inoculum, facts, givers, harvest_gift_ml, offer
from greenrota.rota.state.bench import benches
from greenrota.rota.state.cycle import cycle_for
from greenrota.rota.state.donors import ORDER, Source, Turn
from greenrota.rota.state.state import Batch, Culture, FridgeBottle, State
from greenrota.rota.tasks.reasons import of_source

DAY = timedelta(days=1)
PLAN = example_plan(vessels=tuple(map(example_vessel, ("north", "south", "east"))))
BENCHES = benches(PLAN)
NORTH, SOUTH, EAST = BENCHES.values()
# By hand: a quarter kept of a peak of 80 % of 1.1e6 is a re-seed of 220,000 cells/mL, so 8.8e8 cells in 4 L;
# the least start, 0.065 x 1.1e6 x 4,000, is 2.86e8 cells. 8.8e5 is ripe, 80 % of the ceiling.
CYCLE = cycle_for(NORTH, CyclePlan(), frozenset(range(7)))._replace(keep_share=0.25, peak_share=0.8)
CYCLES = dict.fromkeys(BENCHES, CYCLE)
ON = START + 20 * DAY
Held = Culture | FridgeBottle


def culture(
    vessel: str, share: float = 0.8, reseeds: int = 0, age_days: int = 10, ml: float = 4e3
) -> Culture:
    batch = Batch(f"{vessel}/1", vessel, "tetraselmis", 1, "starter:bought", ON - age_days * DAY, reseeds)
    return Culture(batch, Broth(ml / 1000.0, share * 1.1e6, 882.0, 36.0, 106.0, 26.0), ON)


def bottle(name: str, age_days: int = 2, ml: float = 500.0) -> FridgeBottle:
    parent = None if name.startswith("starter:") else "north/1"
    return FridgeBottle(name, "tetraselmis", ml, 2e6, ON - age_days * DAY, parent)


def shelf(
    *held: Held,
    suspect: tuple[str, ...] = (),
    promised_ml: dict[str, float] | None = None,
    kept_l: dict[str, float] | None = None,
    wait_until: date = ON + 2 * DAY,
) -> Day:
    state = State()
    for each in held:
        if isinstance(each, FridgeBottle):
            state.put(each)
        else:
            state.cultures[each.batch.vessel] = each
            state.batches[each.batch.id] = each.batch
    barred = frozenset(suspect)
    return Day(BENCHES, CYCLES, state, ON, barred, promised_ml or {}, kept_l or {}, wait_until, {}, {})


def first(day: Day) -> tuple[Turn, Inoculum] | None:
    """What a lost vessel east gets, and in which turn."""
    for turn in (turn for turn in ORDER if turn.after_loss):
        given = offer(day, EAST, turn)
        if given is not None:
            return turn, given
    return None


def given(day: Day) -> Inoculum | None:
    found = first(day)
    return None if found is None else found[1]


def source(day: Day) -> str | None:
    found = given(day)
    return None if found is None else found.source


def why(day: Day) -> str:
    found = first(day)
    assert found is not None and found[1].source is not None
    return of_source(facts(day, "east", found[0], found[1].source, ""))


BOTTLES = (bottle("starter:a"), bottle("fridge:a/1"))


def test_what_is_harvested_that_day_comes_first() -> None:
    # by hand: 8.8e8 cells at half of 1.1e6 a mL are 1600 mL
    day = shelf(culture("north", 0.5), culture("south", 0.9), *BOTTLES, kept_l={"north": 1.0})
    assert given(day) == Inoculum("north/1", pytest.approx(1600.0, rel=1e-9))
    assert why(day) == "north/1, which is harvested that day at 50% of its ceiling"


def test_a_renewal_gives_of_the_whole_vessel_and_a_re_seed_keeps_its_own() -> None:
    thin = culture("north", 0.5, ml=1500.0)
    # by hand: 1500 mL of 5.5e5 are 8.25e8 cells; less 1 L of its own 2.75e8, under the least of 2.86e8
    assert given(shelf(thin, kept_l={"north": 0.0})) == Inoculum("north/1", pytest.approx(1500.0, rel=1e-9))
    assert given(shelf(thin, kept_l={"north": 1.0})) is None


def test_then_a_ripe_vessel_though_another_is_half_ripe() -> None:
    day = shelf(culture("north", 0.6), culture("south", 0.8, reseeds=4), *BOTTLES)
    assert given(day) == Inoculum("south/1", pytest.approx(1000.0, rel=1e-9))
    assert why(day) == "south/1, ripe at 80% of its ceiling"


def test_of_ripe_vessels_the_one_with_fewest_re_seeds_then_the_longest_grown_then_by_id() -> None:
    assert source(shelf(culture("north", reseeds=2), culture("south", reseeds=1))) == "south/1"
    assert source(shelf(culture("north", age_days=5), culture("south", age_days=9))) == "south/1"
    assert source(shelf(culture("south"), culture("north"))) == "north/1"
    assert [giver.culture.batch.id for giver in givers(shelf(culture("south")), "isochrysis")] == []


def test_a_bottle_stays_shut_while_a_vessel_is_ripe_within_two_days() -> None:
    # by hand: z of 0.7 is 3/7; two nights at 0.27 a day or more make it 0.25 or less, which is ripe
    assert 0.27 < NORTH.rate_per_day < 0.6
    soon = shelf(culture("north", 0.7), *BOTTLES)
    assert given(soon) == Inoculum(None, pytest.approx(4e3 * 0.22 / (1.1 * _share_then(0.7)), rel=1e-6))
    assert source(shelf(culture("north", 0.7), *BOTTLES, wait_until=ON)) == "starter:a"
    assert source(shelf(culture("north", 0.2), *BOTTLES)) == "starter:a"
    # and one that could spare too little even then is not waited for
    assert source(shelf(culture("north", 0.7, ml=1200.0), *BOTTLES)) == "starter:a"


def _share_then(share: float) -> float:
    """By hand: the logistic law over two days."""
    return 1.0 / (1.0 + (1.0 / share - 1.0) * 2.718281828459045 ** (-2.0 * NORTH.rate_per_day))


def test_then_the_held_back_starter_then_the_fridge_the_youngest_first() -> None:
    starter, old, young = bottle("starter:a", 9), bottle("fridge:a/1", 3), bottle("fridge:b/1", 2)
    assert source(shelf(starter, old, young)) == "starter:a"
    assert source(shelf(old, young)) == "fridge:b/1"
    assert source(shelf(old, young, suspect=("fridge:b/1",))) == "fridge:a/1"
    # 2 days is fresh: 8.8e8 cells at 2e6 a mL are 440 mL
    assert given(shelf(young)) == Inoculum("fridge:b/1", pytest.approx(440.0, rel=1e-9))


def test_then_an_unripe_vessel_and_a_thin_start_last() -> None:
    grown = culture("north", 0.55, age_days=3)
    closed = {"wait_until": ON}
    small = bottle("fridge:a/1", ml=100.0)  # by hand: 2e8 cells, between half of the least and the least
    assert source(shelf(grown, small, **closed)) == "north/1"  # type: ignore[arg-type]
    assert source(shelf(culture("north", 0.55, age_days=2), small, **closed)) == "fridge:a/1"  # type: ignore[arg-type]
    assert source(shelf(culture("north", 0.45), small, **closed)) == "fridge:a/1"  # type: ignore[arg-type]
    assert source(shelf(bottle("fridge:a/1", ml=71.0))) is None  # by hand: half of the least is 71.5 mL


def test_suspects_give_nothing() -> None:
    names = ("north/1", "starter:a", "fridge:a/1")
    assert given(shelf(culture("north"), *BOTTLES, suspect=names)) is None
    assert given(shelf(culture("north"), suspect=names, kept_l={"north": 1.0})) is None


def test_an_old_bottle_is_thinner_and_a_too_old_one_is_none() -> None:
    # by hand: 29 days are 26 / 53 of the way, so 1 - 13/53 = 40/53 of 2e6 live: 8.8e8 cells are 440 x 53/40 = 583 mL
    assert given(shelf(bottle("fridge:a/1", 29, 900.0))) == Inoculum(
        "fridge:a/1", pytest.approx(583.0, rel=1e-9)
    )
    assert source(shelf(bottle("fridge:a/1", 56, 900.0))) == "fridge:a/1"
    assert source(shelf(bottle("fridge:a/1", 57, 900.0))) is None
    assert source(shelf(bottle("fridge:a/1", -1))) is None
    assert source(shelf(bottle("fridge:a/1")._replace(strain="isochrysis"))) is None


def test_what_is_promised_is_left() -> None:
    name = "fridge:a/1"
    left = given(shelf(bottle(name), promised_ml={name: 400.0}))
    assert left == Inoculum(name, pytest.approx(100.0))
    assert given(shelf(bottle(name), promised_ml={name: 428.6})) is None


def test_the_reasons_of_a_bottle_are_the_facts_of_the_day() -> None:
    jar = bottle("fridge:a/1", 12)
    alone = "the fridge back-up, 12 days old; no other vessel of tetraselmis lives"
    assert why(shelf(jar)) == alone
    assert why(shelf(jar, culture("north"), suspect=("north/1",))).endswith(
        "every other vessel of tetraselmis is suspect"
    )
    assert why(shelf(jar, culture("north", ml=1100.0))).endswith(
        "no harvest or ripe vessel of tetraselmis spares enough that day"
    )
    # by hand: from 20 % to 80 % of the ceiling is ln(16) / rate
    days = 2.772588722239781 / NORTH.rate_per_day
    ripe_on = ON + timedelta(days=int(days) + 1)
    assert why(shelf(jar, culture("north", 0.2))).endswith(
        f"no vessel of tetraselmis is ripe before {ripe_on}"
    )
    assert why(shelf(bottle("starter:a", 1, ml=100.0))) == (
        "the held-back starter, 1 day old; no other vessel of tetraselmis lives"
    )
    unripe = why(shelf(culture("north", 0.55), bottle("fridge:a/1", ml=100.0), wait_until=ON))
    assert unripe.startswith("north/1, at 55% of its ceiling; no vessel of tetraselmis is ripe before ")
    assert unripe.endswith("; no bottle of tetraselmis holds enough for a good start")
    none = why(shelf(culture("north", 0.55), wait_until=ON))
    assert none.endswith("; no bottle of tetraselmis that may give is in the fridge")


def test_a_harvest_gives_to_a_first_filling_what_starts_it_well_or_nothing() -> None:
    # by hand: 5e5 a mL would need 1760 mL; 1.3 L leaves 300 mL of 8.8e5, 2.64e8 cells, under the least
    assert harvest_gift_ml(CYCLES, NORTH, EAST, culture("north")) == pytest.approx(1000.0, rel=1e-9)
    assert harvest_gift_ml(CYCLES, NORTH, EAST, culture("north", 5e5 / 1.1e6)) == pytest.approx(
        1760.0, rel=1e-9
    )
    assert harvest_gift_ml(CYCLES, NORTH, EAST, culture("north", ml=1300.0)) == 0.0


def test_only_the_unripe_turn_of_planned_work_differs() -> None:
    day = shelf(culture("north", 0.55), *BOTTLES)
    early = next(turn for turn in ORDER if not turn.after_loss)
    assert early.source is Source.UNRIPE
    found = offer(day, EAST, early)
    assert found is not None and found.source == "north/1"
