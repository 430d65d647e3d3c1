"""The ledger: pages worked by hand, laws over generated larders, and two routes to one tally."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from itertools import accumulate

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_texts import SHORT

from greenrota.culture.growth.broth import Broth
from greenrota.planfile.read.load import read_plan
from greenrota.rota.feed.daily import DailyRations, daily_rations
from greenrota.rota.feed.rations import RAMP, consumers, usual_ration_ml_per_day, wants
from greenrota.rota.feed.tally import OnHand, RationTally, Tally, balance, on_hand
from greenrota.rota.plan import Consumer, Diet, Plan, Tank
from greenrota.rota.state.state import HarvestBottle

SHELF = read_plan(SHORT, "plan.toml")  # one vessel, north, of tetraselmis
FIRST = SHELF.start
ROUNDING = 1e-6  # mL: some thousand additions of volumes of some litres in double precision


def day(number: int) -> date:
    """The day of the rota, counted from 1."""
    return FIRST + timedelta(days=number - 1)


def harvest(
    number: int,
    volume_ml: float,
    density_per_ml: float = 1e6,
    batch: str = "north/1",
    strain: str = "tetraselmis",
) -> HarvestBottle:
    broth = Broth(1.0, density_per_ml, 800.0, 30.0, 0.0, 26.0)
    return HarvestBottle(f"harvest:{batch}.{number}", batch, strain, day(number), volume_ml, broth)


def plan(ration_ml: float = 100.0, keeps: int = 14, *others: Consumer, **tank: object) -> Plan:
    fed = replace(Tank(200.0, ration_ml, keeps), **tank)  # type: ignore[arg-type]
    return replace(SHELF, tank=fed, consumers=others)


def summed(book: DailyRations) -> Tally:
    """The tally of a ledger, added up line by line."""
    return Tally(
        sum(line.short_ml > 0.0 for line in book.days),
        sum(line.short_ml for line in book.days),
        sum(line.fed_ml for line in book.days),
        sum(line.spoiled_ml for line in book.days),
        book.days[-1].on_hand_ml,
    )


def tally(shelf: Plan, harvests: list[HarvestBottle]) -> Tally:
    """The tally from the first day of the rations, whenever that is."""
    first = min([shelf.start, *(one.on for one in harvests)])
    return RationTally(shelf, OnHand(first)).tally(harvests, day(30))


def column(book: DailyRations, name: str) -> list[object]:
    return [getattr(line, name) for line in book.days]


def test_a_page_worked_by_hand() -> None:
    # derived by hand: 250 mL last two and a half days, the new bottle is opened when the old one is empty
    book = daily_rations(plan(100.0, 14), [harvest(1, 250.0), harvest(3, 100.0)], day(4))
    assert column(book, "on") == [day(n) for n in (1, 2, 3, 4)]
    assert column(book, "in_ml") == [250.0, 0.0, 100.0, 0.0]
    assert column(book, "fed_ml") == [100.0, 100.0, 100.0, 50.0]
    assert column(book, "on_hand_ml") == [150.0, 50.0, 50.0, 0.0]
    assert column(book, "short_ml") == [0.0, 0.0, 0.0, 50.0]
    assert column(book, "oldest_days") == [0, 1, 0, None]
    assert [[p.volume_ml for p in line.portions] for line in book.days] == [
        [100.0],
        [100.0],
        [50.0, 50.0],
        [50.0],
    ]


def test_feed_of_a_day_is_used_through_its_last_day_and_spoils_the_morning_after() -> None:
    # derived by hand: kept 1 day, the 50 mL left on the evening of day 2 are gone on day 3
    book = daily_rations(plan(100.0, 1), [harvest(1, 250.0), harvest(3, 100.0)], day(3))
    assert column(book, "fed_ml") == [100.0, 100.0, 100.0]
    assert column(book, "spoiled_ml") == [0.0, 0.0, 50.0]
    assert column(book, "on_hand_ml") == [150.0, 50.0, 0.0]


def test_the_ledger_begins_with_a_lot_from_before_the_rota() -> None:
    book = daily_rations(plan(), [harvest(-1, 150.0)], day(1))
    assert column(book, "on") == [day(-1), day(0), day(1)]
    assert column(book, "fed_ml") == [100.0, 50.0, 0.0]


def test_standby_harvests_are_not_feed() -> None:
    shelf = plan()
    spare = replace(shelf.vessels[0], name="a spare", role="standby")
    shelf = replace(shelf, vessels=(*shelf.vessels, spare))
    harvests = [harvest(1, 70.0), harvest(1, 900.0, batch="a spare/2")]
    assert daily_rations(shelf, harvests, day(1)).days[0].in_ml == 70.0
    assert RationTally(shelf).tally(harvests, day(1)).fed_ml == 70.0


def test_a_ration_in_cells_takes_the_volume_that_holds_them() -> None:
    # by hand: 5e3 cells/mL of 200 L are 1e9 cells: 1 L at 1e6 cells/mL, 500 mL at 2e6
    shelf = plan(0.0, 14, ration_cells_per_ml=5e3)
    book = daily_rations(shelf, [harvest(1, 1000.0, 1e6), harvest(2, 800.0, 2e6)], day(3))
    assert column(book, "fed_ml") == [1000.0, 500.0, 300.0]
    assert [line.servings[0].fed_cells for line in book.days] == [1e9, 1e9, 0.6e9]
    lacking = 0.4e9 / wants(shelf)[0].usual_per_ml
    assert column(book, "short_ml") == [0.0, 0.0, pytest.approx(lacking, rel=1e-12)]  # a few roundings


def test_water_without_cells_feeds_nobody_who_counts_cells() -> None:
    book = daily_rations(plan(0.0, 14, ration_cells_per_ml=5e3), [harvest(1, 1000.0, 0.0)], day(1))
    assert (book.days[0].fed_ml, book.days[0].on_hand_ml) == (0.0, 1000.0)


def test_who_has_priority_is_served_first() -> None:
    copepods = Consumer("copepods", 80.0, priority=1)
    shelf = plan(100.0, 14, copepods, priority=2)
    line = daily_rations(shelf, [harvest(1, 100.0)], day(1)).days[0]
    assert [(s.consumer, s.fed_ml, s.short_ml) for s in line.servings] == [
        ("copepods", 80.0, 0.0),
        ("tank", 20.0, 80.0),
    ]
    assert [c.name for c in consumers(plan(100.0, 14, replace(copepods, priority=1)))] == ["tank", "copepods"]


def test_shares_bind_each_part_of_a_ration_to_its_strain() -> None:
    # by hand: 70 mL must be tetraselmis and 30 mL isochrysis; there are only 10 mL of that
    diet = Diet(shares=(("tetraselmis", 0.7), ("isochrysis", 0.3)))
    harvests = [harvest(1, 500.0), harvest(1, 10.0, strain="isochrysis")]
    line = daily_rations(plan(100.0, 14, diet=diet), harvests, day(1)).days[0]
    assert line.fed_ml == pytest.approx(80.0, rel=1e-12)  # shares of ten are rounded
    assert line.short_ml == pytest.approx(20.0, rel=1e-12)
    assert {p.harvest.strain: p.volume_ml for p in line.portions} == pytest.approx(
        {"tetraselmis": 70.0, "isochrysis": 10.0}
    )


def test_any_of_some_strains_leaves_the_others_alone() -> None:
    diet = Diet(any_of=("isochrysis", "pavlova"))
    harvests = [harvest(1, 500.0), harvest(2, 30.0, strain="pavlova"), harvest(2, 40.0, strain="isochrysis")]
    book = daily_rations(plan(100.0, 14, diet=diet), harvests, day(2))
    assert column(book, "fed_ml") == [0.0, 70.0]


def test_the_ramp_counts_from_the_first_feed() -> None:
    # common practice, no source: a quarter, half, three quarters, then all; two days each is our choice
    book = daily_rations(plan(100.0, 14, ramp=True), [harvest(3, 2000.0)], day(10))
    assert column(book, "short_ml") == [25.0, 25.0] + [0.0] * 8
    assert column(book, "fed_ml") == [0.0, 0.0, 25.0, 25.0, 50.0, 50.0, 75.0, 75.0, 100.0, 100.0]


def test_a_usual_ration_in_cells_is_told_in_ml() -> None:
    shelf = plan(0.0, 14, Consumer("copepods", 40.0), ration_cells_per_ml=5e3)
    tank_ml = 1e9 / wants(shelf)[0].usual_per_ml
    assert usual_ration_ml_per_day(shelf) == tank_ml + 40.0


def test_a_plan_that_feeds_nobody_only_stores() -> None:
    book = daily_rations(SHELF, [harvest(1, 100.0)], day(16))
    assert sum(line.fed_ml + line.short_ml for line in book.days) == 0.0
    assert book.days[-1].spoiled_ml == 100.0  # kept 14 days by default: through day 15


def test_balance_spoils_before_it_feeds() -> None:
    assert balance([100.0, 0.0, 50.0], [10.0, 10.0, 10.0], 1) == Tally(0, 0.0, 30.0, 80.0, 40.0)


STRAINS = ("tetraselmis", "isochrysis")
LOTS = st.lists(
    st.builds(
        harvest,
        st.integers(-3, 25),
        st.integers(0, 40).map(lambda n: 25.0 * n),
        st.sampled_from([0.0, 4e5, 1e6, 2.5e6]),
        st.just("north/1"),
        st.sampled_from(STRAINS),
    ),
    max_size=25,
)
DIETS = st.sampled_from(
    [Diet(), Diet(any_of=("isochrysis",)), Diet(shares=(("tetraselmis", 0.6), ("isochrysis", 0.4)))]
)
OTHERS = st.lists(
    st.builds(
        Consumer,
        st.sampled_from(["copepods", "clams"]),
        st.floats(0.0, 300.0),
        st.sampled_from([None, 1e3, 2e4]),
        st.floats(1.0, 40.0),
        DIETS,
        st.integers(1, 3),
        st.booleans(),
    ),
    max_size=2,
    unique_by=lambda consumer: consumer.name,
)
PLANS = st.builds(
    lambda ration, keeps, others, diet, ramp: plan(ration, keeps, *others, diet=diet, ramp=ramp),
    st.just(0.0) | st.floats(0.01, 500.0),
    st.integers(1, 20),
    OTHERS,
    DIETS,
    st.booleans(),
)


@given(PLANS, LOTS)
def test_what_comes_in_is_fed_spoiled_or_on_hand(shelf: Plan, harvests: list[HarvestBottle]) -> None:
    book = daily_rations(shelf, harvests, day(30))
    come = accumulate(line.in_ml for line in book.days)
    gone = accumulate(line.fed_ml + line.spoiled_ml for line in book.days)
    for line, come_ml, gone_ml in zip(book.days, come, gone, strict=True):
        assert come_ml == pytest.approx(gone_ml + line.on_hand_ml, abs=ROUNDING)
        assert line.fed_ml == pytest.approx(sum(p.volume_ml for p in line.portions), abs=ROUNDING)
        assert min(line.in_ml, line.fed_ml, line.spoiled_ml, line.on_hand_ml, line.short_ml) >= 0.0
        assert (line.oldest_days is None) == (line.on_hand_ml == 0.0)
    assert sum(line.in_ml for line in book.days) == sum(one.volume_ml for one in harvests)


@given(PLANS, LOTS)
def test_nobody_is_fed_stale_feed_or_another_strain_or_too_much(
    shelf: Plan, harvests: list[HarvestBottle]
) -> None:
    claims = wants(shelf)
    for line in daily_rations(shelf, harvests, day(30)).days:
        for portion in line.portions:
            assert 0 <= (line.on - portion.harvest.on).days <= shelf.tank.keeps_days  # type: ignore[union-attr]
            assert any(w.suits(portion.harvest.strain) for w in claims if w.consumer == portion.consumer)
        for serving in line.servings:
            most_ml = sum(w.usual_ml for w in claims if w.consumer == serving.consumer and not w.in_cells)
            if all(not w.in_cells for w in claims if w.consumer == serving.consumer):
                assert serving.fed_ml + serving.short_ml <= most_ml + ROUNDING


@given(st.floats(0.0, 500.0), st.integers(1, 20), LOTS)
def test_the_oldest_feed_goes_first(ration_ml: float, keeps: int, harvests: list[HarvestBottle]) -> None:
    for line in daily_rations(plan(ration_ml, keeps), harvests, day(30)).days:
        days = [portion.harvest.on for portion in line.portions]
        assert days == sorted(days)
        if days and line.oldest_days is not None:
            assert days[-1] <= line.on - timedelta(days=line.oldest_days)


@given(st.integers(0, 2000).map(lambda n: n / 4), st.integers(1, 20), st.booleans(), LOTS)
def test_two_running_sums_agree_with_the_bottles(
    ration_ml: float, keeps: int, ramp: bool, harvests: list[HarvestBottle]
) -> None:
    shelf = plan(ration_ml, keeps, ramp=ramp)
    quick = tally(shelf, harvests)
    slow = summed(daily_rations(shelf, harvests, day(30)))
    assert quick.short_days == slow.short_days
    for name in ("short_ml", "fed_ml", "spoiled_ml", "on_hand_ml"):
        assert getattr(quick, name) == pytest.approx(getattr(slow, name), abs=ROUNDING)


@given(PLANS, LOTS)
def test_a_larder_of_any_plan_agrees_with_its_ledger(shelf: Plan, harvests: list[HarvestBottle]) -> None:
    quick, slow = tally(shelf, harvests), summed(daily_rations(shelf, harvests, day(30)))
    for name in ("short_ml", "fed_ml", "spoiled_ml", "on_hand_ml"):
        assert getattr(quick, name) == pytest.approx(getattr(slow, name), abs=ROUNDING)


@given(PLANS, LOTS, st.integers(1, 20))
def test_a_tally_from_a_day_on_is_the_rest_of_the_whole(
    shelf: Plan, harvests: list[HarvestBottle], number: int
) -> None:
    """What stands there on a day is all that the days after it need to know of the days before."""
    told = [one for one in harvests if one.on <= day(number)]
    to_come = [one for one in harvests if one.on > day(number)]
    quick = RationTally(shelf, on_hand(shelf, told, (), day(number))).tally([*told, *to_come], day(30))
    rest = [line for line in daily_rations(shelf, harvests, day(30)).days if line.on >= day(number)]
    assert quick.short_ml == pytest.approx(sum(line.short_ml for line in rest), abs=ROUNDING)
    assert quick.fed_ml == pytest.approx(sum(line.fed_ml for line in rest), abs=ROUNDING)


def test_the_ramp_has_the_steps_that_the_text_names() -> None:
    assert sorted({*RAMP, 1.0}) == [0.25, 0.5, 0.75, 1.0]
    assert len(RAMP) == 6  # full rations on the seventh day


def test_a_harvest_of_years_ago_is_history() -> None:
    """By hand: feed that nobody can have any more adds no days to the ledger, and nothing to a tally."""
    old, new = harvest(-40_000, 500.0), harvest(1, 500.0)
    assert daily_rations(plan(), [old, new], day(9)) == daily_rations(plan(), [new], day(9))
    assert RationTally(plan()).tally([old, new], day(9)) == RationTally(plan()).tally([new], day(9))
