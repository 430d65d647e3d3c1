"""A plan that is changed in mid-rota: vessels taken out, put in, refilled; what becomes of living batches is said.

Truth: by hand.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from audit import check_all
from made_logs import numbered
from made_plans import START, example_plan, example_vessel

from greenrota.logbook.entry import Entry, Value
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule

pytestmark = pytest.mark.usefixtures("few_walks")

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
    assert [p.code for p in rota.problems] == ["log-unknown-vessel"]


def test_put_back_it_stands_as_if_it_had_never_been_gone() -> None:
    book = (entry(0, "started", "north", *STARTED), entry(0, "started", "south", *STARTED))
    assert told(after(*book))
    back = after(*book, vessels=("north", "south"))
    assert not told(back)
    assert not back.problems
    assert set(back.state.cultures) == {"north", "south"}


def test_a_vessel_that_is_new_in_mid_rota_is_started_from_what_there_is() -> None:
    rota = after(entry(0, "started", "south", *STARTED), vessels=("south", "east"))
    assert "east/1/start" in {task.id for task in rota.tasks} or "east" in rota.simulation.waiting
    assert not told(rota)


@pytest.mark.parametrize("fill_l", [1.5, 2.0, 4.5])
def test_another_fill_keeps_the_batch_and_every_law(fill_l: float) -> None:
    plan = example_plan()
    book = numbered(
        [entry(0, "started", name, *STARTED) for name in ("north", "south")]
        + [entry(9, "harvested", "north", ("volume", 3200.0)), entry(9, "reseeded", "north")]
    )
    other = replace(plan, vessels=tuple(replace(v, fill_l=fill_l) for v in plan.vessels))
    rota = schedule(other, book, START + timedelta(days=10))
    check_all(rota)
    assert {"south/1"} <= {culture.batch.id for culture in rota.state.cultures.values()}
    if fill_l < 3.2:  # more was harvested than such a jar holds: that is said
        assert "log-not-enough" in {p.code for p in rota.problems}
