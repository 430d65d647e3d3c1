"""The score term by term and the reason of a day, for people at any width and for programs."""

from __future__ import annotations

import json
from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from greenrota.cli.system.rota_at import load_plan
from greenrota.rota.answers.why import Impossible, Possible, Why, why
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.search.score import TERMS, WEIGHTS
from greenrota.views.tasks.agenda import agenda
from greenrota.views.tasks.score import CUT_SHORT, score_object, score_page, why_object, why_page
from greenrota.views.tasks.tasklist import tasks_json
from greenrota.views.text.lettering import display_width
from greenrota.views.today.today import today_page

FOLDER = Path(__file__).parents[3] / "examples"


@cache
def shelf() -> Rota:
    return schedule(load_plan(FOLDER / "shelf.toml"))


def hurried(**changes: bool) -> Rota:
    return replace(shelf(), found=shelf().found._replace(**changes))  # type: ignore[arg-type]


def test_the_terms_add_up_to_the_total() -> None:
    lines = score_page(shelf()).splitlines()
    rows = {
        name: line for name, term in TERMS.items() for line in lines if line.startswith(f"{term.meaning} ")
    }
    assert list(rows) == list(WEIGHTS)
    counted = [float(row.split()[-1]) for row in rows.values()]
    total = float(next(line for line in lines if line.startswith("all together")).split()[-1])
    assert sum(counted) == pytest.approx(total, abs=0.05 * (len(rows) + 1))  # each is rounded to a tenth
    assert total == pytest.approx(shelf().found.score.total, abs=0.05)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"exact": True}, "exact: every possible choice of dates was tried"),
        ({"exact": False}, "searched: there are too many choices to try them all. On shelves of "),
        ({"cut_short": True, "exact": False}, CUT_SHORT),
    ],
)
def test_how_sure_the_dates_are_is_said(changes: dict[str, bool], said: str) -> None:
    assert score_page(hurried(**changes)).splitlines()[-1].startswith(said)


def test_a_search_cut_short_stands_in_the_heading() -> None:
    rota = hurried(cut_short=True)
    assert CUT_SHORT in agenda(rota, rota.tasks).splitlines()[0]
    assert CUT_SHORT in today_page(rota, rota.as_of).splitlines()[0]
    assert CUT_SHORT not in agenda(shelf(), shelf().tasks)
    assert score_object(rota.found)["cut_short"] is True


def test_the_score_in_json_has_every_term() -> None:
    told = json.loads(tasks_json(shelf(), shelf().tasks))
    assert set(told["score"]) == {*WEIGHTS, "total", "exact", "cut_short"}
    total = sum(WEIGHTS[name] * told["score"][name] for name in WEIGHTS)
    rounding = 0.0005 * (
        1.0 + sum(map(abs, WEIGHTS.values()))
    )  # each amount to three decimals, times its weight
    assert total == pytest.approx(told["score"]["total"], abs=rounding)
    assert "why" not in told


def test_a_reason_in_json_is_added_to_the_tasks() -> None:
    task = next(task for task in shelf().tasks if task.kind == "harvest")
    told = json.loads(tasks_json(shelf(), [task], why(shelf(), task)))
    assert told["why"]["id"] == task.id
    assert [day["date"] for day in told["why"]["possible"] if day["taken"]] == [task.on.isoformat()]
    assert all({"from", "to", "reason"} == set(each) for each in told["why"]["impossible"])


@pytest.mark.parametrize("width", [24, 40, 80, 120])
def test_pages_fit_the_screen(width: int) -> None:
    told = [why(shelf(), task) for task in shelf().tasks[:12]]
    pages = [score_page(shelf(), width), *(why_page(each, "metric", width) for each in told)]
    most = max(width, 26)  # hanging text keeps its 24 columns beside a margin of two
    assert all(display_width(line) <= most + 2 for page in pages for line in page.splitlines())


def verdict(*changes: float, held: bool = False) -> str:
    """The sentence below the days; one is taken, the others cost so many working days."""
    task = next(task for task in shelf().tasks if task.kind == "harvest")
    days = [Possible(task.on, {"work_day": change}) for change in changes]
    told = Why(task, "the best day", "", (Possible(task.on, {}, taken=True), *days), (), held)
    return next(block for block in why_page(told, "metric").split("\n\n") if "." in block.splitlines()[0][-1])


@pytest.mark.parametrize(
    ("changes", "held", "said"),
    [
        ((), False, "No other day was possible."),
        ((3.0, 2.0), False, "The next best day is worse by 2.0."),
        ((3.0, 0.0), False, "Another day is as good."),
        ((-4.0,), False, "The search did not find a rota that is better by 4.0: it does not try everything."),
        ((-4.0,), True, "Another day would be better by now; the standing date goes before."),
    ],
)
def test_what_the_prices_mean_is_said(changes: tuple[float, ...], held: bool, said: str) -> None:
    assert verdict(*changes, held=held) == said


def test_terms_that_differ_are_named_with_what_they_cost() -> None:
    task = shelf().tasks[0]
    other = Possible(task.on, {"over_ripe": 2.0, "work_day": -1.0})
    shut = Impossible(task.on, task.on, "away")
    text = why_page(Why(task, "the best day", possible=(other,), impossible=(shut,)), "metric")
    assert (
        "+59.0  +2 days over-ripe at harvest (+60.0); -1 working days (-1.0)" in text
    )  # 2 x 30 - 1, by hand
    assert text.endswith(": away")
    assert why_object(Why(task, "r", possible=(other,)))["possible"] == [
        {
            "date": task.on.isoformat(),
            "taken": False,
            "score_change": 59.0,
            "terms": {"over_ripe": 2.0, "work_day": -1.0},
        }
    ]
