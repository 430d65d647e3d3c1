"""The weekly sheet: everything to do and to feed is on it, with boxes, room to write and every caution.

Truths derived by hand from the tasks and from the record of the feed.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

import pytest
from made_papers import plan_of, rota_of
from made_reader import Read

from greenrota.culture.bench.sanitation import CAUTIONS
from greenrota.rota.answers.contents import before_work
from greenrota.rota.feed.daily import DailyRations, daily_rations
from greenrota.rota.plan import Consumer
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.tasks.measured import poured
from greenrota.views.paper.page import PAPERS
from greenrota.views.sheet.sheet import sheet_html
from greenrota.views.sheet.sheet_fit import LARGEST_PT, SMALLEST_PT, parts_of
from greenrota.views.sheet.sheet_week import weeks_of
from greenrota.views.tasks import visit
from greenrota.views.tasks.agenda import chosen
from greenrota.views.tasks.care import WORDS
from greenrota.views.text import amount
from greenrota.views.text.day import short_day

A4 = PAPERS["a4"]


def book_of(rota: Rota) -> DailyRations:
    return daily_rations(rota.plan, rota.simulation.state.harvests, rota.through)


def lines_of(rota: Rota) -> list[visit.Line]:
    return [line for day in visit.days(rota, rota.tasks) for line in day.lines]


@pytest.mark.parametrize("vessels", [1, 12])
def test_a_sheet_has_a_box_and_a_remark_for_every_line_and_each_caution_whole(vessels: int) -> None:
    rota = rota_of(vessels)
    read = Read(sheet_html(rota, rota.tasks, A4))
    classes = [attributes.get("class") for _, attributes in read.tags]
    fed = sum(serving.fed_ml > 0.0 for day in book_of(rota).days for serving in day.servings)
    assert classes.count("remark") == len(lines_of(rota))
    assert classes.count("box") == len(lines_of(rota)) + fed
    for key in {key for task in rota.tasks for key in task.cautions}:
        assert CAUTIONS[key].text in read.text
    for line in lines_of(rota):
        assert line.text in read.text
    assert all(short_day(task.on) in read.text for task in rota.tasks)


def sections_of(page: str) -> list[str]:
    return [Read(part).text for part in page.split("<section")[1:]]


def test_every_page_with_tasks_has_all_their_cautions_in_words_and_whole() -> None:
    """What belongs to a task stands beside it, and what its words mean stands on the same page."""
    rota = rota_of(12)
    pages = [page for page in sections_of(sheet_html(rota, rota.tasks, A4)) if "what is done" in page]
    assert len(pages) > 4  # some weeks take several
    for page in pages:
        assert CAUTIONS["mains"].text in page
        for key, word in WORDS.items():
            if f"care: {word}" in page and key in ("bleach", "hot_water", "food_fridge"):
                assert CAUTIONS[key].text in page, word
    cleaned = [page for page in pages if "clean v" in page or "clean the v" in page]
    assert cleaned and all(CAUTIONS["bleach"].text in page for page in cleaned)
    rinsed = [
        page for page in pages if "clean v" not in page and "clean the v" not in page and "renew" not in page
    ]
    assert rinsed and not any(CAUTIONS["bleach"].text in page for page in rinsed)


def test_the_ration_of_every_day_and_consumer_is_ticked_with_its_bottle() -> None:
    """By hand from the record of the feed: a row a day and consumer, with the amount and where it comes from."""
    copepods = Consumer("copepods", 30.0)
    rota = schedule(replace(plan_of(2), consumers=(copepods,)))
    weeks = list(weeks_of(rota, rota.tasks, rota.as_of, rota.through))
    rows = {(each.on, each.consumer): each for week in weeks for each in week.rations}
    for day in book_of(rota).days:
        for serving in day.servings:
            row = rows.pop((day.on, serving.consumer))
            bottles = {each.harvest.batch for each in day.portions if each.consumer == serving.consumer}
            assert (row.amount == "no feed there") is not bool(bottles)
            assert all(f"harvest {batch}" in row.beside for batch in bottles)
            assert ("short" in row.beside) is bool(bottles and serving.short_ml > 1e-6)
    assert rows == {}
    assert {each.consumer for week in weeks for each in week.rations} == {"tank", "copepods"}


def test_counts_have_room_for_every_vessel_and_day_and_say_what_is_expected() -> None:
    rota = rota_of(2)
    weeks = list(weeks_of(rota, rota.tasks, rota.as_of, rota.through))
    assert [len(week.dates) for week in weeks] == [7, 7, 7, 7]
    for week in weeks:
        assert [name for name, _ in week.expected] == ["v0", "v1"]
        for name, expected in week.expected:
            for on, text in zip(week.dates, expected, strict=True):
                found = before_work(rota, name, on)
                assert text == ("" if found is None else amount.millions(found[1].density_per_ml))
    page = sheet_html(rota, rota.tasks, A4)
    assert page.count('class="count"') == 4 * 7 * 2


def test_the_salt_water_of_a_day_is_told_in_all() -> None:
    """By hand: the sum over the day's prepare tasks, as the instruments show them."""
    rota = rota_of(2)
    text = Read(sheet_html(rota, rota.tasks, A4)).text
    for on in {task.on for task in rota.tasks if task.kind == "prepare"}:
        mixed = [poured(task) for task in rota.tasks if task.kind == "prepare" and task.on == on]
        litres = sum(each.seawater_ml or 0.0 for each in mixed)
        grams = sum(each.salt_g or 0.0 for each in mixed)
        assert f"mix {amount.volume(litres)} salt water, {amount.mass(grams)} salt" in text


def test_an_overdue_task_says_since_when() -> None:
    rota = rota_of(1)
    late = replace(rota, overdue={rota.tasks[0].id: date(2027, 1, 31)})
    assert "OVERDUE since Sun 2027-01-31" in Read(sheet_html(late, late.tasks, A4)).text


def test_a_week_without_tasks_still_has_its_rations_and_an_empty_sheet_says_so() -> None:
    rota = rota_of(1)
    quiet = sheet_html(rota, (), A4)
    assert "No tasks this week." in quiet and "Daily ration" in quiet
    bare = replace(rota, context=rota.context._replace(plan=replace(rota.plan, tank=None)))
    assert "Nothing to do and nothing to feed" in sheet_html(bare, (), A4)


def test_only_the_days_asked_for_are_on_the_sheet() -> None:
    rota = rota_of(1)
    first, last = date(2027, 2, 10), date(2027, 2, 12)
    weeks = list(weeks_of(rota, chosen(rota, first, last), first, last))
    assert [week.dates for week in weeks] == [(first, date(2027, 2, 11), last)]
    assert {each.on for each in weeks[0].rations} == {first, date(2027, 2, 11), last}


def test_a_sheet_is_set_as_large_as_its_week_allows() -> None:
    """A small shelf is read at arm's length from the wall; twelve vessels share out their week instead."""
    few, many = rota_of(1), rota_of(12)
    parts = [
        [
            part
            for week in weeks_of(rota, rota.tasks, rota.as_of, rota.through)
            for part in parts_of(week, A4.turned())
        ]
        for rota in (few, many)
    ]
    assert all(part.shows == "all" and part.pt >= 12.0 for part in parts[0])
    assert all(SMALLEST_PT <= part.pt <= LARGEST_PT for part in parts[1])
    for week in {part.week.monday: part.week for part in parts[1]}.values():
        told = [
            line.text for part in parts[1] if part.week is week for day in part.days for line in day.lines
        ]
        assert sorted(told) == sorted(line.text for day in week.days for line in day.lines)


def test_dates_of_a_sheet_come_in_order() -> None:
    rota = rota_of(1)
    heads = re.findall(r'class="day">([^<]+)<', sheet_html(rota, rota.tasks, A4))
    assert heads == [short_day(on) for on in sorted({task.on for task in rota.tasks})]
