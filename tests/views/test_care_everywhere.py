"""Which caution is shown where: words beside the task, what always holds once, whole texts on the day and by command.

Truth: the cautions that a task carries (`test_cautions` holds those against what the hands do); which views show tasks
is derived by hand from the commands.
"""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime
from functools import cache
from html import unescape

import pytest
from made_papers import plan_of, rota_of

from greenrota.culture.bench.sanitation import CAUTIONS
from greenrota.culture.data.medium import media
from greenrota.culture.data.strain import strains
from greenrota.culture.water.seawater import Hydrometer
from greenrota.rota.answers.away import departures
from greenrota.rota.kinds import CLEANING, TASK_KINDS
from greenrota.rota.plan import Away, CyclePlan, Work
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.tasks.supplies import supplies
from greenrota.rota.tasks.task import Task
from greenrota.views.away import visitor_note
from greenrota.views.away.away import away_page
from greenrota.views.calendar.appointment import renewed
from greenrota.views.card.card import card_text
from greenrota.views.card.card_json import cards_json
from greenrota.views.card.nutrient_card import nutrient_card
from greenrota.views.card.vessel_card import vessel_card
from greenrota.views.labels.label import FROM_CHILDREN, NOT_FOOD, labels
from greenrota.views.labels.label_page import Cut, labels_html
from greenrota.views.month.month import month
from greenrota.views.month.month_page import month_html
from greenrota.views.paper.page import PAPERS
from greenrota.views.reckon import arithmetic, reckoning, seawater
from greenrota.views.reckon.reckoning import Reckoning, render_reckoning
from greenrota.views.reckon.starter import starter_answer
from greenrota.views.sheet.sheet import sheet_html
from greenrota.views.tasks import care, visit
from greenrota.views.tasks.agenda import agenda
from greenrota.views.tasks.care import cleaning, words
from greenrota.views.tasks.supplies import supplies_page
from greenrota.views.tasks.tasklist import tasks_csv, tasks_json, tasks_markdown
from greenrota.views.today.today import today_page
from greenrota.views.today.today_json import today_json

SCREEN = 80


@cache
def rota() -> Rota:
    """Two jars worked so that every kind of task occurs."""
    plan = plan_of(2)
    away = Away(plan.start.replace(day=20), plan.start.replace(day=22))
    cycle = CyclePlan(inoculum=0.25, days=7, feed_day=4, renew_after=1)
    little = replace(plan.starters[0], volume_ml=150.0)  # fills a jar in steps
    return schedule(replace(plan, work=Work(), cycle=cycle, away=(away,), starters=(little,)))


def flat(text: str) -> str:
    """A page without its line ends, margins, tags and escapes, so that a text is found however it was folded."""
    return " ".join(re.sub(r"<[^>]+>", " ", unescape(text)).split())


def whole(page: str, tasks: Sequence[Task]) -> None:
    told = flat(page)
    for task in tasks:
        for key in task.cautions:
            assert CAUTIONS[key].text in told, (task.id, key)


def test_every_kind_of_task_is_walked_and_every_caution_of_one_jar_too() -> None:
    assert {task.kind for task in rota().tasks} == set(TASK_KINDS)
    assert {key for task in rota().tasks for key in task.cautions} == set(CAUTIONS) - {"strain_tools"}


# What the words beside a task are, derived by hand from what the hands do (`test_cautions`): a vessel is cleaned with
# bleach and hot water, a bottle goes into a fridge with food; the rest holds always.
WORDS = {
    "start": "",
    "topup": "",
    "feed": "",
    "harvest": "food fridge",
    "reseed": "",
    "renew": "bleach, hot water",
    "bank": "food fridge",
}


@pytest.mark.parametrize("kind", TASK_KINDS)
def test_the_words_of_a_task_are_those_of_its_cautions(kind: str) -> None:
    for task in rota().tasks:
        if task.kind == kind == "prepare":
            assert care.words([task]) == ("bleach, hot water" if task.cleans else "")
        elif task.kind == kind:
            assert care.words([task]) == (WORDS["renew"] if task.cleans else WORDS[kind])


@pytest.mark.parametrize("width", [None, SCREEN])
def test_a_list_says_each_word_beside_its_task_and_what_it_means_once(width: int | None) -> None:
    for task in rota().tasks:
        page = flat(agenda(rota(), [task], width))
        words = care.words([task])
        assert ("care: " in page) == bool(words), task.id
        [told] = [line for day in visit.days(rota(), [task]) for line in day.lines if line.care] or [None]
        assert words == ("" if told is None else told.care)
        for each in care.on_the_day([task]):
            assert page.count(f"{care.WORDS[each.key]}: ") == 1
        assert page.count("Always: ") == (1 if care.always([task]) else 0)
        assert page.count(care.IN_FULL) == 1


@pytest.mark.parametrize("width", [None, SCREEN])
def test_one_command_prints_every_caution_whole_with_its_mark(width: int | None) -> None:
    page = flat(care.cautions_page(width))
    for each in CAUTIONS.values():
        assert page.count(f"{each.text} [{each.status}]") == 1


def test_the_sheet_and_the_markdown_hold_them_whole() -> None:
    whole(sheet_html(rota(), rota().tasks, PAPERS["a4"]), rota().tasks)
    whole(tasks_markdown(rota(), rota().tasks), rota().tasks)


def test_the_month_names_the_words_on_the_day_and_means_them_in_its_corner() -> None:
    found = month(rota())
    page = flat(month_html(found, PAPERS["a4"].turned()))
    for week in found.weeks:
        for day in week:
            tasks = [task for task in rota().tasks if task.on == day.on]
            assert day.care == care.words(tasks)
    assert all(flat(line) in page for line in care.in_short(found.tasks))


def test_every_row_and_object_carries_its_own() -> None:
    rows = list(csv.DictReader(io.StringIO(tasks_csv(rota().tasks))))
    objects = json.loads(tasks_json(rota(), rota().tasks))["tasks"]
    for task, row, told in zip(rota().tasks, rows, objects, strict=True):
        wanted = [CAUTIONS[key].text for key in task.cautions]
        assert told["cautions"] == wanted
        assert row["cautions"].split(" | ") == wanted


def test_programs_are_told_of_cards_and_days_too() -> None:
    cards = json.loads(cards_json([nutrient_card(rota(), "f2"), vessel_card(rota(), "v0")], rota().as_of))
    assert cards["nutrients"][0]["cautions"] == [CAUTIONS["nutrient"].text]
    assert cards["vessels"][0]["cautions"] == [each.text for each in vessel_card(rota(), "v0").cautions]
    for on in {task.on for task in rota().tasks}:
        due = json.loads(today_json(rota(), on))["due"]
        assert [each["cautions"] for each in due] == [
            [CAUTIONS[key].text for key in task.cautions] for task in rota().tasks if task.on == on
        ]


def test_every_appointment_carries_its_own() -> None:
    found = renewed({}, rota(), False, rota().as_of, datetime(2027, 2, 1, tzinfo=UTC)).appointments
    for task in rota().tasks:
        name = "salt water" if task.kind == "prepare" else task.vessel
        (told,) = (each.description for each in found if each.on == task.on and f"{name}: " in each.summary)
        whole(told, [task])
        assert all(word in told for word in words([task]).split(", "))


@pytest.mark.parametrize("width", [None, SCREEN])
def test_every_day_tells_in_full_what_its_words_mean(width: int | None) -> None:
    for on in {task.on for task in rota().tasks}:
        page = flat(today_page(rota(), on, width))
        tasks = [task for task in rota().tasks if task.on == on]
        assert all(f"{each.text} [{each.status}]" in page for each in care.on_the_day(tasks))
        assert "Always" in page


def test_the_day_of_the_first_start_holds_all_that_always_holds() -> None:
    starts = sorted(task.on for task in rota().tasks if task.kind == "start")
    page = flat(today_page(rota(), starts[0], SCREEN))
    tasks = [task for task in rota().tasks if task.on == starts[0]]
    whole(page, tasks)
    later = next(task.on for task in rota().tasks if task.kind == "harvest")
    assert CAUTIONS["mains"].text not in flat(today_page(rota(), later, SCREEN))


def test_the_days_before_leaving_too_and_the_visitor() -> None:
    found = departures(rota())
    tasks = [task for each in found for task in each.tasks]
    assert tasks
    page = away_page(rota(), found, SCREEN)
    assert all(flat(line) in flat(page) for line in care.in_short(tasks, SCREEN))
    for key in visitor_note.CARE:
        assert CAUTIONS[key].text in flat(page)


def test_cards_tell_of_all_that_stands_on_them() -> None:
    assert CAUTIONS["nutrient"].text in card_text(nutrient_card(rota(), "f2"))
    vessel = flat(card_text(vessel_card(rota(), "v0"), SCREEN))
    for kind in ("start", "reseed", "feed", "harvest"):  # the amounts that the card gives
        assert all(care.whole(CAUTIONS[key]) in vessel for key in TASK_KINDS[kind].cautions), kind


def test_bottles_are_no_food_and_nothing_for_children() -> None:
    told = labels(rota(), rota().through)
    bottles = [label for label in told if not label.on_vessel]
    assert {label.title for label in told if label.on_vessel} == {v.name for v in rota().plan.vessels}
    assert {label.title.split()[0] for label in bottles} == {"harvest", "back-up", "bought", "f2"}
    assert all(FROM_CHILDREN in label.lines for label in bottles)
    page = flat(labels_html(told, Cut(62.0, 38.0), PAPERS["a4"], [None] * len(told)))
    assert page.count(NOT_FOOD) == len(told)
    assert page.count(FROM_CHILDREN) == len(bottles)


def test_a_lost_culture_is_cleaned_with_every_caution_at_hand() -> None:
    page = flat(cleaning(["north", "south"], SCREEN))
    assert "north, south" in page
    assert all(CAUTIONS[key].text in page for key in CLEANING)


ANSWERS: dict[str, Reckoning] = {
    "salt": seawater.salt_answer(4.0, 26.0, 25.0, 0.1),
    "dilute": seawater.dilute_answer(4.0, 26.0, 35.0, 25.0),
    "topup": seawater.topup_answer(3.8, 28.0, 26.0, 25.0),
    "starter": starter_answer(500.0, 2e6, 0.25, 3.8, strains()["tetraselmis"]),
    "dose": arithmetic.dose_answer(4.0, 0.2, 1.0, media()["f/2"]),
    "bleach": arithmetic.bleach_answer(4.0, 200.0, 5.25),
}


@pytest.mark.parametrize("name", ANSWERS)
def test_an_answer_that_leads_to_a_danger_names_it(name: str) -> None:
    page = flat(render_reckoning(ANSWERS[name], SCREEN).replace("caution", ""))
    assert reckoning.CARE[name]
    assert all(CAUTIONS[key].text in page for key in reckoning.CARE[name])


def test_an_answer_that_leads_to_none_stays_silent() -> None:
    """A caution at every turn is read at none."""
    quiet = (
        seawater.salinity_answer(1.02, True, Hydrometer(25.0, 25.0), 25.0),
        arithmetic.count_answer(100, 4.0, 1.0, 0.95),
        arithmetic.light_answer(4000.0, 14.0, 8.0),
    )
    assert set(reckoning.CARE) == set(ANSWERS)
    assert not any(answer.cautions for answer in quiet)


def test_what_is_bought_is_told_with_its_cautions_and_nothing_else() -> None:
    page, used = flat(supplies_page(rota(), SCREEN)), supplies(rota().plan, rota().tasks)
    assert set(used.cautions) == {*CLEANING, "mains", "nutrient"}
    assert all(CAUTIONS[key].text in page for key in used.cautions)
    feeds = supplies(rota().plan, [task for task in rota().tasks if task.kind == "feed"])
    assert feeds.cautions == ("nutrient",)
    assert supplies(rota().plan, ()).cautions == ()


def test_few_words_stay_few() -> None:
    """The longest day of a small shelf: the block of cautions must not bury the work. Limits: our choice."""
    assert all(len(told.text) <= 260 for told in CAUTIONS.values())
    for task in rota_of(2).tasks:
        assert len(task.cautions) <= len(CLEANING) + 3, task.id
