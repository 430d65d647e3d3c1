"""0 mL in the logbook is what was told, not what was left out.

Truth: derived by hand: nothing that is poured starts no batch and fills no bottle.
"""

from __future__ import annotations

from datetime import date

import pytest
from made_plans import example_plan

from greenrota.logbook.book import culture, read_book
from greenrota.rota.replay.logged import LoggedState
from greenrota.rota.replay.replay import replay
from greenrota.rota.simulate.context import context_for

DAY = date(2027, 2, 9)


def told(*lines: str) -> LoggedState:
    book = read_book("".join(f"{line}\n" for line in lines).encode())
    assert not book.problems
    return replay(context_for(example_plan()), culture(book.entries), DAY)


@pytest.mark.parametrize(
    ("amount", "begins"), [("", True), (" inoculum=0mL", False), (" inoculum=1mL", True)]
)
def test_a_start_of_nothing_starts_nothing(amount: str, begins: bool) -> None:
    history = told(f"2027-02-01 started north from=starter:bought{amount} n=1")
    assert ("north" in history.recorder.state.cultures) is begins
    assert ("log-nothing" in {problem.code for problem in history.problems}) is not begins


def test_a_start_of_nothing_leaves_what_stands_there() -> None:
    start = "2027-02-01 started north from=starter:bought inoculum=187.5mL n=1"
    history = told(start, "2027-02-03 started north inoculum=0mL n=2")
    assert history.recorder.state.cultures["north"].batch.id == "north/1"
    assert [problem.code for problem in history.problems] == ["log-nothing"]


@pytest.mark.parametrize("amount", ["", " volume=250mL"])
def test_a_back_up_of_nothing_leaves_the_older_one(amount: str) -> None:
    start = "2027-02-01 started north from=starter:bought inoculum=187.5mL n=1"
    banked = f"2027-02-05 banked north{amount} n=2"
    history = told(start, banked, "2027-02-06 banked north volume=0mL n=3")
    own = [bottle for bottle in history.recorder.state.bottles.values() if bottle.parent is not None]
    assert [(bottle.id, bottle.filled) for bottle in own] == [("fridge:north/1", date(2027, 2, 5))]
    assert [problem.code for problem in history.problems] == ["log-nothing"]
