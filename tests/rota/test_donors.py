"""Who restarts an empty vessel, who may be asked, and when a back-up is filled: by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from made_plans import START, example_plan, example_vessel

from greenrota.culture.broth import Broth
from greenrota.rota.plan import CyclePlan
from greenrota.rota.state.bench import benches
from greenrota.rota.state.cycle import cycle_for
from greenrota.rota.state.donors import (
    BankOrder,
    DonorContext,
    Inoculum,
    bank_order,
    best_gift,
    donor_line,
    harvest_gift_ml,
)
from greenrota.rota.state.state import Batch, Culture, FridgeBottle, State

DAY = timedelta(days=1)
PLAN = example_plan(vessels=tuple(map(example_vessel, ("north", "south", "east"))))
BENCHES = benches(PLAN)
NORTH, SOUTH, EAST = BENCHES.values()
# By hand: a quarter kept of a peak of 80 % of 1.1e6 is a re-seed of 220,000 cells/mL, so 8.8e8 cells in 4 L;
# the least start, 0.065 x 1.1e6 x 4,000, is 2.86e8 cells.
CYCLE = replace(cycle_for(NORTH, CyclePlan(), frozenset(range(7))), keep_share=0.25, peak_share=0.8)
CYCLES = dict.fromkeys(BENCHES, CYCLE)
ON = START + 20 * DAY


def culture(
    vessel: str, density_per_ml: float = 8.8e5, reseeds: int = 0, age_days: int = 10, volume_l: float = 4.0
) -> Culture:
    batch = Batch(f"{vessel}/1", vessel, "tetraselmis", 1, "starter:bought", ON - age_days * DAY, reseeds)
    return Culture(batch, Broth(volume_l, density_per_ml, 882.0, 36.0, 106.0, 26.0), ON)


def bottle(
    name: str,
    age_days: int = 2,
    volume_ml: float = 500.0,
    density_per_ml: float = 2e6,
    parent: str | None = "north/1",
) -> FridgeBottle:
    return FridgeBottle(name, "tetraselmis", volume_ml, density_per_ml, ON - age_days * DAY, parent)


def shelter(
    *held: Culture | FridgeBottle, suspect: tuple[str, ...] = (), promised_ml: dict[str, float] | None = None
) -> DonorContext:
    shelf = State()
    for each in held:
        if isinstance(each, FridgeBottle):
            shelf.put(each)
        else:
            shelf.cultures[each.batch.vessel] = each
            shelf.batches[each.batch.id] = each.batch
    return DonorContext(BENCHES, CYCLES, shelf, ON, frozenset(suspect), promised_ml or {})


def test_the_youngest_line_is_asked_first_and_a_fresh_filling_not_at_all() -> None:
    # our choice: a filling is left alone for two days
    assert donor_line(shelter(culture("north", reseeds=2), culture("south", reseeds=1)), "tetraselmis") == [
        "south/1",
        "north/1",
    ]
    assert donor_line(shelter(culture("north", age_days=5), culture("south", age_days=9)), "tetraselmis") == [
        "south/1",
        "north/1",
    ]
    assert donor_line(shelter(culture("south"), culture("north")), "tetraselmis") == ["north/1", "south/1"]
    assert donor_line(shelter(culture("north", age_days=2), culture("south", age_days=3)), "tetraselmis") == [
        "south/1"
    ]
    assert donor_line(shelter(culture("north"), culture("south"), suspect=("north/1",)), "tetraselmis") == [
        "south/1"
    ]
    assert donor_line(shelter(culture("north")), "isochrysis") == []


def gift(at: DonorContext, donors: list[str] | None = None) -> Inoculum | None:
    return best_gift(at, EAST, donor_line(at, "tetraselmis") if donors is None else donors)


def test_a_living_line_gives_a_re_seed() -> None:
    # by hand: 8.8e8 cells at 8.8e5 a mL are 1000 mL, and 3 L can be spared
    given = gift(shelter(culture("north"), bottle("fridge:old/1")))
    assert given == Inoculum(
        "north/1", pytest.approx(1000.0, rel=1e-9), "north/1, the youngest living line that bears it"
    )


def test_a_donor_gives_no_more_than_it_can_spare() -> None:
    # by hand: 1.5 L less 1 L of its own is 500 mL of 8.8e5, 4.4e8 cells, above the least; 1.3 L leaves 2.64e8, below
    assert gift(shelter(culture("north", volume_l=1.5))) == Inoculum(
        "north/1", pytest.approx(500.0, rel=1e-9), "north/1, the youngest living line that bears it"
    )
    assert gift(shelter(culture("north", volume_l=1.3))) is None


def test_a_donor_that_is_too_thin_is_struck_off() -> None:
    at = shelter(culture("north", density_per_ml=5.4e5), culture("south"))
    donors = ["north/1", "south/1"]
    given = gift(at, donors)
    assert given is not None
    assert (given.source, donors) == ("south/1", ["south/1"])
    kept = ["north/1", "south/1"]
    assert gift(shelter(culture("north", volume_l=1.3), culture("south")), kept) is not None
    assert kept == ["north/1", "south/1"]


def test_a_batch_that_has_gone_on_gives_nothing() -> None:
    at = shelter(culture("north"))
    at.state.batches["north/0"] = replace(at.state.batches["north/1"], id="north/0")
    at.state.batches["south/1"] = replace(at.state.batches["north/1"], id="south/1", vessel="south")
    donors = ["north/0", "south/1"]
    assert gift(at, donors) is None
    assert donors == []


def test_bottles_in_their_order() -> None:
    # back-ups before starters, the younger first; 2 days is fresh: 8.8e8 cells at 2e6 a mL are 440 mL
    starter, old, young = (
        bottle("starter:a", 2, parent=None),
        bottle("fridge:a/1", 3),
        bottle("fridge:b/1", 2),
    )
    given = gift(shelter(starter, old, young))
    assert given == Inoculum(
        "fridge:b/1",
        pytest.approx(440.0, rel=1e-9),
        "the fridge back-up, 2 days old; no living donor bears it",
    )
    assert gift(shelter(starter, old, young, suspect=("fridge:b/1",))).source == "fridge:a/1"  # type: ignore[union-attr]
    last = gift(shelter(starter, old, young, suspect=("fridge:b/1", "fridge:a/1")))
    assert last is not None
    assert last.reason == "the held-back starter, 2 days old; no living donor bears it"


def test_an_old_bottle_is_thinner_and_a_too_old_one_is_none() -> None:
    # by hand: 29 days are 26 / 53 of the way, so 1 - 13/53 = 40/53 of 2e6 live: 8.8e8 cells are 440 x 53/40 = 583 mL
    given = gift(shelter(bottle("fridge:a/1", 29, volume_ml=900.0)))
    assert given is not None
    assert given.volume_ml == pytest.approx(583.0, rel=1e-9)
    assert gift(shelter(bottle("fridge:a/1", 56, volume_ml=900.0))) is not None
    assert gift(shelter(bottle("fridge:a/1", 57, volume_ml=900.0))) is None
    assert gift(shelter(bottle("fridge:a/1", -1))) is None
    other = replace(bottle("fridge:a/1"), strain="isochrysis")
    assert gift(shelter(other)) is None


def test_what_is_promised_is_left_and_half_of_the_least_is_better_than_nothing() -> None:
    # our choice: by hand, half of 143 mL of 2e6 is 71.5 mL
    name = "fridge:a/1"
    assert gift(shelter(bottle(name), promised_ml={name: 400.0})).volume_ml == pytest.approx(100.0)  # type: ignore[union-attr]
    assert gift(shelter(bottle(name), promised_ml={name: 428.4})) is not None
    assert gift(shelter(bottle(name), promised_ml={name: 428.6})) is None


def test_a_harvest_gives_what_starts_well_or_nothing() -> None:
    # by hand: as above, but a harvest gives at any density: 5e5 a mL would need 1760 mL
    assert harvest_gift_ml(CYCLES, NORTH, EAST, culture("north")) == pytest.approx(1000.0, rel=1e-9)
    assert harvest_gift_ml(CYCLES, NORTH, EAST, culture("north", 5e5)) == pytest.approx(1760.0, rel=1e-9)
    assert harvest_gift_ml(CYCLES, NORTH, EAST, culture("north", volume_l=1.3)) == 0.0


# --- back-ups -----------------------------------------------------------------------------------------------------


def order(*held: Culture | FridgeBottle, renewing: bool = False) -> BankOrder | None:
    at = shelter(*held)
    return bank_order(at.state, BENCHES, NORTH, at.state.cultures["north"], ON, renewing)


def test_the_first_back_up_by_hand() -> None:
    # by hand: 2.86e8 cells at 8.8e5 a mL are 325 mL, and half as much again
    first = order(culture("north"))
    assert first == BankOrder(pytest.approx(487.5, rel=1e-9), (), "first back-up of the strain in the fridge")
    assert order(culture("north"), bottle("starter:a", parent=None)) == first


def test_a_back_up_is_replaced_at_half_its_fridge_life() -> None:
    # by hand: 56 days of fridge life, so from 28 on
    assert order(culture("north"), bottle("fridge:a/1", 27)) is None
    due = order(culture("north"), bottle("fridge:b/1", 28), bottle("fridge:a/1", 40))
    assert due is not None
    assert due.retires == ("fridge:a/1", "fridge:b/1")
    assert due.reason == "replaces fridge:a/1, fridge:b/1 before it is too old"
    assert order(culture("north"), replace(bottle("fridge:a/1", 2), strain="isochrysis")) is not None


def test_the_last_culture_is_bottled_before_it_is_broken_down() -> None:
    alone = order(culture("north"), bottle("fridge:a/1", 2), renewing=True)
    assert alone is not None
    assert alone.reason == "the only living culture of the strain is about to be broken down"
    assert alone.retires == ("fridge:a/1",)
    assert order(culture("north"), culture("south"), bottle("fridge:a/1", 2), renewing=True) is None
    assert order(culture("north"), bottle("fridge:a/1", 2), renewing=False) is None


def test_a_back_up_is_enough_for_the_largest_vessel_of_the_strain() -> None:
    # by hand: twice the volume has a ceiling lower by 2^-0.4, so the least inoculum is larger by 2^0.6
    large = benches(replace(PLAN, vessels=(*PLAN.vessels, example_vessel("hall", brim_l=10.0, fill_l=8.0))))
    at = shelter(culture("north"))
    wanted = bank_order(at.state, large, NORTH, at.state.cultures["north"], ON, False)
    assert wanted is not None
    assert wanted.volume_ml == pytest.approx(487.5 * 2.0**0.6, rel=1e-9)
