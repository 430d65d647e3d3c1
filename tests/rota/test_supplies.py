"""Supplies, shopping and cost against sums by hand, and the fresh water against a reference library."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

import gsw
import pytest
from plan_texts import SHORT

from greenrota.cli.system.rota_at import load_plan
from greenrota.logbook.entry import Entry
from greenrota.planfile.read.load import read_plan
from greenrota.rota.plan import Plan, Prices, Starter
from greenrota.rota.schedule import schedule
from greenrota.rota.state.salt_water import Fill
from greenrota.rota.tasks.amounts import Amounts
from greenrota.rota.tasks.cost import cost
from greenrota.rota.tasks.supplies import Purchase, runs_dry, shopping, supplies, unmixed_shares
from greenrota.rota.tasks.task import Task

SHELF = read_plan(SHORT, "plan.toml")  # vessel north of 5 L to the brim
SPARE = replace(SHELF.vessels[0], name="spare", role="standby", brim_l=3.0)
BOUGHT = Starter("bought", "tetraselmis", 500.0, 2e6, date(2027, 1, 30))
PLAN = replace(SHELF, vessels=(*SHELF.vessels, SPARE), starters=(BOUGHT,))


def task(kind: str, on: int, vessel: str = "north", parent: str = "north/1", **amounts: object) -> Task:
    poured = Amounts(**amounts)  # type: ignore[arg-type]
    batch = f"{vessel}/1"
    return Task(
        f"{batch}/{kind}/{on}", kind, date(2027, 2, on), vessel, batch, parent, poured, None, None, "", ()
    )


TASKS = (
    task("prepare", 1, seawater_ml=3800.0, salt_g=110.0),
    task(
        "start",
        2,
        parent="starter:bought",
        inoculum_ml=200.0,
        seawater_ml=3800.0,
        salt_g=110.0,
        nutrient_ml={"f2": 0.8},
    ),
    task(
        "start",
        2,
        "spare",
        "starter:bought",
        inoculum_ml=50.0,
        seawater_ml=1950.0,
        salt_g=56.0,
        nutrient_ml={"f2": 0.4},
    ),
    task("feed", 6, nutrient_ml={"f2": 0.8}),
    task("harvest", 10, harvest_ml=3200.0, keep_ml=800.0),
    task("prepare", 9, seawater_ml=3200.0, salt_g=92.0),
    task("reseed", 10, seawater_ml=3200.0, salt_g=92.0, nutrient_ml={"f2": 0.64}),
    task("harvest", 12, "spare", harvest_ml=1600.0),
    task("renew", 12, "spare"),
)


def holding(ml: float | None, **more: object) -> Plan:
    bottle = replace(PLAN.nutrients["f2"], bottle_ml=ml, **more)  # type: ignore[arg-type]
    return replace(PLAN, nutrients={"f2": bottle})


def test_totals_are_the_sums_by_hand() -> None:
    used = supplies(PLAN, TASKS)
    assert used.salt_g == 110.0 + 56.0 + 92.0  # what is mixed in prepare is poured once
    assert used.seawater_ml == 3800.0 + 1950.0 + 3200.0
    assert used.nutrient_ml == pytest.approx({"f2": 2.64}, rel=1e-12)  # sums of decimal fractions are rounded
    assert used.starter_ml == {"bought": 250.0}
    assert used.feed_ml == 3200.0  # the standby's harvest is not feed


def test_each_vessel_is_cleaned_once_between_two_fillings() -> None:
    # by hand: two starts, and the renewal that no start follows; 5 + 3 + 3 L of soak and twice that of rinse
    used = supplies(PLAN, TASKS)
    assert (used.cleanings, used.cleaning_ml) == (3, 33000.0)
    # by hand: 11 L x 500 mg/L = 5500 mg of chlorine; 5 % bleach holds 50 g/L NaOCl x 70.906 / 74.442 = 47.62 g/L
    assert used.bleach_ml == pytest.approx(5500.0 / 47.62, rel=1e-3)  # four digits of the strength
    again = supplies(PLAN, (*TASKS, task("start", 14, "spare", "north/1")))
    assert again.cleanings == 3


def test_fresh_water_is_seawater_without_its_salt() -> None:
    # published: TEOS-10 by its reference library; EOS-80 differs by less than 1e-4 of the density here
    salt_g = 112.0
    one = (task("start", 2, seawater_ml=4000.0, salt_g=salt_g),)
    absolute = 26.0 * 35.16504 / 35.0
    water_kg = 4.0 * gsw.rho(absolute, gsw.CT_from_t(absolute, 22.0, 0.0), 0.0) / 1000.0 - salt_g / 1000.0
    fresh_l = water_kg / (gsw.rho(0.0, gsw.CT_from_t(0.0, 22.0, 0.0), 0.0) / 1000.0)
    assert supplies(PLAN, one).mixing_ml == pytest.approx(1000.0 * fresh_l, rel=2e-4)


def test_a_bottle_runs_dry_on_the_day_it_no_longer_holds_enough() -> None:
    # by hand: 1.2 mL on day 2, 2.0 on day 6, 2.64 on day 10
    assert runs_dry(holding(2.64), TASKS) == {}
    assert runs_dry(holding(2.0), TASKS) == {"f2": date(2027, 2, 10)}
    assert runs_dry(holding(1.9), reversed(TASKS)) == {"f2": date(2027, 2, 6)}
    assert runs_dry(holding(None), TASKS) == {}


def test_the_shopping_list_names_what_is_missing() -> None:
    bought = shopping(holding(2.0, size_ml=0.5), TASKS)
    assert [(one.what, one.bottles, one.by) for one in bought] == [
        ("f2", 2, date(2027, 2, 10)),  # by hand: 0.64 mL are missing, bottles hold 0.5
        ("dry salt", None, None),
        ("bleach", None, None),
    ]
    assert bought[0].amount == pytest.approx(0.64, rel=1e-12)
    assert bought[1] == Purchase("dry salt", 258.0, "g", None, None)
    assert [one.what for one in shopping(holding(3.0), TASKS)] == ["dry salt", "bleach"]
    assert shopping(holding(2.0), TASKS)[0].bottles is None
    assert shopping(holding(2.0), ()) == ()


def test_what_the_logbook_poured_is_no_longer_in_the_bottle() -> None:
    # by hand: 3.0 less 1.5 poured is 1.5 left for 2.64: 1.14 missing, first on day 6, when 2.0 is wanted
    (f2, _, bleach) = shopping(holding(3.0, size_ml=0.57), TASKS, {"f2": 1.5})
    assert (f2.amount, f2.unit) == (pytest.approx(1.14, rel=1e-9), "mL")
    assert (f2.bottles, f2.by) == (2, date(2027, 2, 6))  # two of 0.57 are just enough
    # by hand: more poured than the bottle held is an empty bottle, and so is one of unknown content
    assert shopping(holding(3.0), TASKS, {"f2": 9.0})[0].amount == pytest.approx(2.64, rel=1e-9)
    assert shopping(holding(None), TASKS)[0].amount == pytest.approx(2.64, rel=1e-9)
    assert shopping(holding(None), TASKS)[0].by is None
    assert (bleach.amount, bleach.unit) == (pytest.approx(115.5, rel=1e-3), "mL")  # as above


def test_a_nutrient_that_left_the_plan_is_bought_whole_and_has_no_price() -> None:
    gone = replace(PLAN, nutrients={})
    assert shopping(gone, TASKS)[0] == Purchase("f2", pytest.approx(2.64), "mL", None, None)
    assert "f2" in cost(gone, supplies(gone, TASKS)).unpriced
    unsized = holding(None, price=25.0)  # a price of nobody knows how much
    assert "f2" in cost(unsized, supplies(unsized, TASKS)).unpriced


def test_less_than_a_millilitre_or_a_gram_is_bought_and_paid_too() -> None:
    # by hand: 0.5 mL of 250 at 25 = 0.05, half a starter's mL opens the whole bottle at 10, 0.5 g at 5 a kg = 0.0025,
    # over half a litre of feed
    plan = replace(
        holding(0.0, size_ml=250.0, price=25.0),
        prices=Prices("EUR", salt_per_kg=5.0),
        starters=(replace(BOUGHT, price=10.0),),
    )
    small = (
        task(
            "start",
            2,
            parent="starter:bought",
            inoculum_ml=0.5,
            seawater_ml=20.0,
            salt_g=0.5,
            nutrient_ml={"f2": 0.5},
        ),
        task("harvest", 10, harvest_ml=500.0),
    )
    assert [(one.what, one.amount) for one in shopping(plan, small)][:2] == [("f2", 0.5), ("dry salt", 0.5)]
    found = cost(plan, supplies(plan, small))
    assert found.items == pytest.approx({"f2": 0.05, "starter bought": 10.0, "dry salt": 0.0025}, rel=1e-9)
    assert found.per_feed_l == pytest.approx(10.0525 / 0.5, rel=1e-9)
    assert found.currency == "EUR"


def test_what_is_not_used_is_neither_bought_nor_priced() -> None:
    plan = replace(PLAN, prices=Prices("EUR", salt_per_kg=5.0, bleach_per_l=2.0))
    nothing = supplies(
        plan, (task("feed", 6, nutrient_ml={"f2": 0.0}), task("start", 7, parent="starter:bought"))
    )
    found = cost(plan, nothing._replace(bleach_ml=0.0))
    assert (found.items, found.unpriced) == ({}, ())


def test_bleach_is_priced_by_the_litre() -> None:
    # by hand: 250 mL at 2 a litre are 0.5
    plan = replace(PLAN, prices=Prices("EUR", bleach_per_l=2.0))
    used = supplies(plan, ())._replace(bleach_ml=250.0)
    assert cost(plan, used).items == pytest.approx({"bleach": 0.5}, rel=1e-12)


def test_cost_is_the_sum_by_hand() -> None:
    # by hand: f2 2.64 mL of 250 at 25 = 0.264; salt 0.258 kg at 5 = 1.29; the starter whole, 10; 11.554 over 3.2 L
    plan = replace(
        holding(2.0, size_ml=250.0, price=25.0),
        prices=Prices("EUR", salt_per_kg=5.0),
        starters=(replace(BOUGHT, price=10.0),),
    )
    found = cost(plan, supplies(plan, TASKS))
    assert found.items == pytest.approx({"f2": 0.264, "starter bought": 10.0, "dry salt": 1.29}, rel=1e-9)
    assert found.unpriced == ("bleach",)
    assert found.total == pytest.approx(11.554, rel=1e-9)
    assert found.per_feed_l == pytest.approx(11.554 / 3.2, rel=1e-9)


def test_without_prices_or_without_feed_there_is_no_cost_per_litre() -> None:
    assert cost(PLAN, supplies(PLAN, TASKS)).per_feed_l is None
    priced = replace(PLAN, prices=Prices(salt_per_kg=5.0))
    assert cost(priced, supplies(priced, TASKS[:2])).per_feed_l is None


def test_a_rota_pours_what_its_amounts_say() -> None:
    plan = replace(PLAN, vessels=SHELF.vessels)
    rota = schedule(plan)
    used = supplies(plan, rota.tasks)
    filled_ml = sum(
        (t.amounts.inoculum_ml or 0.0) + (t.amounts.seawater_ml or 0.0)
        for t in rota.tasks
        if t.kind == "start"
    )
    assert filled_ml == pytest.approx(4000.0 * sum(t.kind == "start" for t in rota.tasks), rel=1e-12)
    # by hand: every litre of seawater and inoculum at a start, and of seawater at a re-seed, gets 0.20 mL
    fed_ml = sum(t.amounts.nutrient_ml.get("f2", 0.0) for t in rota.tasks if t.kind == "feed")
    inoculum_ml = sum(used.starter_ml.values())
    assert used.nutrient_ml["f2"] == pytest.approx(
        (used.seawater_ml + inoculum_ml) * 0.2e-3 + fed_ml, rel=1e-9
    )


def test_salt_water_that_is_mixed_already_is_not_bought_again() -> None:
    # by hand: 1.3 L of the 3.8 L stand in a bucket, so 2.5 L are mixed; the second start has all it needs
    first, second = (task for task in TASKS if task.kind == "start")
    fill = Fill(first.on, first.id, TASKS[0].id, first.batch, 2500.0)
    unmixed = unmixed_shares((replace(TASKS[0], fills=(fill,)), first, second))
    assert unmixed == pytest.approx({first.id: 2500.0 / 3800.0, second.id: 0.0})
    used = supplies(PLAN, (first, second), unmixed)
    assert used.seawater_ml == pytest.approx(2500.0)
    assert used.salt_g == pytest.approx(110.0 * 2500.0 / 3800.0)
    bought = {one.what: one.amount for one in shopping(PLAN, (first, second), {}, unmixed)}
    assert bought["dry salt"] == pytest.approx(used.salt_g)


def test_a_rota_buys_the_salt_that_its_buckets_take() -> None:
    """Another way to the same sum: the amounts of the days of mixing, with one bucket logged as mixed."""
    plan = load_plan(Path(__file__).parents[2] / "examples" / "shelf.toml")
    first = next(task for task in schedule(plan).tasks if task.kind == "prepare")
    volume_ml = first.amounts.seawater_ml or 0.0
    logged = Entry(first.on, "prepared", "north", (("volume", volume_ml),), 1)
    rota = schedule(plan, (logged,), first.on)
    mixed_g = sum(task.amounts.salt_g or 0.0 for task in rota.tasks if task.kind == "prepare")
    used = supplies(plan, rota.tasks, unmixed_shares(rota.tasks))
    assert used.salt_g == pytest.approx(mixed_g, rel=1e-6)
    assert used.salt_g < supplies(plan, rota.tasks).salt_g - 100.0  # some 9 L of 26 psu hold more than that
