"""Deeds on a shelf, by hand: what is taken is gone, what is poured is there, and no more is given than there is."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from made_plans import START, example_plan

from greenrota.culture.growth.broth import Broth
from greenrota.rota.state import actions
from greenrota.rota.state.actions import Shortfall
from greenrota.rota.state.bench import benches
from greenrota.rota.state.state import Batch, Culture, State, first_state

# The starter: 500 mL of 2e6 cells/mL, two days in the fridge at the start (fresh: all alive, no lag), 125 mL held back.
PLAN = example_plan()
NORTH, SOUTH = (benches(PLAN)[name] for name in ("north", "south"))
STARTER = "starter:bought"
DAY = timedelta(days=1)
N, P = NORTH.nutrient.medium.nitrogen_umol_l, NORTH.nutrient.medium.phosphorus_umol_l
N_PMOL, P_PMOL = NORTH.strain.n_pmol, NORTH.strain.p_pmol


def started(inoculum_ml: float = 400.0) -> State:
    shelf = first_state(PLAN)
    actions.start(shelf, NORTH, STARTER, inoculum_ml, START)
    return shelf


def test_a_start_by_hand() -> None:
    # by hand: 400 mL of 2e6 in 4 L is 2e5; the cells bring their quota, 2e6 x 1e-3 umol/L a pmol, diluted tenfold;
    # the dose brings full f/2; 3.6 L of the plan's seawater
    shelf = first_state(PLAN)
    done = actions.start(shelf, NORTH, STARTER, 400.0, START)
    assert done.batch == Batch("north/1", "north", "tetraselmis", 1, STARTER, START, 0)
    assert done.before is None
    assert done.seawater_l == pytest.approx(3.6, rel=1e-12)
    broth = done.after
    assert broth is not None
    assert shelf.cultures == {"north": Culture(done.batch, broth, START)}
    assert broth.volume_l == pytest.approx(4.0, rel=1e-12)
    assert broth.density_per_ml == pytest.approx(2e5, rel=1e-12)
    assert broth.nitrogen_umol_l == pytest.approx(N + 200.0 * N_PMOL, rel=1e-12)
    assert broth.phosphorus_umol_l == pytest.approx(P + 200.0 * P_PMOL, rel=1e-12)
    assert broth.salinity_psu == pytest.approx(26.0, rel=1e-12)
    assert broth.lag_days == 0.0
    left = shelf.bottles[STARTER]
    assert (left.volume_ml, left.held_ml, left.density_per_ml) == (100.0, 100.0, 2e6)
    assert shelf.filled[STARTER].volume_ml == 500.0
    assert (shelf.numbers, shelf.batches) == ({"north": 1}, {"north/1": done.batch})


def test_what_is_held_back_stays_marked_while_it_is_there() -> None:
    shelf = started(300.0)
    assert (shelf.bottles[STARTER].volume_ml, shelf.bottles[STARTER].held_ml) == (200.0, 125.0)


def test_the_last_drop_takes_the_bottle_along() -> None:
    shelf = started(500.0)
    assert STARTER not in shelf.bottles
    assert STARTER in shelf.filled
    almost = started(499.0)
    assert almost.bottles[STARTER].volume_ml == 1.0
    rounded = started(500.0 + 5e-7)  # a rounding of the arithmetic is forgiven
    assert STARTER not in rounded.bottles


def test_more_than_there_is_is_refused_and_nothing_is_touched() -> None:
    shelf = first_state(PLAN)
    with pytest.raises(Shortfall, match="holds 500 mL, 501 mL are asked"):
        actions.start(shelf, NORTH, STARTER, 501.0, START)
    with pytest.raises(Shortfall, match="4001 mL of inoculum is more than the fill of 4 L"):
        actions.start(shelf, NORTH, STARTER, 4001.0, START)
    with pytest.raises(Shortfall, match="nobody/1 has no 10 mL left to give"):
        actions.take(shelf, NORTH, "nobody/1", 10.0, START)
    assert shelf == first_state(PLAN)
    for asked in (
        lambda: actions.feed(shelf, NORTH, 1.0, START),
        lambda: actions.harvest(shelf, NORTH, 1.0, START),
        lambda: actions.reseed(shelf, NORTH, START),
        lambda: actions.bank(shelf, NORTH, 1.0, START),
        lambda: actions.count(shelf, NORTH, 1e5, START),
        lambda: actions.empty(shelf, NORTH, START),
    ):
        with pytest.raises(Shortfall, match="nothing lives in vessel north"):
            asked()


def test_a_living_batch_gives_from_its_vessel() -> None:
    shelf = started()
    given = actions.take(shelf, SOUTH, "north/1", 1000.0, START)
    assert (given.volume_l, given.density_per_ml) == (1.0, pytest.approx(2e5, rel=1e-12))
    assert shelf.cultures["north"].broth.volume_l == pytest.approx(3.0, rel=1e-12)
    assert shelf.cultures["north"].broth.density_per_ml == given.density_per_ml
    with pytest.raises(Shortfall, match="north/1 holds 3000 mL, 3001 mL are asked"):
        actions.take(shelf, SOUTH, "north/1", 3001.0, START)
    actions.take(shelf, SOUTH, "north/1", 3000.0 + 5e-7, START)
    assert shelf.cultures["north"].broth.volume_l == pytest.approx(0.0, abs=1e-12)
    with pytest.raises(Shortfall, match="north/1 has been drawn empty"):
        actions.feed(shelf, NORTH, 1.0, START)


def test_a_harvested_batch_gives_from_its_newest_bottle_that_holds_enough() -> None:
    shelf = started()
    actions.harvest(shelf, NORTH, 500.0, START)
    actions.harvest(shelf, NORTH, 200.0, START + DAY)
    actions.empty(shelf, NORTH, START + DAY)
    assert [(harvest.batch, harvest.strain, harvest.on, harvest.volume_ml) for harvest in shelf.harvests] == [
        ("north/1", "tetraselmis", START, 500.0),
        ("north/1", "tetraselmis", START + DAY, 200.0),
    ]
    younger = actions.take(shelf, SOUTH, "north/1", 200.0, START + DAY)
    assert [harvest.volume_ml for harvest in shelf.harvests] == [500.0, 0.0]
    assert (younger.volume_l, younger.density_per_ml) == (0.2, shelf.harvests[1].broth.density_per_ml)
    older = actions.take(shelf, SOUTH, "north/1", 150.0, START + DAY)
    assert [harvest.volume_ml for harvest in shelf.harvests] == [350.0, 0.0]
    assert (older.volume_l, older.density_per_ml) == (0.15, pytest.approx(2e5, rel=1e-12))
    with pytest.raises(Shortfall, match="north/1 has no 351 mL left to give"):
        actions.take(shelf, SOUTH, "north/1", 351.0, START + DAY)


def test_a_harvest_by_hand() -> None:
    shelf = started()
    done = actions.harvest(shelf, NORTH, 3000.0, START)
    assert done.before is not None
    assert done.after is not None
    assert (done.before.volume_l, done.after.volume_l) == (4.0, pytest.approx(1.0, rel=1e-12))
    assert shelf.cultures["north"].broth == done.after
    assert shelf.harvests[0].broth == done.before
    with pytest.raises(Shortfall, match="north/1 holds 1000 mL, 1001 mL are asked"):
        actions.harvest(shelf, NORTH, 1001.0, START)
    actions.harvest(shelf, NORTH, 1000.0 + 5e-7, START)
    assert shelf.cultures["north"].broth.volume_l == pytest.approx(0.0, abs=1e-12)


def test_a_second_dose_by_hand() -> None:
    # by hand: one and a half label doses on what stands, so 1.5 times f/2 more a litre, whatever the volume
    shelf = started()
    actions.harvest(shelf, NORTH, 1000.0, START)
    done = actions.feed(shelf, NORTH, 1.5, START)
    assert done.after is not None
    assert done.before is not None
    assert done.after.nitrogen_umol_l - done.before.nitrogen_umol_l == pytest.approx(1.5 * N, rel=1e-12)
    assert done.after.phosphorus_umol_l - done.before.phosphorus_umol_l == pytest.approx(1.5 * P, rel=1e-12)
    assert shelf.cultures["north"].fed_on == START
    assert shelf.cultures["north"].broth == done.after
    assert shelf.at(NORTH, START + DAY) is not None
    assert shelf.at(NORTH, START + DAY).fed_on == START  # type: ignore[union-attr]


def test_a_reseed_by_hand() -> None:
    # by hand: 1 L kept, 3 L new; cells by a quarter; nitrogen kept / 4 plus f/2 on three quarters
    shelf = started()
    actions.harvest(shelf, NORTH, 3000.0, START)
    kept = shelf.cultures["north"].broth
    done = actions.reseed(shelf, NORTH, START, light_h=8.0)
    assert done.batch == Batch("north/2", "north", "tetraselmis", 2, "north/1", START, 1)
    assert done.before == kept
    assert done.seawater_l == pytest.approx(3.0, rel=1e-12)
    assert done.after is not None
    assert done.after.volume_l == pytest.approx(4.0, rel=1e-12)
    assert done.after.density_per_ml == pytest.approx(kept.density_per_ml / 4.0, rel=1e-12)
    assert done.after.nitrogen_umol_l == pytest.approx((kept.nitrogen_umol_l + 3.0 * N) / 4.0, rel=1e-12)
    assert shelf.cultures["north"] == Culture(done.batch, done.after, START, None, 8.0)
    assert actions.reseed(shelf, NORTH, START).seawater_l == 0.0
    assert shelf.cultures["north"].light_h is None
    assert shelf.batches["north/3"].reseeds == 2


def test_a_short_light_slows_the_batch_that_stands_under_it() -> None:
    # by hand: full credit at 16 h, in proportion below: 8 h is half the rate of 16 h, so twice the days for the same
    shelf, dim = started(), started()
    for each, light_h in ((shelf, 16.0), (dim, 8.0)):
        actions.harvest(each, NORTH, 3000.0, START)
        actions.reseed(each, NORTH, START, light_h)
    full, half = shelf.at(NORTH, START + 2 * DAY), dim.at(NORTH, START + 4 * DAY)
    assert full is not None
    assert half is not None
    assert full.broth.density_per_ml == pytest.approx(half.broth.density_per_ml, rel=1e-12)
    assert full.broth.density_per_ml > 1.5 * 5e4


def test_a_back_up_by_hand() -> None:
    shelf = started()
    done = actions.bank(shelf, NORTH, 250.0, START)
    bottle = shelf.bottles["fridge:north/1"]
    assert (bottle.id, bottle.strain, bottle.volume_ml) == ("fridge:north/1", "tetraselmis", 250.0)
    assert (bottle.parent, bottle.filled, bottle.held_ml) == ("north/1", START, 0.0)
    assert bottle.density_per_ml == pytest.approx(2e5, rel=1e-12)
    assert done.before is not None
    assert done.after is not None
    assert done.before.volume_l - done.after.volume_l == pytest.approx(0.25, rel=1e-12)
    assert shelf.filled["fridge:north/1"] == bottle


def test_a_count_replaces_the_projection_and_nothing_else() -> None:
    shelf = started()
    before = shelf.at(NORTH, START + DAY)
    assert before is not None
    done = actions.count(shelf, NORTH, 3e5, START + DAY)
    now = shelf.cultures["north"]
    assert (done.batch.id, done.before, done.after) == ("north/1", before.broth, now.broth)
    assert now.on == START + DAY
    assert now.broth.density_per_ml == 3e5
    assert (now.broth.volume_l, now.broth.nitrogen_umol_l) == (
        before.broth.volume_l,
        before.broth.nitrogen_umol_l,
    )


def test_an_emptied_vessel_starts_its_next_batch_under_the_next_number() -> None:
    shelf = started()
    done = actions.empty(shelf, NORTH, START + DAY)
    assert (done.batch.id, done.after, shelf.cultures) == ("north/1", None, {})
    assert shelf.next_batch_id("north") == "north/2"
    assert shelf.next_batch_id("south") == "south/1"
    actions.start(shelf, NORTH, STARTER, 100.0, START + DAY)
    assert shelf.cultures["north"].batch.id == "north/2"
    assert shelf.cultures["north"].batch.reseeds == 0


def test_an_inoculum_larger_than_the_fill_needs_no_seawater() -> None:
    shelf = first_state(PLAN)
    done = actions.fill(shelf, NORTH, "starter:other", Broth(4.5, 1e5, 0.0, 0.0, 0.0, 26.0), START)
    assert done.seawater_l == 0.0


def test_an_old_bottle_gives_fewer_cells_and_a_lag() -> None:
    # by hand: 29.5 days of 56 are half of the way from 3 days; 31 is (31 - 3) / 53 of it
    shelf = first_state(PLAN)
    late = START + 29 * DAY  # 31 days in the fridge
    seed = actions.take(shelf, NORTH, STARTER, 100.0, late)
    way = 28.0 / 53.0
    assert seed.density_per_ml == pytest.approx(2e6 * (1.0 - 0.5 * way), rel=1e-12)
    assert seed.lag_days == pytest.approx(4.0 * way, rel=1e-12)
    assert seed.nitrogen_umol_l == pytest.approx(seed.density_per_ml * N_PMOL / 1000.0, rel=1e-12)
    assert seed.silicon_umol_l == 0.0
    assert seed.salinity_psu == 26.0


def test_copies_of_a_shelf_go_their_own_ways() -> None:
    shelf = started()
    other = shelf.copy()
    actions.harvest(other, NORTH, 1000.0, date(2027, 2, 2))
    actions.bank(other, NORTH, 100.0, date(2027, 2, 2))
    actions.reseed(other, NORTH, date(2027, 2, 2))
    actions.empty(other, NORTH, date(2027, 2, 2))
    assert shelf == started()
