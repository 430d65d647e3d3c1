"""`log` before it writes: who is asked, what a yes and a no do, and what is said when the answer can not be printed."""

from __future__ import annotations

import errno
import json
from datetime import date
from pathlib import Path

import pytest
from shelf_life import State, shelf_with
from typer.testing import CliRunner

from greenrota.cli.main import build
from greenrota.cli.system import clock, out
from greenrota.errors import Place, Problem, ProblemsFound

DOUBTFUL = ("counted", "north", "--density", "6.5e9/mL", "--on", "2027-02-02")


@pytest.fixture
def shelf(tmp_path: Path) -> State:
    made = shelf_with(tmp_path, "north", "south")
    made.log("started", "north", "south", "--on", "2027-02-01")
    return made


def asked(shelf: State, monkeypatch: pytest.MonkeyPatch, answer: str, *words: str) -> tuple[int, str]:
    """Status and stderr of a command at a terminal where somebody answers."""
    monkeypatch.setattr(out, "can_ask", lambda: True)
    result = CliRunner().invoke(build(), ["log", *words, "--plan", shelf.plan], input=answer)
    return result.exit_code, result.stderr


@pytest.mark.parametrize("answer", ["\n", "n\n", ""])
def test_a_no_and_silence_write_nothing(shelf: State, monkeypatch: pytest.MonkeyPatch, answer: str) -> None:
    before = shelf.lines()
    status, said = asked(shelf, monkeypatch, answer, *DOUBTFUL)
    assert status == 1 and "[log-count-far]" in said and "[y/N]" in said
    assert shelf.lines() == before


def test_a_yes_writes(shelf: State, monkeypatch: pytest.MonkeyPatch) -> None:
    status, _ = asked(shelf, monkeypatch, "y\n", *DOUBTFUL)
    assert status == 0 and "density=6.5e9/mL" in shelf.lines()[-1]


def test_where_nobody_can_be_asked_it_is_refused_and_yes_writes(shelf: State) -> None:
    before = shelf.lines()
    assert shelf.refused(*DOUBTFUL) == (1, ["log-count-far"])
    assert shelf.lines() == before
    assert "[log-count-far]" in shelf.log(*DOUBTFUL, "--yes").stderr
    assert len(shelf.lines()) == len(before) + 1


def test_a_plain_day_is_not_asked_about(shelf: State, monkeypatch: pytest.MonkeyPatch) -> None:
    """At a terminal where every question would be answered with no."""
    days = sorted({task["date"] for task in shelf.tasks("2027-02-01")["tasks"]})
    for day in days[:8]:
        status, said = asked(shelf, monkeypatch, "n\n", "done", "--on", day)
        assert status == 0 and "[y/N]" not in said, said


def test_days_to_come_are_refused_once_the_plan_has_begun(
    shelf: State, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(clock, "today", lambda: date(2027, 2, 5))
    before = shelf.lines()
    assert shelf.refused("done", "--through", "2030-01-01") == (1, ["log-future"])
    assert shelf.refused("fed", "north", "--on", "2027-02-06") == (1, ["log-future"])
    assert shelf.lines() == before
    shelf.log("fed", "north", "--on", "2027-02-05")


def test_before_the_plan_begins_its_days_can_be_tried_out(shelf: State) -> None:
    assert shelf.refused("done", "--through", "2030-01-01", "--on", "2027-02-01") == (1, ["log-future"])
    assert shelf.refused("note", "--text", "x", "--on", "2099-01-05") == (1, ["log-future"])
    shelf.log("fed", "north", "--on", "2027-02-05")


def test_a_lost_tail_is_asked_about(shelf: State) -> None:
    whole = shelf.lines()
    shelf.book.write_text(whole[0] + "\n", encoding="utf-8")
    assert shelf.refused("fed", "north", "--on", "2027-02-05")[1][0] == "log-tail"
    shelf.log("note", "--text", "x", "--on", "2027-02-05", "--yes")
    assert shelf.lines()[-1].endswith("n=3")


def test_the_number_to_take_it_back_with_is_told(shelf: State) -> None:
    assert "log void --entry 3" in shelf.log("fed", "north", "--on", "2027-02-05").stderr


def test_undo_takes_back_the_newest_and_then_the_one_before(shelf: State) -> None:
    shelf.log("fed", "north", "--on", "2027-02-05")
    shelf.log("undo", "--on", "2027-02-05", "--reason", "slip")
    shelf.log("undo", "north", "--on", "2027-02-05")
    assert [line.split(" ", 1)[1] for line in shelf.lines()[3:]] == [
        "void - entry=3 reason=slip n=4",
        "void - entry=1 n=5",
    ]
    shelf.log("undo", "--on", "2027-02-05")  # south, which is what stands
    assert shelf.refused("undo", "--on", "2027-02-05") == (1, ["undo-what"])
    assert shelf.refused("undo", "--volume", "1L") == (2, ["log-key"])


def test_an_entry_without_a_number_is_not_undone(shelf: State) -> None:
    with shelf.book.open("a", encoding="utf-8") as book:
        book.write("2027-02-05 fed north\n")
    assert shelf.refused("undo", "--on", "2027-02-05") == (1, ["undo-what"])


def test_the_list_is_of_a_vessel_a_kind_or_the_last(shelf: State) -> None:
    shelf.log("fed", "north", "--on", "2027-02-05")
    shelf.log("void", "--entry", "3", "--on", "2027-02-05")
    shelf.log("note", "north/1", "--text", "foam", "--on", "2027-02-05")
    lines = shelf.lines()
    lines[2] += "  (taken back)"
    assert shelf.log("list").stdout.splitlines() == lines
    assert shelf.log("list", "--last", "2").stdout.splitlines() == lines[-2:]
    assert shelf.log("list", "north").stdout.splitlines() == [lines[0], lines[2], lines[4]]
    assert shelf.log("list", "--kind", "started").stdout.splitlines() == lines[:2]
    assert shelf.refused("list", "--kind", "begun") == (2, ["log-kind"])
    told = json.loads(shelf.log("list", "--json").stdout)
    assert told["format"] == "greenrota/log-list/1" and told["found"] == 5
    assert [entry["taken_back"] for entry in told["entries"]] == [False, False, True, False, False]


def test_what_was_seen_is_shown_until_the_batch_is_another(shelf: State) -> None:
    seen = (
        "--colour",
        "brown",
        "--foam",
        "much",
        "--ph",
        "8.4",
        "--sg",
        "1.020 SG",
        "--temperature",
        "75.2 degF",
    )
    shelf.log("note", "north", *seen, "--on", "2027-02-05")
    assert (
        shelf.lines()[-1].split(" ", 3)[3] == "colour=brown foam=much ph=8.4 sg=1.02 temperature=24degC n=3"
    )
    words = "north, Fri 2027-02-05: colour brown, foam much, pH 8.4, SG 1.020, temperature 24 degC"
    for command in (("today", shelf.plan), ("growth", "north", shelf.plan)):
        page = shelf.run(*command, "--on", "2027-02-05").stdout
        assert words.removesuffix("temperature 24 degC") in page and "24 degC" in page
    (told,) = shelf.json("today", shelf.plan, "--on", "2027-02-05")["observations"]
    assert (told["vessel"], told["foam"], told["temperature_c"], told["smell"]) == (
        "north",
        "much",
        24.0,
        None,
    )
    shelf.log("reseeded", "north", "--inoculum", "800mL", "--on", "2027-02-08")
    assert shelf.json("today", shelf.plan, "--on", "2027-02-08")["observations"] == []
    assert len(shelf.json("growth", "north", shelf.plan, "--on", "2027-02-08")["observations"]) == 1


@pytest.mark.parametrize(
    ("option", "value", "code"),
    [
        ("--foam", "lots", "log-value"),
        ("--ph", "84", "log-value"),
        ("--sg", "1020", "log-value"),
        ("--temperature", "24", "no-unit"),
    ],
)
def test_an_observation_that_can_not_be_is_refused(shelf: State, option: str, value: str, code: str) -> None:
    status, (found,) = shelf.refused("note", "north", option, value, "--on", "2027-02-05")
    assert status == 2 and found in (code, "bad-quantity", "missing-unit")


def test_an_answer_that_can_not_be_printed_is_no_failed_entry(
    shelf: State, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(text: str) -> None:
        raise OSError(errno.ENOSPC, "No space left on device", "standard output")

    monkeypatch.setattr(out, "write", full)
    result = shelf.run("log", "fed", "north", "--on", "2027-02-05", "--plan", shelf.plan)
    assert result.exit_code == 0
    assert "recorded: entry 3 stands in the logbook" in result.stderr


def test_recorded_is_said_before_planning_again(shelf: State, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(path: Path) -> None:
        raise ProblemsFound([Problem("plan-changed", Place("plan.toml"), "somebody is editing it", "wait")])

    monkeypatch.setattr("greenrota.cli.log.log._show_what_follows", lambda path, *_: broken(path))
    result = shelf.run("log", "fed", "north", "--on", "2027-02-05", "--plan", shelf.plan)
    assert result.exit_code == 0 and "[plan-changed]" in result.stderr
    assert result.stdout.splitlines() == [f"recorded: {shelf.lines()[-1]}"]
