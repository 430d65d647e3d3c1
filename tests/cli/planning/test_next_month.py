"""The coming month: seen whole before it begins, with the dates that `tasks` says, and no `start` set by hand.

Truth: by hand from the calendar, and from the promise that `month --next` and `tasks` say the same.
"""

from __future__ import annotations

import json
import re
from contextlib import nullcontext
from datetime import date, timedelta
from pathlib import Path

import pytest
from shelf_life import State, shelf_with

from greenrota.cli.system import rota_at
from greenrota.cli.system.next_month import month_after
from greenrota.errors import ProblemsFound
from greenrota.logbook.beside import dates_path

FIRST, LAST = date(2027, 3, 1), date(2027, 3, 31)


def working(folder: Path) -> State:
    """A shelf with a horizon of 28 days, on the evening of 12 February: all has been done as planned."""
    shelf = shelf_with(folder, "north", "south")
    shelf.log("done", "--through", "2027-02-12", "--on", "2027-02-12")
    return shelf


@pytest.fixture(scope="module")
def shelf(tmp_path_factory: pytest.TempPathFactory) -> State:
    return working(tmp_path_factory.mktemp("shelf"))


def dated(told: dict[str, list[dict[str, str]]]) -> dict[str, str]:
    return {task["id"]: task["date"] for task in told["tasks"] if task["kind"] != "prepare"}


@pytest.mark.parametrize(
    ("day", "first", "last"),
    [("2027-01-31", "2027-02-01", "2027-02-28"), ("2027-12-01", "2028-01-01", "2028-01-31")],
)
def test_the_month_after_a_day(day: str, first: str, last: str) -> None:
    found = month_after(date.fromisoformat(day))
    assert found == (date.fromisoformat(first), date.fromisoformat(last))


def test_tasks_of_the_coming_month_agree_with_those_that_stand(shelf: State) -> None:
    stood = shelf.tasks("2027-02-12")
    ahead = shelf.json("tasks", shelf.plan, "--next", "--on", "2027-02-12")
    assert (
        stood["through"] == "2027-03-11" and ahead["through"] == "2027-04-04"
    )  # the Sunday of the last week
    days = [date.fromisoformat(task["date"]) for task in ahead["tasks"]]
    assert days and all(FIRST <= day <= LAST for day in days)
    assert max(days) > date.fromisoformat(stood["through"])
    in_both = {name: day for name, day in dated(ahead).items() if day <= stood["through"]}
    assert in_both == {name: day for name, day in dated(stood).items() if day >= FIRST.isoformat()}
    assert shelf.tasks("2027-02-12") == stood  # looking changes nothing


def test_the_page_of_the_month_holds_every_task(shelf: State) -> None:
    page = shelf.run("month", shelf.plan, "--next", "--on", "2027-02-12").stdout
    assert page.startswith("shelf: Mon 1 Mar to Sun 4 Apr 2027, as of Fri 12 Feb")
    ahead = shelf.json("tasks", shelf.plan, "--next", "--on", "2027-02-12")
    harvests = [task for task in ahead["tasks"] if task["kind"] == "harvest"]
    # The last days of the last week are of April; harvests on them stand on the page, too.
    assert page.count("harvest") - page.count("harvest: ") >= len(harvests) > 0
    assert "(5)" not in page.splitlines()[2]


def test_a_sheet_of_the_coming_month_begins_on_its_first_day(shelf: State) -> None:
    result = shelf.run("sheet", "-", shelf.plan, "--next", "--on", "2027-02-12")
    assert result.exit_code == 0
    days = re.findall(r">(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun) (\d+ [A-Z][a-z]+)<", result.stdout)
    assert len(set(days)) > 5 and all(day.endswith(" Mar") for day in days)


def test_the_month_that_was_shown_is_kept_as_its_days_come(tmp_path: Path) -> None:
    shelf = working(tmp_path)
    ahead = shelf.json("tasks", shelf.plan, "--next", "--on", "2027-02-12")
    # Three weeks of work, week by week: by then, the whole of March lies within the horizon.
    for day in ("2027-02-19", "2027-02-26", "2027-03-05"):
        shelf.log("done", "--through", day, "--on", day)
    later = shelf.tasks("2027-03-05")
    assert later["through"] == "2027-04-01"
    shown, now = dated(ahead), dated(later)
    both = shown.keys() & now.keys()
    assert (
        sum(shown[name] > "2027-03-11" for name in both) >= 2
    )  # beyond the horizon of the day it was shown on
    assert {name: now[name] for name in both} == {name: shown[name] for name in both}


def test_without_what_is_remembered_no_fact_is_lost(tmp_path: Path) -> None:
    shelf = working(tmp_path)
    ahead = shelf.json("tasks", shelf.plan, "--next", "--on", "2027-02-12")
    book = shelf.book.read_bytes()
    dates_path(shelf.book).unlink()
    assert shelf.json("tasks", shelf.plan, "--next", "--on", "2027-02-12")["through"] == ahead["through"]
    assert shelf.book.read_bytes() == book


def test_before_the_first_entry_it_is_the_month_after_the_start(tmp_path: Path) -> None:
    shelf = shelf_with(tmp_path, "north", "south")
    for on in ("2026-11-28", "2027-02-10"):
        ahead = shelf.json("tasks", shelf.plan, "--next", "--on", on)
        assert all("2027-03-01" <= task["date"] <= "2027-03-31" for task in ahead["tasks"]) and ahead["tasks"]
    assert [path.name for path in tmp_path.iterdir()] == ["plan.toml"]


def test_the_bar_runs_once_for_both_searches(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shares: list[float] = []
    monkeypatch.setattr(rota_at, "meter", lambda: nullcontext(shares.append))
    shelf = shelf_with(tmp_path, "north", "south")
    shelf.json("tasks", shelf.plan, "--next", "--on", "2027-02-01")
    assert shares == sorted(shares)
    assert 0.0 < shares[0] <= 0.5 < shares[-1] <= 1.0  # the first search fills no more than half


def test_a_rota_that_nobody_logged_and_that_is_over_has_no_next_month(tmp_path: Path) -> None:
    shelf = shelf_with(tmp_path, "north", "south")
    for command in ("month", "tasks"):
        result = shelf.run(command, shelf.plan, "--next", "--on", "2029-05-01")
        assert isinstance(result.exception, ProblemsFound)
        assert [problem.code for problem in result.exception.problems] == ["rota-ended"]
        assert result.exception.status == 1
    # What was logged since makes it go on, with the plan as it is.
    shelf.log("started", "north", "--on", "2029-05-01", "--from", "starter:bought", "--yes")
    shelf.log(
        "counted", "north", "--on", "2029-05-01", "--density", "2e5/mL", "--yes"
    )  # the bottle is two years old
    ahead = shelf.json("tasks", shelf.plan, "--next", "--on", "2029-05-01")
    assert {task["date"][:7] for task in ahead["tasks"]} == {"2029-06"}


@pytest.mark.parametrize("more", [("--from", "2027-03-01"), ("--days", "7"), ("--compare", "other.toml")])
def test_next_says_its_days_itself(shelf: State, more: tuple[str, str]) -> None:
    result = shelf.run("tasks", shelf.plan, "--next", *more)
    assert isinstance(result.exception, ProblemsFound) and result.exception.status == 2
    assert [problem.code for problem in result.exception.problems] == ["one-form"]


def test_a_month_of_six_weeks_is_shown_whole(shelf: State) -> None:
    """May 2027 begins on a Saturday and ends on a Monday."""
    page = shelf.run("month", shelf.plan, "--next", "--on", "2027-04-20").stdout
    assert page.startswith("shelf: Mon 26 Apr to Sun 6 Jun 2027")
    html = shelf.run("month", shelf.plan, "--next", "--on", "2027-04-20", "--html", "-").stdout
    assert html.count('class="date"') == 42


def test_days_after_the_horizon_are_not_passed_over_in_silence(shelf: State) -> None:
    told = shelf.run("tasks", shelf.plan, "--on", "2027-02-12", "--from", "2027-06-01", "--days", "30").stdout
    assert "planned through Thu 2027-03-11" in told
    page = shelf.run("month", shelf.plan, "--on", "2027-02-12", "--from", "2027-06-01").stdout
    assert "planned through Thu 11 Mar" in " ".join(page.split())
    assert (
        "planned through"
        not in shelf.run("month", shelf.plan, "--on", "2027-02-01", "--from", "2027-02-01").stdout
    )


def test_over_two_years_nobody_touches_the_plan(tmp_path: Path) -> None:
    """The plan of February 2027 in 2029: the same jars, and tasks in the month after."""
    shelf = working(tmp_path)
    plan = Path(shelf.plan).read_bytes()
    on = date(2029, 3, 14)
    shelf.log("counted", "north", "--density", "9e5/mL", "--on", on.isoformat(), "--yes")
    today = shelf.json("today", shelf.plan, "--on", on.isoformat())
    assert today["through"] == (on + timedelta(days=27)).isoformat()
    ahead = json.loads(shelf.run("tasks", shelf.plan, "--next", "--on", on.isoformat(), "--json").stdout)
    assert {task["vessel"] for task in ahead["tasks"]} == {"north", "south"}
    assert Path(shelf.plan).read_bytes() == plan
