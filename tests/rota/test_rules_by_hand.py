"""Seeding, donors, back-ups, renewals, cycles and outlooks by examples that were reckoned by hand."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

import pytest
from audit import check_all
from made_logs import fulfils, lived, numbered
from made_plans import START, example_plan, example_vessel

from greenrota.culture.data.medium import media
from greenrota.logbook.entry import Entry, Value
from greenrota.rota.plan import Away, CyclePlan, Nutrient, Plan, Starter, Work
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.search import search
from greenrota.rota.tasks.task import Task

DAY = timedelta(days=1)
# Tetraselmis in 4 L, from its figures: ceiling 1.1e6; a start at the least share, 0.065 x 1.1e6 = 71,500 cells/mL,
# needs 71,500 x 4,000 = 2.86e8 cells: 143 mL of a starter of 2e6.
LEAST_CELLS = 2.86e8
# An f/2 of half the nitrogen builds 441.2 / 0.75 x 1000 = 588,270 cells/mL: under the bench's 1.1e6, a dose pays.
HALF_F2 = replace(media()["f/2"], nitrogen_umol_l=441.2)
HALF_DOSED = {"f2": Nutrient("f2", HALF_F2, 0.20)}


@pytest.fixture(autouse=True)
def no_search(monkeypatch: pytest.MonkeyPatch) -> None:
    """The rules alone: nothing is chosen among what they allow."""
    monkeypatch.setattr(search, "MOST_BATCHES", 0)


def task(rota: Rota, name: str) -> Task:
    return next(task for task in rota.tasks if task.id == name)


def kinds(rota: Rota, kind: str) -> list[Task]:
    return [task for task in rota.tasks if task.kind == kind]


def entry(day: int, kind: str, vessel: str, **values: Value) -> Entry:
    return Entry(START + day * DAY, kind, vessel, tuple(values.items()))


def started(day: int, vessel: str, inoculum_ml: float = 187.5) -> Entry:
    values: tuple[tuple[str, Value], ...] = (("from", "starter:bought"), ("inoculum", inoculum_ml))
    return Entry(START + day * DAY, "started", vessel, values)


def on(plan: Plan, told: Sequence[Entry], day: int) -> Rota:
    rota = schedule(plan, numbered(told), START + day * DAY)
    check_all(rota)
    return rota


# --- seeding ------------------------------------------------------------------------------------------------------


def test_the_example_of_the_reference() -> None:
    # 500 mL less a quarter over two vessels: 187.5 mL each; 187.5 x 2e6 / 4000 = 93,750 cells/mL
    first = task(schedule(example_plan()), "north/1/start")
    assert first.on == date(2027, 2, 1)
    assert first.parent == "starter:bought"
    assert first.amounts.inoculum_ml == 187.5
    assert first.amounts.seawater_ml == 3812.5
    assert dict(first.amounts.nutrient_ml) == {"f2": pytest.approx(0.80)}
    assert first.density_before_per_ml is None
    assert first.density_after_per_ml == pytest.approx(93_750.0, rel=1e-12)


def test_a_starter_seeds_what_it_can_and_the_rest_waits_for_a_harvest() -> None:
    # 375 mL free: two vessels at 143 mL, not three (429 mL)
    plan = example_plan(vessels=tuple(map(example_vessel, ("north", "south", "east"))))
    rota = schedule(plan)
    assert task(rota, "east/1/start").amounts.inoculum_ml == 187.5
    assert task(rota, "north/1/start").amounts.inoculum_ml == 187.5
    third = task(rota, "south/1/start")
    assert third.parent in ("east/1", "north/1")
    assert third.on == task(rota, f"{third.parent}/harvest").on


def test_starters_start_vessels_at_one_share_of_their_ceilings() -> None:
    # 4 L and 1 L, where a ceiling goes with the fill to the power -0.4: 375 mL in shares of 4^0.6 = 2.297 to 1
    plan = example_plan(vessels=(example_vessel("north"), example_vessel("south", fill_l=1.0)))
    rota = schedule(plan)
    assert task(rota, "north/1/start").amounts.inoculum_ml == pytest.approx(261.27, abs=0.01)
    assert task(rota, "south/1/start").amounts.inoculum_ml == pytest.approx(113.73, abs=0.01)


def test_what_one_start_takes_leaves_enough_for_the_small_ones() -> None:
    # by fill, 3.8 L would take 168 of 300 mL and leave 66 mL for each 1.5 L, which need 72 mL; one would go without
    jars = [
        example_vessel(name, fill_l=fill, photoperiod_h=12.0)
        for name, fill in (("big", 3.8), ("a", 1.5), ("b", 1.5))
    ]
    plan = example_plan(
        days=13,
        vessels=tuple(jars),
        starters=(_starter(volume_ml=300.0, density_per_ml=2.2e6, keep_back=0.0),),
    )
    told = Entry(START, "started", "big", (("from", "starter:bought"), ("inoculum", 139.9)), 1)
    rota = schedule(plan, [told], START + DAY)
    assert [each.parent for each in rota.tasks if each.kind == "start"] == ["starter:bought"] * 2


def test_more_starter_than_a_vessel_takes_stays_in_the_bottle() -> None:
    # half the fill is the most
    plan = example_plan(vessels=(example_vessel("north"),), starters=(_starter(volume_ml=20_000.0),))
    assert task(schedule(plan), "north/1/start").amounts.inoculum_ml == 2000.0


def test_a_starter_is_not_used_before_it_is_there_nor_after_its_time() -> None:
    late = schedule(example_plan(starters=(_starter(on_hand=START + 9 * DAY),)))
    assert min(task.on for task in late.tasks if task.kind == "start") >= START + 9 * DAY
    old = schedule(example_plan(starters=(_starter(on_hand=START - 57 * DAY),)))  # keeps 56 days
    assert not kinds(old, "start")
    assert {"starter-old", "strain-lost", "vessel-waits"} <= {warning.code for warning in old.warnings}


def _starter(**changes: object) -> Starter:
    return replace(example_plan().starters[0], **changes)  # type: ignore[arg-type]


# --- donors -------------------------------------------------------------------------------------------------------


def test_a_restart_leaves_alone_what_is_promised_to_another_vessel() -> None:
    plan = example_plan()
    told = [started(0, "north"), entry(1, "crashed", "north", cause="unknown")]
    rota = on(plan, told, 1)
    again, other = task(rota, "north/2/start"), task(rota, "south/1/start")
    assert again.parent == other.parent == "starter:bought"
    assert other.amounts.inoculum_ml == 187.5
    assert again.amounts.inoculum_ml is not None
    assert again.amounts.inoculum_ml <= 500.0 - 2 * 187.5 + 1e-9
    assert again.on == START + 2 * DAY  # not on the day of the crash


def test_a_living_donor_comes_before_the_fridge_and_keeps_its_own_re_seed() -> None:
    plan = example_plan(cycle=CyclePlan(inoculum=0.2), days=45)
    told = lived(plan, 20, seed=3, luck=1.0)
    today = 20
    shelf = schedule(plan, told, START + today * DAY).state
    assert any(name.startswith("fridge:") for name in shelf.bottles)
    rota = on(plan, [*told, entry(today, "crashed", "north", cause="overheating")], today)
    again = next(task for task in kinds(rota, "start") if task.vessel == "north")
    giver = shelf.cultures["south"].batch.id
    assert again.parent in (giver, *shelf.bottles)
    if again.parent == giver:  # 4 L less 0.8 L for its own re-seed
        assert again.amounts.inoculum_ml is not None
        assert again.amounts.inoculum_ml <= 3200.0 + 1e-6
    assert "overheating" in again.reason


def test_with_nothing_left_it_says_the_strain_is_lost() -> None:
    plan = example_plan(
        vessels=(example_vessel("north"),), starters=(_starter(keep_back=0.0, volume_ml=300.0),)
    )
    told = [started(0, "north", 300.0), entry(4, "crashed", "north", cause="air-failure")]
    rota = on(plan, told, 4)
    assert not rota.tasks
    assert "strain-lost" in {warning.code for warning in rota.warnings}


# --- back-ups -----------------------------------------------------------------------------------------------------


def test_a_back_up_holds_half_as_much_again_as_a_start_needs() -> None:
    rota = schedule(example_plan(days=62))
    banks = kinds(rota, "bank")
    for filled in banks:
        assert filled.amounts.bank_ml is not None
        assert filled.density_before_per_ml is not None
        cells = filled.amounts.bank_ml * filled.density_before_per_ml
        assert cells == pytest.approx(1.5 * LEAST_CELLS, rel=1e-9)
    harvests = sorted(task.on for task in kinds(rota, "harvest"))
    assert banks[0].on == harvests[0]
    # replaced at the first harvest after half of its 56 days
    due = banks[0].on + 28 * DAY
    assert banks[1].on == next(day for day in harvests if day >= due)


def test_no_second_back_up_while_the_first_is_young() -> None:
    assert len(kinds(schedule(example_plan(days=31)), "bank")) == 1


# --- renewal ------------------------------------------------------------------------------------------------------


def test_a_vessel_is_broken_down_after_so_many_re_seeds() -> None:
    plan = example_plan(days=62, cycle=CyclePlan(days=6, inoculum=0.25, renew_after=2))
    rota = schedule(plan)
    check_all(rota)
    line = [t for t in rota.tasks if t.vessel == "north" and t.kind in ("start", "reseed", "renew")]
    begun = ["north/1/start", "north/2/reseed", "north/3/reseed", "north/3/renew", "north/4/start"]
    assert [t.id for t in line[:5]] == begun
    whole = task(rota, "north/3/harvest")
    assert whole.on == line[3].on
    assert whole.amounts.keep_ml == 0.0
    assert line[4].on > line[3].on
    assert line[4].parent.startswith(("south/", "fridge:"))
    for renewed in kinds(rota, "renew"):  # never sooner, though two vessels may not be renewed at once
        assert rota.simulation.state.batches[renewed.batch].reseeds >= 2


def test_the_last_culture_of_a_strain_is_bottled_before_it_is_broken_down() -> None:
    plan = example_plan(
        days=62, vessels=(example_vessel(),), cycle=CyclePlan(days=6, inoculum=0.25, renew_after=1)
    )
    rota = schedule(plan)
    assert task(rota, "north/2/bank").on == task(rota, "north/2/renew").on
    assert task(rota, "north/3/start").parent == "fridge:north/2"


# --- cycle --------------------------------------------------------------------------------------------------------


def test_a_pinned_cycle_is_kept_to_the_day() -> None:
    plan = example_plan(cycle=CyclePlan(days=8, inoculum=0.2, feed_day=5))
    rota = schedule(plan)
    begun = {t.batch: t.on for t in rota.tasks if t.kind in ("start", "reseed")}
    for harvest in kinds(rota, "harvest"):
        assert harvest.on == begun[harvest.batch] + 8 * DAY
        assert harvest.amounts.keep_ml == pytest.approx(800.0)
        assert harvest.amounts.harvest_ml is not None
    for feed in kinds(rota, "feed"):
        assert feed.on == begun[feed.batch] + 5 * DAY
        assert dict(feed.amounts.nutrient_ml) == {"f2": pytest.approx(0.8)}


def test_a_cycle_that_is_chosen_is_ripe_in_steady_state() -> None:
    rota = schedule(example_plan())
    cycle, rate = rota.cycles["north"], rota.benches["north"].rate_per_day
    decay = math.exp(-rate * cycle.days)  # (1 - E/k)/(1 - E), by hand
    assert cycle.peak_share == pytest.approx((1.0 - decay / cycle.keep_share) / (1.0 - decay), rel=1e-9)
    assert cycle.peak_share >= 0.80


def test_a_cycle_below_its_growth_washes_out() -> None:
    rota = schedule(example_plan(cycle=CyclePlan(days=2, inoculum=0.05)))
    assert rota.benches["north"].rate_per_day * 2 < math.log(20.0)  # needs ln(1/0.05) in two days
    assert "wash-out" in {warning.code for warning in rota.warnings}


# --- outlook and feeding ------------------------------------------------------------------------------------------


def test_ripe_and_over_ripe_are_the_days_of_the_logistic() -> None:
    rota = schedule(example_plan())
    projection = next(c.projection for c in rota.simulation.choices if c.batch.id == "north/1")
    share, rate = 93_750.0 / 1.1e6, rota.benches["north"].rate_per_day
    to_ripe = math.log(4.0 / (share / (1.0 - share))) / rate  # 80 % of the ceiling: odds of 4
    to_still = math.log(19.0 / (share / (1.0 - share))) / rate  # 95 %: odds of 19
    assert projection.ripe_on == START + math.ceil(to_ripe) * DAY
    assert projection.over_on == START + (math.floor(to_still) + 4) * DAY


def test_a_dose_that_buys_nothing_is_not_given_and_one_that_pays_is() -> None:
    # full f/2 builds 882.4 / 0.75 x 1000 = 1,176,540 cells/mL, above the bench's 1.1e6
    assert not kinds(schedule(example_plan()), "feed")
    paid = kinds(schedule(example_plan(nutrients=HALF_DOSED)), "feed")[0]
    assert "nitrogen" in paid.reason
    forced = kinds(schedule(example_plan(cycle=CyclePlan(feed_day=4))), "feed")[0]
    assert "buys nothing" in forced.reason


def test_a_dose_is_due_on_its_day_and_overdue_after_it() -> None:
    plan = example_plan(nutrients=HALF_DOSED, vessels=(example_vessel(),))
    told = [started(0, "north", 375.0)]
    due = task(on(plan, told, 0), "north/1/feed").on
    # 375 mL of starter bring 1,500 umol/L of their own, 140.6 over 4 L: (441.2 + 140.6) / 0.75 x 1000 = 775,767;
    # half of that from 187,500 by the logistic, whole days
    share = 187_500.0 / 775_767.0
    rate = schedule(plan).benches["north"].rate_per_day
    assert due == START + max(1, math.floor(-math.log(share / (1.0 - share)) / rate)) * DAY
    day = (due - START).days
    assert task(on(plan, told, day), "north/1/feed").on == due
    late = on(plan, told, day + 1)
    assert task(late, "north/1/feed").on == due + DAY
    assert late.overdue["north/1/feed"] == due


def test_a_culture_that_nobody_harvests_goes_on_ageing() -> None:
    plan = example_plan(days=62, vessels=(example_vessel(),))
    told = [started(0, "north", 375.0)]
    first = next(
        c.projection.over_on for c in on(plan, told, 0).simulation.choices if c.batch.id == "north/1"
    )
    assert first is not None
    for day in (20, 30, 40):
        rota = on(plan, told, day)
        choice = next(c for c in rota.simulation.choices if c.batch.id == "north/1")
        assert choice.projection.over_on is not None
        assert abs((choice.projection.over_on - first).days) <= 1  # whole days
        assert choice.taken == START + day * DAY
        assert "over-ripe" in {warning.code for warning in rota.warnings}


def test_days_off_and_away_are_left_free() -> None:
    plan = example_plan(
        days=45,
        work=Work(frozenset({2, 5, 6})),
        away=(Away(START + 10 * DAY, START + 18 * DAY),),
    )
    rota = schedule(plan)
    check_all(rota)
    assert all(t.on.weekday() in (2, 5, 6) for t in rota.tasks if t.kind != "prepare")
    assert not [t for t in rota.tasks if START + 10 * DAY <= t.on <= START + 18 * DAY]


# --- what the logbook says ----------------------------------------------------------------------------------------


def test_a_first_filling_is_not_put_off_to_the_day_of_a_later_restart() -> None:
    plan = example_plan(days=62, cycle=CyclePlan(days=5, inoculum=0.3, renew_after=1))
    rota = on(plan, [started(0, "north")], 12)
    assert task(rota, "south/1/start").on <= START + 17 * DAY  # within one cycle


def test_what_is_skipped_is_let_go_or_put_off() -> None:
    plan = example_plan(nutrients=HALF_DOSED, vessels=(example_vessel(),))
    told = [started(0, "north", 375.0)]
    feed = task(on(plan, told, 0), "north/1/feed")
    day = (feed.on - START).days
    without = on(plan, [*told, entry(day, "skipped", "north", task=feed.id)], day)
    assert feed.id not in {t.id for t in without.tasks}
    fed = task(on(plan, told, day), "north/1/harvest").density_before_per_ml
    unfed = task(without, "north/1/harvest").density_before_per_ml
    assert fed is not None
    assert unfed is not None
    assert unfed < 775_767.0 < fed  # the ceiling that nitrogen sets without the dose, as above

    harvest = task(on(plan, told, day), "north/1/harvest")
    day = (harvest.on - START).days
    later = on(plan, [*told, entry(day, "skipped", "north", task=harvest.id)], day)
    assert task(later, harvest.id).on > harvest.on
    no_start = on(plan, [entry(0, "skipped", "north", task="north/1/start")], 0)
    assert task(no_start, "north/1/start").on > START


def test_after_a_harvest_only_the_re_seed_is_left() -> None:
    plan = example_plan(vessels=(example_vessel(),), cycle=CyclePlan(inoculum=0.2))
    told = [started(0, "north", 375.0)]
    rota = on(plan, [*told, entry(9, "harvested", "north", volume=3000.0)], 9)
    assert "north/1/harvest" not in {t.id for t in rota.tasks}
    again = task(rota, "north/2/reseed")
    assert again.on == START + 9 * DAY
    assert again.amounts.keep_ml == pytest.approx(1000.0)
    assert again.amounts.seawater_ml == pytest.approx(3000.0)


def test_a_cup_for_the_tank_is_not_the_harvest() -> None:
    plan = example_plan(vessels=(example_vessel(),), cycle=CyclePlan(inoculum=0.2))
    told = [started(0, "north", 375.0), entry(5, "harvested", "north", volume=100.0)]
    harvest = task(on(plan, told, 5), "north/1/harvest")
    bank = task(on(plan, told, 5), "north/1/bank")
    assert harvest.amounts.harvest_ml is not None
    assert bank.amounts.bank_ml is not None
    assert harvest.amounts.harvest_ml + bank.amounts.bank_ml == pytest.approx(3900.0 - 800.0)


def test_a_vessel_drawn_empty_is_an_empty_vessel() -> None:
    plan = example_plan()
    told = [started(0, "north"), started(3, "south"), entry(12, "harvested", "north", volume=4000.0)]
    rota = on(plan, told, 12)
    assert "north" not in rota.state.cultures
    assert task(rota, "north/2/start").on > START + 12 * DAY


def test_part_of_a_culture_can_be_poured_away() -> None:
    plan = example_plan()
    told = [started(0, "north"), entry(6, "discarded", "north", volume=500.0)]
    assert on(plan, told, 6).state.cultures["north"].broth.volume_l == pytest.approx(3.5)
    assert "north" not in on(plan, [told[0], entry(6, "discarded", "north")], 6).state.cultures


def test_a_back_up_that_cannot_be_filled_does_not_cost_the_old_one() -> None:
    plan = example_plan()
    told = [started(0, "north"), entry(8, "banked", "north", volume=300.0)]
    rota = on(plan, [*told, entry(10, "banked", "north", volume=9000.0)], 10)
    assert [problem.code for problem in rota.problems] == ["log-not-enough"]
    assert rota.state.bottles["fridge:north/1"].volume_ml == 300.0


def test_a_start_may_name_the_vessel_it_came_from() -> None:
    told = [
        started(0, "north"),
        Entry(START + 9 * DAY, "started", "south", (("from", "north"), ("inoculum", 500.0))),
    ]
    rota = on(example_plan(), told, 9)
    assert not rota.problems
    assert rota.state.batches["south/1"].parent == "north/1"
    assert rota.state.cultures["north"].broth.volume_l == pytest.approx(3.5)


@pytest.mark.parametrize("source", ["north/1", "south/1", "fridge:south/1", "nirgends"])
def test_nothing_descends_from_what_is_yet_to_come(source: str) -> None:
    told = [
        Entry(START, "started", "north", (("from", source),)),
        Entry(START + DAY, "started", "south", (("from", "north/1"), ("inoculum", 100.0))),
        entry(2, "crashed", "south", cause="contamination", since=START),
    ]
    rota = on(example_plan(), told, 2)
    assert "log-source" in {problem.code for problem in rota.problems}
    assert rota.state.batches["north/1"].parent == "starter:unknown"
    assert "north/1" in rota.suspects


def test_a_start_from_another_strain_is_said() -> None:
    plan = example_plan(starters=(_starter(), Starter("other", "isochrysis", 500.0, 1e7, START)))
    told = [Entry(START, "started", "north", (("from", "starter:other"), ("inoculum", 200.0)))]
    assert [problem.code for problem in on(plan, told, 0).problems] == ["log-source"]


def test_what_was_done_late_or_otherwise_counts_as_it_was_done() -> None:
    plan = example_plan(starters=(_starter(on_hand=START),))  # three days old: still as fresh as it came
    first = task(schedule(plan), "north/1/start")
    told = [fulfils(first, START + 3 * DAY, 0.5)]
    rota = on(plan, told, 3)
    assert rota.state.cultures["north"].broth.density_per_ml == pytest.approx(93_750.0 / 2.0)
    assert rota.state.bottles["starter:bought"].volume_ml == pytest.approx(500.0 - 93.75)
