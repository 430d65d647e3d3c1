"""What became of every batch and bottle, and what a contamination would touch: by hand."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from made_logs import crash_on_the_fifth_day, fulfils, numbered
from made_plans import START, example_plan

from greenrota.logbook.entry import Entry, Value
from greenrota.rota.answers.pedigree import ALIVE, CRASHED, FRIDGE, GONE, PLANNED, pedigree
from greenrota.rota.schedule import schedule

DAY = timedelta(days=1)


def test_what_became_of_every_batch_and_bottle() -> None:
    told, now = crash_on_the_fifth_day()
    told = numbered([*told, Entry(now.as_of, "banked", "north", (("volume", 300.0),))])
    now = schedule(example_plan(), told, now.as_of)
    kin = pedigree(now, planned=False)
    states = {name: (member.state, member.vessel) for name, member in kin.members.items()}
    assert states == {
        "starter:bought": (FRIDGE, None),
        "north/1": (ALIVE, "north"),
        "south/1": (CRASHED, "south"),
        "fridge:north/1": (FRIDGE, None),
    }
    crashed = kin.members["south/1"]
    assert (crashed.cause, crashed.ended) == ("heat", now.as_of)
    assert (kin.name, kin.as_of, kin.outbreak, kin.touched) == ("shelf", now.as_of, None, None)
    projection = pedigree(now, planned=True).members
    assert projection["south/2"].state == PLANNED
    assert projection["south/2"].vessel == "south"
    poured = schedule(
        example_plan(), numbered([*told, Entry(now.as_of, "discarded", "fridge:north/1")]), now.as_of
    )
    assert pedigree(poured, planned=False).members["fridge:north/1"].state == GONE


def test_an_outbreak_is_asked_about_by_vessel_and_day() -> None:
    _, now = crash_on_the_fifth_day()
    begun = now.state.batches["north/1"].started
    for day in (begun - 3 * DAY, begun, begun + DAY):
        asked = pedigree(now, planned=False, outbreak=("north", day))
        assert asked.outbreak == ("north/1", day)
    assert asked.touched is not None
    takers = {batch.id for batch in now.state.batches.values() if batch.parent == "north/1"}
    assert set(asked.touched) == {"north/1", *takers}  # whoever took from it since, and not the starter
    assert (asked.name, asked.as_of) == ("shelf", now.as_of)
    assert asked.members == pedigree(now, planned=False).members
    since_start = pedigree(now, planned=False, outbreak=("north/1", begun))
    assert since_start.touched is not None
    assert set(since_start.touched) >= {"north/1", "starter:bought"}
    projection = pedigree(now, planned=True, outbreak=("south", date.max - DAY))
    assert projection.outbreak is not None
    latest = max(
        number
        for name, number in ((b.vessel, b.number) for b in now.simulation.state.batches.values())
        if name == "south"
    )
    assert projection.outbreak[0] == f"south/{latest}"
    with pytest.raises(KeyError, match="east"):
        pedigree(now, planned=False, outbreak=("east", begun))


def test_the_suspect_are_marked_with_their_reason() -> None:
    first = schedule(example_plan())
    told = [fulfils(each, each.on) for each in first.tasks if each.kind == "start"]
    day = max(each.on for each in told) + 5 * DAY
    values: tuple[tuple[str, Value], ...] = (("cause", "contamination"), ("since", START - 2 * DAY))
    now = schedule(example_plan(), numbered([*told, Entry(day, "crashed", "south", values)]), day)
    members = pedigree(now, planned=False).members
    assert {name for name, member in members.items() if member.suspicion} == set(now.suspects)
    assert set(now.suspects) == {"south/1", "starter:bought", "north/1"}
    assert all(members[name].suspicion == why for name, why in now.suspects.items())
