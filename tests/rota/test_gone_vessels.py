"""A plan that is changed in mid-rota: vessels taken out, put in, refilled; what becomes of living batches is said.

Truth: by hand.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from audit import check_all
from made_logs import lived, numbered
from made_plans import START, example_plan, example_vessel

from greenrota.logbook.entry import Entry, Value
from greenrota.rota.replay.gone_vessels import gone_vessels_of
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule

STARTED: tuple[tuple[str, Value], ...] = (("from", "starter:bought"), ("inoculum", 180.0))


def entry(day: int, kind: str, subject: str, *values: tuple[str, Value]) -> Entry:
    return Entry(START + timedelta(days=day), kind, subject, values)


def after(*entries: Entry, vessels: tuple[str, ...] = ("south",)) -> Rota:
    """The rota of day 10, with a plan of these vessels and a book of these entries."""
    plan = example_plan(vessels=tuple(example_vessel(name) for name in vessels))
    rota = schedule(plan, numbered(entries), START + timedelta(days=10))
    check_all(rota)
    return rota


def told(rota: Rota) -> list[str]:
    return [warning.text for warning in rota.warnings if warning.code == "vessel-gone"]


def test_a_living_batch_of_a_vessel_taken_out_is_not_forgotten() -> None:
    rota = after(
        entry(0, "started", "north", *STARTED),
        entry(0, "started", "south", *STARTED),
        entry(8, "harvested", "north", ("volume", 3200.0)),
        entry(8, "reseeded", "north"),
        entry(9, "counted", "north", ("density", 2e5)),
    )
    (text,) = told(rota)
    assert text.startswith("north: ")
    assert "north/2" in text
    assert [p.code for p in rota.problems] == ["log-unknown-vessel"]  # once, not once an entry
    assert set(rota.state.cultures) == {"south"}


@pytest.mark.parametrize(
    "end", [("crashed", "north"), ("discarded", "north"), ("discarded", "north/1"), ("condemned", "north/1")]
)
def test_one_that_is_dead_is_not_spoken_of(end: tuple[str, str]) -> None:
    rota = after(entry(0, "started", "north", *STARTED), entry(3, *end))
    assert not told(rota)
    assert not rota.problems


@pytest.mark.parametrize("kind", ["counted", "harvested", "fed"])
def test_a_name_that_was_never_started_is_a_slip(kind: str) -> None:
    values: tuple[tuple[str, Value], ...] = (("density", 2e5),) if kind == "counted" else ()
    rota = after(entry(0, "started", "south", *STARTED), entry(3, kind, "suoth", *values))
    (problem,) = rota.problems
    assert problem.code == "log-unknown-vessel" and problem.hint == "did you mean south?"
    assert not told(rota)


# One jar fed another, filled a bottle and was poured away: by hand, what must still be known once it left the plan.
GIVEN = (
    entry(0, "started", "north", ("from", "starter:bought"), ("inoculum", 375.0)),
    entry(8, "harvested", "north", ("volume", 2400.0)),
    entry(8, "reseeded", "north", ("inoculum", 1600.0)),
    entry(8, "banked", "north", ("volume", 250.0)),
    entry(9, "started", "south", ("from", "north/2"), ("inoculum", 800.0)),
    entry(9, "discarded", "north"),
)


def test_what_came_of_it_is_known_as_before() -> None:
    whole, left = after(*GIVEN, vessels=("north", "south")), after(*GIVEN)
    assert not left.problems and not told(left)
    assert left.state.cultures["south"].broth == whole.state.cultures["south"].broth
    assert left.state.bottles == whole.state.bottles and "fridge:north/2" in left.state.bottles
    assert left.state.harvests == whole.state.harvests and left.state.harvests
    assert left.state.batches["south/1"].parent == "north/2"
    assert {task.vessel for task in left.tasks} == {"south"}


def test_its_contamination_reaches_what_came_of_it() -> None:
    found = after(*GIVEN[:-1], entry(9, "crashed", "north", ("cause", "contamination"), ("since", START)))
    assert {"south/1", "fridge:north/2"} <= set(found.suspects)


def test_the_size_that_was_logged_is_taken() -> None:
    """By hand: 2400 mL were harvested and 1600 mL stayed; 900 mL were harvested and 300 mL kept."""
    book = [*GIVEN, entry(9, "started", "small", ("from", "north/2")), *(
        entry(9 + n, "harvested", "small", ("volume", 900.0), ("keep", 300.0)) for n in (5, 6)
    )]  # fmt: skip
    plan = example_plan(vessels=(example_vessel("south"),))
    fills = {vessel.name: (vessel.fill_l, vessel.strain) for vessel in gone_vessels_of(plan, book)}
    assert fills == {"north": (4.0, "tetraselmis"), "small": (1.2, "tetraselmis")}
    # our choice: room for foam, a quarter of the fill
    assert {each.name: each.brim_l for each in gone_vessels_of(plan, book)} == {"north": 5.0, "small": 1.5}


def test_what_was_given_away_before_a_re_seed_belongs_to_the_size() -> None:
    """By hand: 1000 mL to another vessel, 200 mL to the fridge, 800 mL harvested and 1000 mL kept are 3 L."""
    book = [
        entry(0, "started", "north", ("from", "starter:bought"), ("inoculum", 375.0)),
        entry(5, "started", "south", ("from", "north/1"), ("inoculum", 1000.0)),
        entry(8, "banked", "north", ("volume", 200.0)),
        entry(8, "harvested", "north", ("volume", 800.0)),
        entry(8, "reseeded", "north", ("inoculum", 1000.0)),
        entry(8, "started", "east", ("from", "north/2"), ("inoculum", 500.0)),  # from the new filling
    ]
    plan = example_plan(vessels=(example_vessel("south"), example_vessel("east")))
    assert [vessel.fill_l for vessel in gone_vessels_of(plan, book)] == [3.0]


def test_what_grew_from_a_starter_that_is_gone_too_is_left_out() -> None:
    book = [
        entry(0, "started", "west", ("from", "starter:other")),
        entry(3, "started", "east", ("from", "west")),
    ]
    assert gone_vessels_of(example_plan(), book) == ()
    assert {problem.code for problem in after(*book).problems} == {"log-unknown-vessel"}


@pytest.mark.parametrize(
    ("seed", "days", "name"), [(0, 20, "north"), (1, 8, "north"), (2, 14, "south"), (3, 17, "west")]
)
def test_any_vessel_may_leave_at_any_time(seed: int, days: int, name: str) -> None:
    """With mishaps, slips and entries left out; what is not told of the vessel is a guess, and nothing else changes."""
    plan = example_plan(vessels=tuple(example_vessel(each) for each in ("north", "south", "west")))
    book = lived(plan, days, seed)
    on = plan.start + timedelta(days=days)
    rest = replace(plan, vessels=tuple(vessel for vessel in plan.vessels if vessel.name != name))
    whole, left = schedule(plan, book, on), schedule(rest, book, on)
    check_all(left)
    assert {p.code for p in left.problems} <= {p.code for p in whole.problems} | {"log-unknown-vessel"}
    assert set(left.gone_vessels.living) <= {name}
    assert set(left.state.cultures) == set(whole.state.cultures) - {name}
    for vessel in left.state.cultures:
        assert left.state.cultures[vessel].batch.id == whole.state.cultures[vessel].batch.id
