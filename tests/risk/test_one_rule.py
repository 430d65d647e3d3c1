"""Crashes played through the planned walk, the seasons and the plain loop: the same sources, the same amounts.

The plain loop has the order of donors written down on its own, so a change of the package's rule shows here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from made_logs import fulfils, numbered
from made_plans import START, example_plan, example_vessel
from season_loop import Loop

from greenrota.logbook.entry import Entry
from greenrota.risk import season
from greenrota.risk.hazard import danger_for, scaled
from greenrota.risk.states import SeasonStates
from greenrota.risk.timetable import Timetable, timetable
from greenrota.rota.plan import CyclePlan, Plan, Starter, Tank, Work
from greenrota.rota.replay.replay import replay
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.events import first_starts
from greenrota.rota.simulate.simulation import simulate

CALM = scaled(danger_for(None), 0.0)
SAME_ML = 5e-3  # relative: the logbook has what a jug shows, and growth carries the rounding on
Drawn = dict[int, dict[str, float]]


def jars(*fills_l: float, **changes: object) -> Plan:
    names = ("north", "south", "upper", "west")
    vessels = tuple(
        example_vessel(name, fill_l=fill, brim_l=1.25 * fill)
        for name, fill in zip(names, fills_l, strict=False)
    )
    starter = Starter("bought", "tetraselmis", 100.0 * sum(fills_l), 2e6, START - timedelta(days=2), 0.25)
    return example_plan(
        **{"vessels": vessels, "starters": (starter,), "days": 50, "tank": Tank(300.0, 300.0), **changes}
    )


PLANS = {
    "two jars": jars(4.0, 4.0),
    "half a litre": jars(0.5, 0.5),
    "twenty litres": jars(20.0, 20.0, cycle=CyclePlan(backup_ml=3000.0)),
    "all sizes": jars(0.5, 4.0, 20.0),
    "weekends": jars(4.0, 4.0, work=Work(frozenset({2, 5, 6}))),
    "renewed often": jars(4.0, 4.0, 4.0, cycle=CyclePlan(renew_after=2)),
}


@pytest.mark.parametrize("name", PLANS)
def test_a_crash_is_mended_alike_by_the_walk_the_seasons_and_the_plain_loop(
    name: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = PLANS[name]
    before = schedule(plan)
    table = timetable(before)
    seen: set[str] = set()
    for row, day in crashes(before, table):
        vessel = plan.vessels[row].name
        restarted, walked = by_walk(before, vessel, day)
        until = table.days if restarted is None else restarted + 1
        played = by_seasons(table, row, day, monkeypatch)
        looped = by_loop(table, row, day)
        for last in range(day, until):
            for drawn in (played, looped):
                assert drawn.get(last, {}) == pytest.approx(walked.get(last, {}), rel=SAME_ML), (
                    vessel,
                    day,
                    last,
                )
        seen |= {source.split(":")[0] for drawn in walked.values() for source in drawn}
    assert len(seen) >= 2  # more than one kind of source was asked


def crashes(rota: Rota, table: Timetable) -> Iterator[tuple[int, int]]:
    """Every vessel on every third day on which somebody is there and the vessel stands, once all have stood."""
    rows = {vessel.name: row for row, vessel in enumerate(rota.plan.vessels)}
    events = [((e.on - rota.as_of).days, e.kind, rows[e.batch.vessel]) for e in rota.simulation.events]
    stood = max(
        next(day for day, kind, its in events if kind == "start" and its == row) for row in rows.values()
    )
    for row in rows.values():
        emptied = {day + n for day, kind, its in events if kind == "renew" and its == row for n in range(5)}
        for day in range(stood + 1 + row, table.days - 8, 3):
            if table.is_open[day] and day not in emptied:
                yield row, day


def by_walk(before: Rota, vessel: str, day: int) -> tuple[int | None, Drawn]:
    """The crash written into the logbook: the day of the restart, and what gave how much on each day."""
    on = before.as_of + timedelta(days=day)
    told = [fulfils(task, task.on) for task in before.tasks if task.on < on]
    told.append(Entry(on, "crashed", vessel, (("cause", "unknown"),)))
    logged = replay(before.context, numbered(told), on)
    kept = Decisions(
        {choice.batch.id: choice.taken for choice in before.simulation.choices if choice.taken},
        first_starts(before.simulation.events),
    )
    broken_down = {event.batch.id for event in before.simulation.events if event.kind == "renew"}
    renewals = {batch: batch in broken_down for batch in kept.harvests}  # as they stand in the rota before
    walked = simulate(before.context, logged.start_state()._replace(renewals=renewals), kept)
    restarted: int | None = None
    drawn: Drawn = {}
    stood = set(logged.recorder.state.numbers)
    for event in walked.events:
        if event.kind == "start" and event.batch.vessel in stood:
            here = drawn.setdefault((event.on - before.as_of).days, {})
            source = kind_of(event.batch.parent)
            here[source] = here.get(source, 0.0) + event.volume_ml
            if event.batch.vessel == vessel and restarted is None:
                restarted = (event.on - before.as_of).days
    return restarted, drawn


def kind_of(parent: str) -> str:
    if parent.startswith("fridge:"):
        return "back-up"
    return "starter" if parent.startswith("starter:") else parent.split("/")[0]


def by_seasons(table: Timetable, row: int, day: int, monkeypatch: pytest.MonkeyPatch) -> Drawn:
    drawn: Drawn = {}

    def strike(mishaps: season._Mishaps, today: int) -> None:
        if today == day:
            mishaps._states.z[row] = np.inf
            mishaps._states.lose(np.array([row]), np.array([0]), day)

    def watched(states: SeasonStates, today: int) -> None:
        given, bottles, starters = states.given_ml.copy(), states.bottle_ml.copy(), states.starter_ml.copy()
        restart(states, today)
        found = dict(zip(table.places.names, (states.given_ml - given)[:, 0], strict=True))
        found["back-up"] = float((bottles - states.bottle_ml).sum())
        found["starter"] = float((starters - states.starter_ml).sum())
        if any(ml > 1e-9 for ml in found.values()):
            drawn[today] = {source: ml for source, ml in found.items() if ml > 1e-9}

    restart = season.restart_waiting
    with monkeypatch.context() as patch:
        patch.setattr(season._Mishaps, "strike", strike)
        patch.setattr(season, "restart_waiting", watched)
        season.play(table, CALM, 1, seed=1)
    return drawn


def by_loop(table: Timetable, row: int, day: int) -> Drawn:
    vessels = [[1.0] * len(table.places.names) for _ in range(table.days)]
    vessels[day][row] = 0.0
    crash = replace(CALM, crash=0.5)
    loop = Loop(table, crash)
    loop.play([1.0] * table.days, vessels)
    return loop.drawn_ml
