"""Slips are told by the commands that warn: in words by `check` and `tasks`, as data by --json; the book is kept."""

import json
import shlex
from pathlib import Path

import pytest
from plan_texts import SHORT, changed
from typed import typed

from greenrota.errors import ProblemsFound

BOOK = """\
2027-02-01 started north from=starter:bought inoculum=300mL n=1
2027-02-03 fed north dose=50 n=2
2027-02-04 counted north density=6.5e9/mL n=3
"""
STARTER = '[[starter]]\nname = "bought"\nvolume = "500 mL"\ndensity = "2e6 cells/mL"\non_hand = 2027-01-30\n'


@pytest.fixture
def slipped(tmp_path: Path) -> Path:
    plan = tmp_path / "plan.toml"
    plan.write_text(changed('dose = "0.20 mL/L"', 'dose = "20 mL/L"') + STARTER, encoding="utf-8")
    plan.with_suffix(".log").write_text(BOOK, encoding="utf-8")
    return plan


def test_check_tells_slips_of_plan_and_book_and_is_content(slipped: Path) -> None:
    result = typed("check", str(slipped), "--on", "2027-02-04")
    assert result.exit_code == 0, result.output
    assert "100 times the usual dose of f/2" in result.stdout
    assert "fed on 2027-02-03 (entry 2): feed of 50 label doses" in result.stdout
    assert "counted on 2027-02-04 (entry 3): density of 6.5e9 cells/mL" in result.stdout
    assert slipped.with_suffix(".log").read_text(encoding="utf-8") == BOOK


@pytest.mark.parametrize("command", ["check", "tasks"])
def test_warnings_are_data_too(slipped: Path, command: str) -> None:
    told = json.loads(typed(command, str(slipped), "--on", "2027-02-04", "--json").stdout)["warnings"]
    codes = [each["code"] for each in told]
    assert codes.count("unusual-dose") == codes.count("unusual-feed") == codes.count("unusual-density") == 1


def test_an_entry_that_was_taken_back_is_not_told(slipped: Path) -> None:
    with slipped.with_suffix(".log").open("a", encoding="utf-8") as book:
        book.write("2027-02-04 void - entry=2 n=4\n2027-02-04 void - entry=3 n=5\n")
    shown = typed("check", str(slipped), "--on", "2027-02-04").stdout
    assert "(entry" not in shown


def test_an_impossible_figure_ends_with_status_1(tmp_path: Path) -> None:
    plan = tmp_path / "plan.toml"
    plan.write_text(changed('dose = "0.20 mL/L"', 'dose = "0.02 mL/L"', SHORT), encoding="utf-8")
    result = typed("check", str(plan))
    assert isinstance(result.exception, ProblemsFound)
    assert [(each.code, each.where.line) for each in result.exception.problems] == [("out-of-range", 13)]


@pytest.mark.parametrize(
    ("day", "hint"),
    [("2027-02-30", "2027-02 has 28 days"), ("28.11.2026", "write 2026-11-28"), ("1999", "2027-02-01")],
)
def test_a_wrong_day_on_the_command_line_has_one_hint(slipped: Path, day: str, hint: str) -> None:
    result = typed("check", str(slipped), "--on", day)
    assert isinstance(result.exception, ProblemsFound)
    (problem,) = result.exception.problems
    assert problem.code == "bad-date"
    assert hint in problem.hint


@pytest.mark.parametrize(
    ("words", "hint"),
    [
        ('starter "500 mL" "2e6 cells/mL" --keep-back 20%', "write 0.2"),
        ('starter "500 mL" "2e6 cells/mL" --keep-back x', "for example 0.25"),
        ('bleach "4 L" "25 mg/L" --percent 5.25%', "write 5.25"),
        ('light "4000 lux" --lamp-on 7:30', "write 7.5: hours after midnight"),
    ],
)
def test_a_number_with_a_sign_on_the_command_line_has_one_hint(words: str, hint: str) -> None:
    result = typed("reckon", *shlex.split(words))
    assert isinstance(result.exception, ProblemsFound)
    (problem,) = result.exception.problems
    assert (problem.code, hint in problem.hint) == ("bad-number", True)


def test_a_day_of_the_logbook_that_does_not_exist_says_so(slipped: Path) -> None:
    with slipped.with_suffix(".log").open("a", encoding="utf-8") as book:
        book.write("2027-02-30 counted north density=9e5/mL n=4\n")
    result = typed("check", str(slipped), "--on", "2027-02-04")
    assert isinstance(result.exception, ProblemsFound)
    (problem,) = result.exception.problems
    assert (problem.code, "no day of the calendar" in problem.what) == ("log-date", True)
