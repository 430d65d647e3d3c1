"""What an entry tells beyond its plain amounts: cells seen in squares, and how far a vessel was filled."""

from __future__ import annotations

import pytest
from made_plans import START, example_plan, example_vessel

from greenrota.logbook.book import culture, read_book
from greenrota.rota.replay.counts import vessel_counts
from greenrota.rota.replay.logged import LoggedState
from greenrota.rota.replay.replay import replay
from greenrota.rota.simulate.context import context_for

SETTING = context_for(example_plan(vessels=(example_vessel("north"),)))
FIRST = START.isoformat()
START_LINE = f"{FIRST} started north from=starter:bought inoculum=200mL"


def lived(*lines: str) -> LoggedState:
    book = read_book("\n".join([*lines, ""]).encode())
    assert book.problems == ()
    return replay(SETTING, culture(book.entries), START)


def test_cells_and_squares_stand_without_a_density() -> None:
    history = lived(START_LINE, f"{FIRST} counted north cells=61 squares=4 dilution=2")
    # by hand: 61 cells in 4 x 0.0001 mL, diluted one to one
    assert history.recorder.state.cultures["north"].broth.density_per_ml == pytest.approx(
        305_000.0, rel=1e-12
    )
    assert not history.problems


def test_a_density_goes_before_the_cells_beside_it() -> None:
    history = lived(START_LINE, f"{FIRST} counted north density=3e5/mL cells=61 squares=4 dilution=2")
    assert history.recorder.state.cultures["north"].broth.density_per_ml == 300_000.0


def test_calibrate_takes_such_a_count_too() -> None:
    book = read_book(f"{START_LINE}\n{FIRST} counted north cells=18 squares=4\n".encode())
    assert vessel_counts(SETTING, culture(book.entries), "north", START).readings == 1


@pytest.mark.parametrize(
    "seen", ["cells=6.5 squares=4", "cells=61 squares=0", "cells=61 squares=4 dilution=0.5"]
)
def test_a_count_that_can_not_be_is_told_and_not_used(seen: str) -> None:
    history = lived(START_LINE, f"{FIRST} counted north {seen}")
    assert [problem.code for problem in history.problems] == ["log-count"]
    assert history.recorder.state.cultures["north"].broth.density_per_ml == pytest.approx(
        1e5
    )  # 200 mL of 2e6 in 4 L
    book = read_book(f"{START_LINE}\n{FIRST} counted north {seen}\n".encode())
    assert vessel_counts(SETTING, culture(book.entries), "north", START).readings == 0


@pytest.mark.parametrize("seen", ["", "cells=61", "squares=4", "dilution=2"])
def test_a_count_needs_a_density_or_both(seen: str) -> None:
    [problem] = read_book(f"{FIRST} counted north {seen}\n".encode()).problems
    assert problem.code == "log-key-missing"
    assert "cells= and squares=" in problem.what


def test_what_was_filled_in_is_what_stands() -> None:
    history = lived(f"{START_LINE} volume=3L")
    broth = history.recorder.state.cultures["north"].broth
    # by hand: 200 mL of 2e6 in 3 L; the label dose of 0.20 mL/L over 3 L
    assert broth.volume_l == pytest.approx(3.0)
    assert broth.density_per_ml == pytest.approx(200 * 2e6 / 3000)
    assert history.poured == {"f2": pytest.approx(0.6)}


def test_a_reseed_that_was_not_filled_up() -> None:
    history = lived(START_LINE, f"{FIRST} harvested north volume=3L", f"{FIRST} reseeded north volume=2L")
    broth = history.recorder.state.cultures["north"].broth
    # by hand: 1 L of 1e5 stays and is made up to 2 L; a dose for the whole start, then for 1 L of new water
    assert broth.volume_l == pytest.approx(2.0)
    assert broth.density_per_ml == pytest.approx(5e4)
    assert history.poured == {"f2": pytest.approx(0.8 + 0.2)}


def test_no_more_than_the_brim() -> None:
    vessel = SETTING.benches["north"].vessel
    history = lived(f"{START_LINE} volume=50L")
    assert [problem.code for problem in history.problems] == ["log-brim"]
    assert history.recorder.state.cultures["north"].broth.volume_l == pytest.approx(vessel.brim_l)


def test_a_fill_of_nothing_is_taken_as_not_told() -> None:
    assert lived(f"{START_LINE} volume=0mL").recorder.state.cultures["north"].broth.volume_l == pytest.approx(
        4.0
    )
