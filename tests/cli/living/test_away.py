"""away from the command line: the page, the note alone, JSON, and what is refused."""

from __future__ import annotations

import json
from pathlib import Path

from typed import typed

from greenrota.errors import ProblemsFound

SHELF = str(Path(__file__).parents[3] / "examples" / "shelf.toml")


def test_the_days_of_the_plan_are_told_of() -> None:
    result = typed("away", SHELF)
    assert result.exit_code == 0
    assert result.stdout.startswith(
        "shelf: away from Thu 2027-03-04 to Tue 2027-03-09, back on Wed 2027-03-10\n"
    )
    assert "please look in from Thu 2027-03-04" in result.stdout


def test_the_note_can_be_printed_alone() -> None:
    result = typed("away", SHELF, "--note")
    assert result.stdout.startswith("shelf: please look in from Thu 2027-03-04 to Tue 2027-03-09\n")
    assert result.stdout.rstrip("\n") in typed("away", SHELF).stdout


def test_json_is_one_object() -> None:
    result = typed("away", SHELF, "--json")
    assert json.loads(result.stdout)["format"] == "greenrota/away/1"
    assert result.stderr == ""


def test_two_forms_at_a_time_are_refused() -> None:
    result = typed("away", SHELF, "--json", "--note")
    assert isinstance(result.exception, ProblemsFound)
    assert (result.exception.status, result.exception.problems[0].code) == (2, "one-form")
