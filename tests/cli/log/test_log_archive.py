"""`log archive`: put away at any day, every page and the state are what they were.

Truth: what the same command printed before.
"""

from __future__ import annotations

import json
import re
import shutil
from datetime import date, timedelta
from pathlib import Path

import pytest
from shelf_life import State, shelf_with

from greenrota.cli.system.rota_at import read_papers
from greenrota.errors import ProblemsFound
from greenrota.logbook.beside import dates_path

TODAY = "2027-02-16"
# Every command that reads the logbook; files go to stdout.
COMMANDS = (
    "check --json",
    "month",
    "month --next",
    "tasks --json",
    "tasks --why all",
    "tasks --score",
    "growth north",
    "growth south --json",
    "bottles --json",
    "supplies",
    "today",
    "today --json",
    "changes --json",
    "changes --since 5",
    "changes --since 2027-02-10",
    "away",
    "lineage",
    "calibrate north",
    "card --vessel south",
    "labels -",
    "sheet -",
    "risk --seasons 20 --days 20",
)


def lived(folder: Path) -> State:
    """Two weeks of work, with counts, a crash, a slip that was taken back, a late entry and a harvest given away."""
    shelf = shelf_with(folder, "north", "south")
    shelf.log("done", "--through", "2027-02-08", "--on", "2027-02-08")
    shelf.log("counted", "north", "--density", "6e5/mL", "--on", "2027-02-06", "--yes")
    shelf.log("crashed", "south", "--cause", "overheating", "--on", "2027-02-10", "--yes")
    shelf.log("fed", "north", "--on", "2027-02-09", "--yes")
    shelf.log("undo", "--on", "2027-02-10")
    shelf.log("note", "north", "--smell", "fresh", "--on", "2027-02-11")
    shelf.log("done", "--through", TODAY, "--on", TODAY)
    return shelf


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> State:
    return lived(tmp_path_factory.mktemp("lived"))


def told(shelf: State, command: str) -> tuple[int, str]:
    name, *words = command.split()
    args = [name]
    if name in ("growth", "calibrate"):
        args.append(words.pop(0))
    if name in ("labels", "sheet"):
        args.append(words.pop(0))
    result = shelf.run(*args, shelf.plan, *words, *(["--on", TODAY] if name != "risk" else []))
    text = result.output.replace(str(shelf.folder), "")
    return result.exit_code, re.sub(r'"archives": \[[^]]*\]', "", text) if name == "check" else text


def copied(shelf: State, folder: Path) -> State:
    for path in shelf.folder.iterdir():
        shutil.copy(path, folder / path.name)
    return State(folder)


def put_away(shelf: State, through: date | str) -> None:
    shelf.log("archive", "--through", str(through), "--on", TODAY)


@pytest.fixture(scope="module")
def before(
    whole: State, tmp_path_factory: pytest.TempPathFactory
) -> dict[bool, tuple[State, dict[str, tuple[int, str]]]]:
    """The shelf with and without its remembered dates, and what every command prints of it."""
    found = {}
    for remembering in (True, False):
        shelf = copied(whole, tmp_path_factory.mktemp("before"))
        if not remembering:
            dates_path(shelf.book).unlink(missing_ok=True)
        found[remembering] = (shelf, {command: told(shelf, command) for command in COMMANDS})
    return found


@pytest.mark.parametrize(
    "days", [("2027-02-05",), ("2027-02-10",), ("2027-02-04", "2027-02-08", "2027-02-15")]
)
@pytest.mark.parametrize("remembering", [True, False])
def test_every_page_is_what_it_was(
    before: dict[bool, tuple[State, dict[str, tuple[int, str]]]],
    tmp_path: Path,
    days: tuple[str, ...],
    remembering: bool,
) -> None:
    found, pages = before[remembering]
    shelf = copied(found, tmp_path)
    for day in days:
        put_away(shelf, day)
    if not remembering:
        dates_path(shelf.book).unlink(missing_ok=True)
    for command in COMMANDS:
        assert told(shelf, command) == pages[command], command
    assert len(read_papers(Path(shelf.plan)).book.archives) == len(days)


def test_put_away_on_any_day_the_entries_and_the_state_are_the_same(whole: State, tmp_path: Path) -> None:
    before = read_papers(Path(whole.plan))
    day, last = date(2027, 2, 1), date.fromisoformat(TODAY)
    while day < last:
        folder = tmp_path / str(day)
        folder.mkdir()
        shelf = copied(whole, folder)
        if any(entry.on <= day for entry in before.book.entries):
            put_away(shelf, day)
        after = read_papers(Path(shelf.plan))
        assert after.book.entries == before.book.entries and after.entries == before.entries
        assert after.rota(last) == before.rota(last)
        day += timedelta(days=1)


def test_the_next_entry_the_list_and_undo_know_nothing_of_it(whole: State, tmp_path: Path) -> None:
    shelf = copied(whole, tmp_path)
    before = shelf.json("log", "list", "--last", "100", "--plan", shelf.plan)
    put_away(shelf, "2027-02-15")
    assert shelf.json("log", "list", "--last", "100", "--plan", shelf.plan) == before
    newest = before["entries"][-1]["number"]
    shelf.log("note", "north", "--text", "here", "--on", TODAY)
    assert shelf.lines()[-1].endswith(f"n={newest + 1}")
    shelf.log("void", "--entry", "2", "--on", TODAY, "--yes")
    told_now = shelf.json("log", "list", "--last", "100", "--plan", shelf.plan)["entries"]
    assert next(entry for entry in told_now if entry["number"] == 2)["taken_back"]


def test_what_it_says(whole: State, tmp_path: Path) -> None:
    shelf = copied(whole, tmp_path)
    entries = len(read_papers(Path(shelf.plan)).book.entries)
    result = shelf.log("archive", "--through", "2027-02-08", "--on", TODAY)
    assert "are in plan.2027-02-08.log now" in result.stdout and "stay in plan.log" in result.stdout
    found = json.loads(shelf.log("archive", "--through", "2027-02-12", "--on", TODAY, "--json").stdout)
    assert found["format"] == "greenrota/log-archive/1" and found["archive"] == "plan.2027-02-12.log"
    first = len((tmp_path / "plan.2027-02-08.log").read_bytes().splitlines())
    assert first + found["entries"] + found["left"] == entries
    checked = shelf.run("check", shelf.plan, "--on", TODAY).stdout
    assert f"plan.log with plan.2027-02-08.log, plan.2027-02-12.log: {entries} entries" in " ".join(
        checked.split()
    )


@pytest.mark.parametrize(
    ("words", "status", "code"),
    [
        ((), 2, "archive-day"),
        (("--through", TODAY), 2, "archive-day"),
        (("--through", "2031-12-31"), 2, "archive-day"),
        (("north", "--through", "2027-02-08"), 2, "log-key"),
        (("--through", "2027-02-08", "--reason", "tidy"), 2, "log-key"),
        (("--through", "2026-12-31"), 1, "archive-nothing"),
    ],
)
def test_nonsense_is_refused(whole: State, words: tuple[str, ...], status: int, code: str) -> None:
    before = {path.name: path.read_bytes() for path in whole.folder.iterdir() if ".dates" not in path.name}
    assert whole.refused("archive", *words, "--on", TODAY) == (status, [code])
    assert {
        path.name: path.read_bytes() for path in whole.folder.iterdir() if ".dates" not in path.name
    } == before


def test_a_damaged_book_is_put_away_only_when_asked_for(whole: State, tmp_path: Path) -> None:
    shelf = copied(whole, tmp_path)
    lines = shelf.lines()
    shelf.book.write_text(
        "".join(f"{line}\n" for line in lines if not line.endswith(" n=3")), encoding="utf-8"
    )
    assert shelf.refused("archive", "--through", "2027-02-08", "--on", TODAY) == (1, ["log-gap"])
    shelf.log("archive", "--through", "2027-02-08", "--on", TODAY, "--yes")
    assert [problem.code for problem in read_papers(Path(shelf.plan)).book.problems] == ["log-gap"]


def test_a_missing_archive_ends_every_command_with_one_problem(whole: State, tmp_path: Path) -> None:
    shelf = copied(whole, tmp_path)
    put_away(shelf, "2027-02-08")
    archive = tmp_path / "plan.2027-02-08.log"
    archive.rename(tmp_path / "elsewhere")
    book = shelf.book.read_bytes()
    for command in ("today", "tasks", "check", "changes", "month --next"):
        result = shelf.run(*command.split(), shelf.plan, "--on", TODAY)
        assert isinstance(result.exception, ProblemsFound), command
        (problem,) = result.exception.problems
        assert (problem.code, str(problem.where)) == ("log-archive-missing", "plan.log:1")
    assert shelf.refused("note", "north", "--text", "x") == (1, ["log-archive-missing"])
    assert shelf.book.read_bytes() == book


def test_no_page_is_written_over_an_archive(whole: State, tmp_path: Path) -> None:
    shelf = copied(whole, tmp_path)
    put_away(shelf, "2027-02-08")
    archive = tmp_path / "plan.2027-02-08.log"
    page = tmp_path / "page.html"
    page.symlink_to(archive)
    before = archive.read_bytes()
    result = shelf.run("sheet", str(page), shelf.plan, "--on", TODAY, "--force")
    assert isinstance(result.exception, ProblemsFound)
    assert [problem.code for problem in result.exception.problems] == ["file-exists"]
    assert archive.read_bytes() == before
