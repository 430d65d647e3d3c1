"""Homes of a strain, counted by hand; what is suspect is no home."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from made_plans import START, example_plan, example_vessel

from greenrota.culture.growth.broth import Broth
from greenrota.logbook.book import culture
from greenrota.logbook.entry import Entry, parse_line
from greenrota.rota.plan import CyclePlan, Starter, Tank
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.search.homes import homes, stays
from greenrota.rota.simulate.events import Interval
from greenrota.rota.simulate.simulation import Simulation
from greenrota.rota.simulate.start import StartState
from greenrota.rota.state.bench import benches
from greenrota.rota.state.state import Batch, Culture, first_state


def told(*lines: str) -> tuple[Entry, ...]:
    entries = [parse_line(line) for line in lines]
    assert all(isinstance(entry, Entry) for entry in entries)
    return culture([entry for entry in entries if isinstance(entry, Entry)])


def counts(rota: Rota) -> list[int]:
    return homes(rota.simulation, rota.start_state, rota.benches)["tetraselmis"]


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
        each for each in stays(rota.simulation, rota.start_state, rota.benches) if ":" not in each.place
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


def test_a_thin_or_nearly_empty_place_is_no_home() -> None:
    # by hand: the ceiling of 4 L is 1.1e6, so 3.25 % of it is 35,750; a tenth of the volume is 0.4 L; half of the least
    # inoculum, 0.065 x 1.1e6 x 4,000 mL, is 1.43e8 cells: 71.5 mL of a fresh bottle of 2e6
    plan = example_plan(starters=(Starter("bought", "tetraselmis", 80.0, 2e6, START, keep_back=0.0),))
    state = first_state(plan)
    broth = Broth(4.0, 36_000.0, 882.0, 36.0, 106.0, 26.0)
    batch = Batch("north/1", "north", "tetraselmis", 1, "starter:bought", START, 0)

    def places(broth: Broth, bottle_ml: float, light_h: float | None = None) -> list[int]:
        last = START + timedelta(days=3)
        shelf = state.copy()
        shelf.bottles["starter:bought"] = shelf.bottles["starter:bought"]._replace(volume_ml=bottle_ml)
        shelf.cultures["north"] = Culture(batch, broth, START)
        intervals = (Interval(batch, START, last, broth, light_h),)
        simulated = Simulation(START, last, (), intervals, (), shelf, (), {})
        return homes(simulated, StartState(shelf, START), benches(plan))["tetraselmis"]

    assert places(broth, 80.0) == [2, 2, 2, 2]
    assert places(broth._replace(density_per_ml=100.0), 80.0) == [1, 1, 1, 1]
    assert places(broth._replace(volume_l=0.39), 80.0) == [1, 1, 1, 1]
    assert places(broth, 71.0) == [1, 1, 1, 1]
    # one that grows past the least density counts from then on
    late = places(broth._replace(density_per_ml=30_000.0), 71.0)
    assert late[0] == 0 and late[1:] == [1, 1, 1]
    # in 2 h of light instead of 14 it grows at a seventh of the rate
    dark = places(broth._replace(density_per_ml=30_000.0), 71.0, light_h=2.0)
    assert dark[:2] == [0, 0] and dark[-1] == 1


def test_the_order_of_vessels_in_the_plan_changes_nothing() -> None:
    vessels = tuple(
        example_vessel(name, brim_l=1.25 * fill_l, fill_l=fill_l)
        for name, fill_l in (("north", 4.0), ("south", 2.0), ("east", 4.0), ("west", 1.0))
    )
    plan = example_plan(vessels=vessels, tank=Tank(300.0, 300.0), days=28)
    totals = {
        round(schedule(replace(plan, vessels=order)).found.score.total, 6)
        for order in (vessels, vessels[::-1], vessels[2:] + vessels[:2])
    }
    assert len(totals) == 1
