"""Harvest bottles: nothing suspect is given, volumes balance, and the logbook says what happened to each."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_logs import books, held
from made_plans import START, example_plan, example_vessel, lively_plans

from greenrota.logbook.entry import Entry, Value
from greenrota.rota.answers.away import Departure, departures
from greenrota.rota.feed.bottles import BottleRecord
from greenrota.rota.plan import Away, Consumer, Plan, Tank
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.views.away.visitor_note import visitor_note
from greenrota.views.labels.label import labels
from greenrota.views.tasks.pour import done
from greenrota.views.tasks.tasklist import task_object

ROUNDING_ML = 1e-6  # mL: some hundred additions of litres in double precision
PLAN = example_plan(
    days=40,
    vessels=tuple(map(example_vessel, ("north", "south"))),
    tank=Tank(300.0, 120.0, 14),
)


def on(day: int) -> date:
    return START + timedelta(days=day)


def entry(day: int, kind: str, subject: str, **values: Value) -> Entry:
    spelled = {key.rstrip("_"): value for key, value in values.items()}
    return Entry(on(day), kind, subject, tuple(spelled.items()))


# By hand: south filled on day 0, 2.4 L harvested on day 9 and re-seeded.
HARVESTED = (
    entry(0, "started", "north", from_="starter:bought", inoculum=190.0),
    entry(0, "started", "south", from_="starter:bought", inoculum=190.0),
    entry(9, "harvested", "south", volume=2400.0),
    entry(9, "reseeded", "south", inoculum=1600.0),
)


def record(rota: Rota, name: str) -> BottleRecord:
    return next(each for each in rota.bottles if each.bottle.id == name)


def given_from(rota: Rota) -> set[tuple[str, date]]:
    """Every bottle that some day of the rota gives from, with the day."""
    return {(each.harvest.id, day.on) for day in rota.rations().days for each in day.portions}


def test_a_contamination_withholds_what_was_harvested_since() -> None:
    told = (*HARVESTED, entry(11, "crashed", "south", cause="contamination", since=on(8)))
    rota = schedule(PLAN, told, on(11))
    assert record(rota, "harvest:south/1").state == "suspect"
    assert [each.bottle.id for each in rota.withheld] == ["harvest:south/1"]
    # by hand: given on days 9 and 10, before anybody knew, and never after
    assert {day for name, day in given_from(rota) if name == "harvest:south/1"} == {on(9), on(10)}
    assert record(rota, "harvest:south/1").left_ml == pytest.approx(2400.0 - 2 * 120.0, abs=ROUNDING_ML)
    assert "bottle-withheld" in {warning.code for warning in rota.warnings}


def test_the_shortfall_that_follows_is_told_with_its_first_day() -> None:
    alone = replace(PLAN, vessels=PLAN.vessels[1:])
    told = (*HARVESTED[1:], entry(11, "crashed", "south", cause="contamination", since=on(8)))
    before, after = schedule(alone, HARVESTED[1:], on(11)), schedule(alone, told, on(11))
    assert "ration-short" not in {warning.code for warning in before.warnings}
    (short,) = [warning.text for warning in after.warnings if warning.code == "ration-short"]
    assert str(on(11)) in short  # nothing that is good is left from that day on


def test_what_was_harvested_before_is_good() -> None:
    told = (*HARVESTED, entry(11, "crashed", "south", cause="contamination", since=on(10)))
    assert record(schedule(PLAN, told, on(11)), "harvest:south/1").state == "good"


@pytest.mark.parametrize(("since", "state"), [(None, "suspect"), (on(10), "good")])
def test_a_loss_nobody_can_explain_withholds_the_last_harvests(since: date | None, state: str) -> None:
    values = {} if since is None else {"since": since}
    told = (*HARVESTED, entry(11, "crashed", "south", cause="unknown", **values))
    rota = schedule(PLAN, told, on(11))
    assert record(rota, "harvest:south/1").state == state
    assert "north/1" not in rota.suspects  # nothing says that it is catching


def test_other_causes_leave_the_bottles_alone() -> None:
    told = (*HARVESTED, entry(11, "crashed", "south", cause="overheating"))
    assert schedule(PLAN, told, on(11)).withheld == ()


def test_a_bottle_can_be_marked_cleared_found_bad_and_poured_away() -> None:
    marked = (*HARVESTED, entry(10, "suspected", "harvest:south/1", reason="smells rotten"))
    rota = schedule(PLAN, marked, on(10))
    assert record(rota, "harvest:south/1").state == "suspect"
    assert "smells rotten" in record(rota, "harvest:south/1").because
    cleared = (*marked, entry(12, "cleared", "harvest:south/1"))
    rota = schedule(PLAN, cleared, on(12))
    assert record(rota, "harvest:south/1").state == "good"
    days = {day for name, day in given_from(rota) if name == "harvest:south/1"}
    assert on(9) in days and on(12) in days and not days & {on(10), on(11)}
    bad = (*cleared, entry(13, "condemned", "harvest:south/1"))
    assert record(schedule(PLAN, bad, on(13)), "harvest:south/1").state == "condemned"
    gone = (*bad, entry(14, "discarded", "harvest:south/1"))
    rota = schedule(PLAN, gone, on(14))
    assert record(rota, "harvest:south/1").state == "poured_away"
    assert rota.withheld == ()


def test_a_marked_vessel_bars_what_was_harvested_just_before() -> None:
    """By hand: marked on day 11 without a day, so doubted since day 8; harvested on day 9 from the batch before."""
    rota = schedule(PLAN, (*HARVESTED, entry(11, "suspected", "south")), on(11))
    assert record(rota, "harvest:south/1").state == "suspect"
    later = schedule(PLAN, (*HARVESTED, entry(13, "suspected", "south")), on(13))
    assert record(later, "harvest:south/1").state == "good"


def test_a_marked_vessel_bars_what_is_harvested_from_it_later() -> None:
    told = (*HARVESTED, entry(10, "suspected", "south"))
    rota = schedule(PLAN, told, on(10))
    later = [each for each in rota.simulation.state.harvests if each.batch == "south/2"]
    assert later and all(each.barred_on is not None for each in later)
    assert not {name for name, _ in given_from(rota)} & {each.id for each in later}


def test_a_harvest_of_a_suspect_vessel_says_so_on_every_page_that_plans_it() -> None:
    rota = schedule(PLAN, (*HARVESTED, entry(10, "suspected", "south")), on(10))
    task = next(each for each in rota.tasks if each.kind == "harvest" and each.vessel == "south")
    assert task.withheld
    assert "give none of it" in done(task)
    assert task_object(task)["withheld"] is True
    labels_of = {label.title: " ".join(label.lines) for label in labels(rota, task.on)}
    assert "SUSPECT" in labels_of["harvest south/2"]
    assert "harvest:south/2" not in visitor_note(_days_away(rota), "shelf", "metric")


def _days_away(rota: Rota) -> Departure:
    plan = replace(rota.plan, away=(Away(on(20), on(24)),))
    return departures(schedule(plan, (*HARVESTED, entry(10, "suspected", "south")), on(10)))[0]


# By hand: 2.4 L on day 9, 120 mL a day from day 9 on.
@pytest.mark.parametrize(
    ("more", "left_ml"),
    [
        ((), 2400.0 - 4 * 120.0),
        ((entry(10, "given", "tank", volume=200.0),), 2400.0 - 3 * 120.0 - 200.0),
        ((entry(10, "given", "tank", volume=0.0),), 2400.0 - 3 * 120.0),
        ((entry(10, "given", "tank", volume=100.0, from_="harvest:south/1"),), 2400.0 - 3 * 120.0 - 100.0),
        ((entry(10, "given", "tank"),), 2400.0 - 4 * 120.0),
        ((entry(10, "given-away", "harvest:south/1", volume=500.0),), 2400.0 - 4 * 120.0 - 500.0),
        ((entry(10, "discarded", "harvest:south/1", volume=500.0),), 2400.0 - 4 * 120.0 - 500.0),
        ((entry(11, "measured", "harvest:south/1", volume=1000.0),), 1000.0 - 2 * 120.0),
    ],
)
def test_what_is_logged_counts_and_the_rest_is_taken_as_given(
    more: tuple[Entry, ...], left_ml: float
) -> None:
    rota = schedule(PLAN, (*HARVESTED, *more), on(12))
    assert record(rota, "harvest:south/1").left_ml == pytest.approx(left_ml, abs=ROUNDING_ML)
    logged = {day.on for day in rota.rations().days for serving in day.servings if serving.logged}
    assert logged == {each.on for each in more if each.kind == "given"}


@pytest.mark.parametrize(
    ("day", "since", "doubted"),
    [(11, None, True), (13, None, True), (14, None, False), (14, 10, True), (11, 11, False)],
)
def test_a_fridge_bottle_marked_as_suspect_goes_back_three_days_or_to_the_day_that_is_said(
    day: int, since: int | None, doubted: bool
) -> None:
    """By hand, as the logbook page says: south was started from the bottle on day 10."""
    marked = {} if since is None else {"since": on(since)}
    book = (
        HARVESTED[0],
        entry(9, "banked", "north", volume=400.0),
        entry(10, "started", "south", from_="fridge:north/1", inoculum=400.0),
        entry(day, "suspected", "fridge:north/1", **marked),
    )
    suspects = schedule(PLAN, book, on(day)).suspects
    assert "fridge:north/1" in suspects
    assert ("south/1" in suspects) is doubted


def test_two_consumers_are_logged_apart() -> None:
    plan = example_plan(
        days=40, vessels=PLAN.vessels, tank=PLAN.tank, consumers=(Consumer("copepods", 30.0),)
    )
    rota = schedule(plan, (*HARVESTED, entry(9, "given", "copepods", volume=60.0)), on(9))
    day = next(day for day in rota.rations().days if day.on == on(9))
    assert {each.consumer: each.fed_ml for each in day.servings} == {"tank": 120.0, "copepods": 60.0}


def test_a_replaced_back_up_is_offered_and_never_forgotten() -> None:
    banked = (
        entry(8, "banked", "north", volume=400.0),
        entry(9, "harvested", "south", volume=2000.0),
        entry(9, "banked", "south", volume=400.0),
    )
    rota = schedule(PLAN, (*HARVESTED[:2], *banked), on(9))
    old = record(rota, "fridge:north/1")
    assert (old.state, old.left_ml, old.planned) == ("good", 400.0, False)
    assert "fridge:north/1" not in {name for name, _ in given_from(rota)}  # no ration is planned on it
    used = (*HARVESTED[:2], *banked, entry(10, "given", "tank", from_="fridge:north/1", volume=400.0))
    assert record(schedule(PLAN, used, on(10)), "fridge:north/1").state == "used"


@pytest.mark.parametrize(
    "wrong",
    [
        entry(10, "given", "tanc"),
        entry(10, "given", "tank", from_="harvest:nort/1"),
        entry(10, "measured", "harvest:nort/1", volume=10.0),
        entry(10, "suspected", "nort"),
    ],
)
def test_a_name_that_is_not_known_is_told_and_nothing_is_lost(wrong: Entry) -> None:
    rota = schedule(PLAN, (*HARVESTED, wrong), on(10))
    assert [problem.code[:12] for problem in rota.problems] == ["log-unknown-"]
    assert all("did you mean" in problem.hint for problem in rota.problems)
    assert record(rota, "harvest:south/1").state == "good"


@pytest.mark.parametrize(("counted", "asked"), [(2e4, True), (5e5, False)])
def test_a_count_far_below_the_projection_asks_for_a_crash(counted: float, asked: bool) -> None:
    rota = schedule(PLAN, (*HARVESTED[:2], entry(7, "counted", "north", density=counted)), on(7))
    assert ("count-low" in {warning.code for warning in rota.warnings}) is asked
    assert [each.vessel for each in rota.doubtful_counts] == (["north"] if asked else [])
    again = schedule(
        PLAN,
        (
            *HARVESTED[:2],
            entry(7, "counted", "north", density=counted),
            entry(8, "counted", "north", density=6e5),
        ),
        on(8),
    )
    assert again.doubtful_counts == ()


MISSING_ML = 300.0  # less than the last fill of the bucket takes


@pytest.mark.usefixtures("longer_search")  # dates that stay as they are with less water
def test_water_that_is_no_longer_enough_gets_a_task_for_the_rest() -> None:
    first = schedule(PLAN)
    prepare = next(task for task in first.tasks if task.kind == "prepare" and task.vessel == "north")
    mixed_ml = (prepare.amounts.seawater_ml or 0.0) - MISSING_ML
    less = (entry(0, "prepared", "north", volume=mixed_ml),)
    last = prepare.fills[-1]  # the water of the others is there
    more = [task for task in schedule(PLAN, less, on(0)).tasks if last.task in task.serves]
    assert [task.serves for task in more] == [(last.task,)]
    assert (
        f"(of {last.seawater_ml:.0f} mL, {last.seawater_ml - MISSING_ML:.0f} mL are on hand)"
        in more[0].reason
    )
    assert more[0].amounts.seawater_ml == pytest.approx(MISSING_ML, abs=1e-6)
    # the same salinity: salt in proportion, by hand
    assert more[0].amounts.salt_g == pytest.approx(
        (prepare.amounts.salt_g or 0.0) * MISSING_ML / (mixed_ml + MISSING_ML)
    )
    enough = (entry(0, "prepared", "north", volume=mixed_ml + 495.0),)
    later = schedule(PLAN, enough, on(0)).tasks
    assert not [task for task in later if set(task.serves) & set(prepare.serves)]


def test_a_void_restores_everything() -> None:
    crash = entry(11, "crashed", "south", cause="contamination", since=on(8))
    before, after = schedule(PLAN, HARVESTED, on(11)), schedule(PLAN, (*HARVESTED, crash), on(11))
    assert before.bottles != after.bottles
    again = schedule(PLAN, HARVESTED, on(11))  # the book without the voided entry
    assert (again.bottles, again.tasks, again.rations()) == (before.bottles, before.tasks, before.rations())


@settings(max_examples=25)
@given(lively_plans(), st.data())
def test_laws_of_bottles(plan: Plan, data: st.DataObject) -> None:
    plan = replace(plan, tank=Tank(300.0, 90.0, data.draw(st.sampled_from((3, 14)))))
    entries = held(data.draw(books(plan)))
    as_of = max((each.on for each in entries), default=plan.start)
    rota = schedule(plan, entries, as_of)
    barred = {each.id: each for each in rota.simulation.state.harvests if each.barred_on is not None}
    for day in rota.rations().days:
        for portion in day.portions:
            bottle = barred.get(portion.harvest.id)
            assert bottle is None or not bottle.is_barred(day.on), "given while it was suspect"
    withheld = {each.bottle.id for each in rota.withheld}
    assert withheld <= set(rota.suspects) | rota.condemned
    assert not {task.parent for task in rota.tasks if task.kind == "start"} & set(rota.suspects)
    came = moved = 0.0
    for day in rota.rations().days:
        came += day.in_ml + day.corrected_ml
        moved += day.fed_ml + day.spoiled_ml + day.removed_ml
        assert came == pytest.approx(moved + day.on_hand_ml + day.withheld_ml, abs=1e-3)
        assert min(day.on_hand_ml, day.withheld_ml, day.fed_ml) >= 0.0
