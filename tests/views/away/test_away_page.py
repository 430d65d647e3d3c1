"""The page of days away and its note: whole, within the screen, and the same facts as the ledger."""

from __future__ import annotations

import json
from collections import defaultdict
from dataclasses import replace
from datetime import date, timedelta
from functools import cache

import pytest
from made_plans import START, example_plan, example_vessel

from greenrota.culture.bench.sanitation import CAUTIONS
from greenrota.rota.answers.away import Departure, Left, Measure, MeasureKind, departures
from greenrota.rota.feed.daily import daily_rations
from greenrota.rota.plan import Away, Consumer, Plan, Tank
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.views.away.away import away_json, away_page, note_page, state
from greenrota.views.away.visitor_note import CARE, LEAVE_ALONE, LOOK_AT, meals, visitor_note
from greenrota.views.tasks.score import CUT_SHORT
from greenrota.views.text.lettering import display_width

LONGEST = "n" * 32


def plan(keeps_days: int = 7) -> Plan:
    gone = Away(START + timedelta(days=14), START + timedelta(days=25))
    return example_plan(
        days=62,
        away=(gone,),
        tank=Tank(300.0, 200.0, keeps_days=keeps_days),
        consumers=(Consumer("copepods", 50.0),),
        vessels=(example_vessel(LONGEST), example_vessel("south")),
    )


@cache
def rota(keeps_days: int = 7) -> Rota:
    return schedule(plan(keeps_days))


def gone(keeps_days: int = 7) -> Departure:
    (found,) = departures(rota(keeps_days))
    return found


def test_meals_add_up_to_the_ledger() -> None:
    book = {
        day.on: day
        for day in daily_rations(rota().plan, rota().simulation.state.harvests, rota().through).days
    }
    fed: dict[date, float] = defaultdict(float)
    for meal in meals(gone()):
        for n in range((meal.last - meal.first).days + 1):
            fed[meal.first + timedelta(days=n)] += sum(ml for *_, ml in meal.pours)
    assert sorted(fed) == [day.on for day in gone().days]
    for on, ml in fed.items():
        assert ml == pytest.approx(book[on].fed_ml, abs=0.2)  # each pour to a tenth


def test_the_note_names_bottle_amount_and_everything_to_look_at() -> None:
    note = visitor_note(gone(), "shelf", "metric")
    pour = meals(gone())[0].pours[0]
    assert f"tank: 200 mL from the bottle {pour[1]} of {pour[2]}" in note
    assert "copepods: 50 mL from the bottle" in note
    for word in ("level", "bubbles", "lamp", "colour"):
        assert word in [what for what, _ in LOOK_AT] and f"  {word} " in note
    assert note.count("(common practice, no source)") == 2
    assert all(text in note for text in LEAVE_ALONE)
    assert {"mains", "food_fridge", "glass"} <= set(CARE)
    assert all(CAUTIONS[key].text in note for key in CARE)
    assert note.splitlines()[-3].split()[0] == "first" and note.endswith(
        "____"
    )  # left to be filled in by hand


def test_a_day_without_feed_says_so() -> None:
    short = gone(2)
    assert short.short_days
    assert "nothing: there is nothing left" in visitor_note(short, "shelf", "metric")
    page = away_page(rota(2), [short])
    assert f"short on {len(short.short_days)} of 12 days" in page
    assert "feed keeps 2 days, less than the days away" in page


def test_a_plan_that_feeds_nobody() -> None:
    bare = schedule(replace(plan(), tank=None, consumers=()))
    page = away_page(bare, departures(bare))
    assert "The plan feeds nobody." in page
    assert "nothing: nobody is fed" in page


def test_no_days_away_are_said_in_one_line() -> None:
    stay = schedule(example_plan())
    assert away_page(stay, ()) == note_page(stay, ())
    assert "[[away]]" in away_page(stay, ())
    assert json.loads(away_json(stay, ()))["departures"] == []


def test_the_page_says_what_is_done_otherwise_and_by_which_task() -> None:
    page = away_page(rota(), [gone()])
    assert gone().measures
    for measure in gone().measures:
        assert measure.task.reason in page
    assert "thinned" in page
    rows = [line.split() for line in page.splitlines() if line]
    for task in gone().tasks:  # a row ends with the number of the batch
        assert any(task.vessel in row and row[-1] == task.batch.rpartition("/")[2] for row in rows)
    cut = replace(rota(), found=rota().found._replace(cut_short=True))
    assert CUT_SHORT in away_page(cut, [gone()]).splitlines()[0]


@pytest.mark.parametrize(
    ("kind", "said"), [("early", "harvested early"), ("thinned", "thinned"), ("dimmed", "thinned and dimmed")]
)
def test_every_measure_has_its_words(kind: MeasureKind, said: str) -> None:
    task = gone().measures[0].task
    page = away_page(rota(), [replace(gone(), measures=(Measure(kind, task),))])
    assert f"{task.batch} {said}: {task.reason}" in page


@pytest.mark.parametrize("width", [48, 60, 80, 120])
def test_pages_keep_to_the_screen(width: int) -> None:
    for page in (away_page(rota(), [gone()], width), note_page(rota(), [gone()], width)):
        lines = [line for line in page.splitlines() if display_width(line) > width]
        assert lines == []


def test_json_tells_the_same() -> None:
    told = json.loads(away_json(rota(), [gone()]))
    assert told["format"] == "greenrota/away/1"
    (one,) = told["departures"]
    assert (one["from"], one["to"], one["back"]) == ("2027-02-15", "2027-02-26", "2027-02-27")
    assert [task["id"] for task in one["tasks"]] == [task.id for task in gone().tasks]
    assert [each["id"] for each in one["measures"]] == [each.task.id for each in gone().measures]
    assert len(one["feed"]) == 12
    assert one["short_days"] == len(gone().short_days)
    assert one["note"] == visitor_note(gone(), "shelf", "metric")
    assert {vessel["vessel"] for vessel in one["vessels"]} == {LONGEST, "south"}


@pytest.mark.parametrize(
    ("ripe", "over", "said"),
    [
        (None, None, "still growing"),
        (12, 19, "still growing, ripe on 2027-02-13"),
        (10, None, "ripe since 2027-02-11"),
        (9, 16, "ripe since 2027-02-10, over-ripe from 2027-02-17"),
        (3, 10, "over-ripe since 2027-02-11"),
    ],
)
def test_how_a_vessel_is_on_return(ripe: int | None, over: int | None, said: str) -> None:
    def day(number: int | None) -> date | None:
        return None if number is None else START + timedelta(days=number)

    assert (
        state(Left("north", "north/1", ripe_on=day(ripe), over_on=day(over)), START + timedelta(days=10))
        == said
    )


def test_an_emptied_vessel_says_when_it_is_started_again() -> None:
    parked = replace(gone(), vessels=(Left("north", restart_on=START + timedelta(days=40)), Left("south")))
    page = away_page(rota(), [parked])
    assert "empty; to be started on 2027-03-13" in page
    vessels = json.loads(away_json(rota(), [parked]))["departures"][0]["vessels"]
    assert vessels[0] == {"vessel": "north", "batch": None, "start_on": "2027-03-13"}
    assert vessels[1]["start_on"] is None
