"""Nonsense that once ended in a crash; each is told now.

Truth: by hand from what the program promises: a problem with code, place and hint, and status 1 or 2.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from shelf_life import State, shelf_with


@pytest.fixture
def shelf(tmp_path: Path) -> State:
    return shelf_with(tmp_path, "north")


def test_a_risk_is_played_long_after_the_first_horizon(shelf: State) -> None:
    shelf.log("started", "north", "--on", "2027-02-01")
    assert shelf.json("risk", shelf.plan, "--on", "2027-06-01", "--seasons", "5")["days"] == 28


def test_a_batch_of_many_years_ago_is_old_and_no_more(shelf: State) -> None:
    shelf.book.write_text("1970-01-01 started north from=starter:bought n=1\n", encoding="utf-8")
    assert shelf.run("risk", shelf.plan, "--on", "2027-02-01", "--seasons", "5").exit_code == 0


@pytest.mark.parametrize("option", [("--inoculum", "1e22 L"), ("--density", "1e99 cells/mL")])
def test_more_than_an_ocean_is_refused(shelf: State, option: tuple[str, str]) -> None:
    status, codes = shelf.refused("started", "north", *option, "--on", "2027-02-01")
    assert status == 2
    assert set(codes) <= {"out-of-range", "bad-quantity", "log-value"}


@pytest.mark.parametrize("value", ["density=1.7976931348623157e308/mL", "density=1e13/mL"])
def test_a_count_beyond_all_bounds_is_no_count(shelf: State, value: str) -> None:
    shelf.book.write_text(f"2027-02-04 counted north {value} n=1\n", encoding="utf-8")
    result = shelf.run("tasks", shelf.plan, "--on", "2027-02-05")
    assert result.exit_code == 0
    assert "[log-value]" in result.stderr


@pytest.mark.parametrize("day", ["0001-01-01", "9999-12-31"])
def test_a_day_of_another_age_is_no_day(shelf: State, day: str) -> None:
    shelf.book.write_text(f"{day} started north from=starter:bought n=1\n", encoding="utf-8")
    result = shelf.run("today", shelf.plan, "--on", "2027-02-05")
    assert result.exit_code == 0
    assert "[log-date]" in result.stderr
