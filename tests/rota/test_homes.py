"""Homes of a strain, counted by hand; what is suspect is no home."""

from __future__ import annotations

from datetime import date, timedelta

from made_plans import START, example_plan

from greenrota.logbook.book import culture
from greenrota.logbook.entry import Entry, parse_line
from greenrota.rota.plan import CyclePlan
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.search.homes import homes, stays


def told(*lines: str) -> tuple[Entry, ...]:
    entries = [parse_line(line) for line in lines]
    assert all(isinstance(entry, Entry) for entry in entries)
    return culture([entry for entry in entries if isinstance(entry, Entry)])


def counts(rota: Rota) -> list[int]:
    return homes(rota.simulation, rota.start_state, rota.plan.strains)["tetraselmis"]


def test_vessels_and_bottles_add_up_day_by_day() -> None:
    rota = schedule(example_plan())
    starts = sorted(task.on for task in rota.tasks if task.kind == "start")
    banked = min(task.on for task in rota.tasks if task.kind == "bank")
    for day, found in enumerate(counts(rota)):
        on = START + timedelta(days=day)
        by_hand = sum(start <= on for start in starts)
        by_hand += 1  # the starter's held-back quarter: 56 fridge days from the end of January
        by_hand += banked <= on
        assert found == by_hand, on


def test_a_vessel_that_is_broken_down_is_no_home_until_it_is_started_again() -> None:
    rota = schedule(example_plan(days=60, cycle=CyclePlan(days=7, renew_after=1)))
    events = rota.simulation.events
    assert any(event.kind == "renew" for event in events)
    stays_in_vessels = [
        each for each in stays(rota.simulation, rota.start_state, rota.plan.strains) if ":" not in each.place
    ]
    for name in rota.benches:
        lived: set[date] = set()
        since = None
        for n in range(60):
            on = START + timedelta(days=n)
            kinds = {event.kind for event in events if event.on == on and event.batch.vessel == name}
            since = on if "start" in kinds else since
            since = None if "renew" in kinds else since
            lived |= {on} if since else set()
        told = [each for each in stays_in_vessels if each.place == name]
        days = [
            each.first + timedelta(days=n) for each in told for n in range((each.last - each.first).days + 1)
        ]
        assert sorted(days) == sorted(lived)


TWO_STARTED = (
    "2027-02-01 started north from=starter:bought inoculum=187.5mL n=1",
    "2027-02-01 started south from=starter:bought inoculum=187.5mL n=2",
)


def test_kin_of_a_contaminated_batch_is_no_home_until_it_is_cleared() -> None:
    crash = "2027-02-06 crashed north cause=contamination since=2027-02-01 n=3"
    day = date(2027, 2, 6)
    doubtful = schedule(example_plan(), told(*TWO_STARTED, crash), day)
    # North is lost; south and the starter share culture with it from the first day on.
    assert {look.subject for look in doubtful.inspections} == {"south/1", "starter:bought"}
    assert set(counts(doubtful)) == {0}
    assert "all-suspect" in {warning.code for warning in doubtful.warnings}
    cleared = ("2027-02-06 cleared south n=4", "2027-02-06 cleared starter:bought n=5")
    clean = schedule(example_plan(), told(*TWO_STARTED, crash, *cleared), day)
    assert clean.inspections == ()
    assert counts(clean)[0] == 2
