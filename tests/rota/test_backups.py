"""When a fridge back-up is filled at a harvest, and how much goes into it: by hand."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from made_plans import START, example_plan, example_vessel

from greenrota.culture.growth.broth import Broth
from greenrota.rota.plan import CyclePlan
from greenrota.rota.state.backups import (
    BankNeed,
    BankOrder,
    backup_ml,
    bank_order,
    least_cells,
    most_backup_ml,
)
from greenrota.rota.state.bench import Bench, benches
from greenrota.rota.state.state import Batch, Culture, FridgeBottle, State
from greenrota.rota.tasks.reasons import of_bank

DAY = timedelta(days=1)
PLAN = example_plan(vessels=tuple(map(example_vessel, ("north", "south", "east"))))
BENCHES = benches(PLAN)
NORTH = BENCHES["north"]
ON = START + 20 * DAY
# By hand: the least start of 4 L, 0.065 x 1.1e6 x 4,000 mL, is 2.86e8 cells.
LEAST = 2.86e8


def culture(vessel: str) -> Culture:
    batch = Batch(f"{vessel}/1", vessel, "tetraselmis", 1, "starter:bought", ON - 10 * DAY, 0)
    return Culture(batch, Broth(4.0, 8.8e5, 882.0, 36.0, 106.0, 26.0), ON)


def bottle(name: str, age_days: int = 2, parent: str | None = "north/1", ml: float = 500.0) -> FridgeBottle:
    return FridgeBottle(name, "tetraselmis", ml, 2e6, ON - age_days * DAY, parent)


def order(
    *held: Culture | FridgeBottle,
    renewing: bool = False,
    suspect: tuple[str, ...] = (),
    left_ml: float | None = None,
    shelf: dict[str, Bench] | None = None,
) -> BankOrder | None:
    """The order of a harvest of north; `left_ml` is what is left in every back-up."""
    state = State()
    for each in held:
        if isinstance(each, FridgeBottle):
            state.put(each)
            if left_ml is not None:
                state.bottles[each.id] = each._replace(volume_ml=left_ml)
        else:
            state.cultures[each.batch.vessel] = each
    return bank_order(
        state,
        shelf or BENCHES,
        NORTH,
        state.cultures["north"],
        ON,
        renewing,
        least_cells(shelf or BENCHES, "tetraselmis"),
        frozenset(suspect),
    )


def test_the_first_back_up_by_hand() -> None:
    # by hand: 2.86e8 cells at 8.8e5 a mL are 325 mL, and half as much again
    first = order(culture("north"))
    assert first == BankOrder(pytest.approx(487.5, rel=1e-9), BankNeed.FIRST)
    assert order(culture("north"), bottle("starter:a", parent=None)) == first


def test_a_back_up_is_replaced_at_half_its_fridge_life() -> None:
    # by hand: 56 days of fridge life, so from 28 on
    assert order(culture("north"), bottle("fridge:a/1", 27)) is None
    due = order(culture("north"), bottle("fridge:b/1", 28), bottle("fridge:a/1", 40))
    assert due is not None
    assert due.retires == ("fridge:a/1", "fridge:b/1")
    assert of_bank(due) == "replaces fridge:a/1 before it is too old, fridge:b/1 before it is too old"
    assert order(culture("north"), bottle("fridge:a/1", 2)._replace(strain="isochrysis")) is not None


def test_a_back_up_that_was_drawn_from_is_replaced_once_it_restarts_no_vessel() -> None:
    # by hand: 2.86e8 cells are 143 mL of 2e6; two days old it is fresh
    assert order(culture("north"), bottle("fridge:a/1"), left_ml=144.0) is None
    due = order(culture("north"), bottle("fridge:a/1"), left_ml=142.0)
    assert due is not None
    assert of_bank(due) == "replaces fridge:a/1, of which too little for a restart is left"
    # one that was small from the start was meant so, and stays
    assert order(culture("north"), bottle("fridge:a/1", ml=100.0)) is None


def test_one_that_was_used_up_is_replaced_and_told_from_the_first() -> None:
    state = State()
    state.put(bottle("fridge:a/1"))
    del state.bottles["fridge:a/1"]
    state.cultures["north"] = culture("north")
    due = bank_order(
        state, BENCHES, NORTH, state.cultures["north"], ON, False, least_cells(BENCHES, "tetraselmis")
    )
    assert due is not None
    assert of_bank(due) == "no back-up of the strain is left in the fridge"


def test_a_suspect_bottle_is_no_insurance() -> None:
    due = order(culture("north"), bottle("fridge:a/1"), suspect=("fridge:a/1",))
    assert due is not None
    assert of_bank(due) == "replaces fridge:a/1, which is suspect"
    held = (culture("north"), bottle("fridge:a/1"), bottle("fridge:b/1"))
    assert order(*held, suspect=("fridge:a/1",)) is None


def test_the_last_culture_is_bottled_before_it_is_broken_down() -> None:
    alone = order(culture("north"), bottle("fridge:a/1", 2), renewing=True)
    assert alone is not None
    assert of_bank(alone) == "the only living culture of the strain is about to be broken down"
    assert alone.retires == ("fridge:a/1",)
    assert order(culture("north"), culture("south"), bottle("fridge:a/1", 2), renewing=True) is None
    assert order(culture("north"), bottle("fridge:a/1", 2), renewing=False) is None


@pytest.mark.parametrize("fill_l", [0.5, 2.0, 8.0, 20.0])
def test_a_back_up_is_enough_for_the_least_needy_vessel_of_the_strain(fill_l: float) -> None:
    # by hand: a vessel of V litres has a ceiling of 1.1e6 (V / 4)^-0.4, so its least inoculum grows as V^0.6
    other = example_vessel("other", brim_l=1.25 * fill_l, fill_l=fill_l)
    shelf = benches(replace(PLAN, vessels=(*PLAN.vessels, other)))
    need = LEAST * min(1.0, (fill_l / 4.0) ** 0.6) if fill_l >= 2.0 else None
    if need is not None:
        assert least_cells(shelf, "tetraselmis") == pytest.approx(need, rel=1e-9)
    wanted = order(culture("north"), shelf=shelf)
    assert wanted is not None
    assert wanted.volume_ml == pytest.approx(1.5 * least_cells(shelf, "tetraselmis") / 8.8e5, rel=1e-9)
    assert wanted.volume_ml <= 487.5 * (1.0 + 1e-9)


def test_a_back_up_is_no_larger_than_a_litre_unless_the_plan_says_so() -> None:
    # by hand: 1.5 x 1e9 cells at 1e6 a mL are 1.5 L
    assert backup_ml(1e9, 1e6, most_backup_ml(CyclePlan())) == 1000.0
    assert backup_ml(1e9, 1e6, most_backup_ml(CyclePlan(backup_ml=2000.0))) == 1500.0
    assert backup_ml(1e9, 0.0, 1000.0) == 1000.0


def test_a_bottle_older_than_a_week_by_the_day_of_leaving_is_replaced() -> None:
    # by hand: filled 2 days ago; leaving in 5 days it is 7 days old, in 6 days 8
    state = State()
    state.put(bottle("fridge:a/1", 2))
    state.cultures["north"] = culture("north")

    def due(days: int) -> BankOrder | None:
        return bank_order(
            state,
            BENCHES,
            NORTH,
            state.cultures["north"],
            ON,
            False,
            least_cells(BENCHES, "tetraselmis"),
            leaving_on=ON + timedelta(days=days),
        )

    assert due(5) is None
    found = due(6)
    assert found is not None
    assert of_bank(found) == "replaces fridge:a/1, older than 7 days when you leave"
