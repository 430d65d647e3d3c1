"""A page never says that there is nothing to do while ripe vessels stand, nor where the rota ends.

Truth: the projections of the batches, and the last day of the horizon.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from pathlib import Path

import pytest
from made_logs import fulfils

from greenrota.cli.system.rota_at import load_plan
from greenrota.logbook.entry import Entry
from greenrota.rota.answers.contents import vessel_contents
from greenrota.rota.plan import Work
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule, schedule_from
from greenrota.views.today.today import today_page

FOLDER = Path(__file__).parents[3] / "examples"


def due(page: str) -> list[str]:
    blocks = [block.splitlines() for block in page.split("\n\n")]
    return next(block[1:] for block in blocks if block[0] == "Due today")


def coming(page: str) -> list[str]:
    blocks = [block.splitlines() for block in page.split("\n\n")]
    return next(block[1:] for block in blocks if block[0] == "The next 3 days")


@cache
def rota(name: str) -> Rota:
    return schedule(load_plan(FOLDER / f"{name}.toml"))


@pytest.mark.parametrize("name", ["shelf", "us-pair", "corner"])
def test_no_day_of_a_rota_says_nothing_while_a_ripe_vessel_stands(name: str) -> None:
    found, seen = rota(name), 0
    for n in range((found.through - found.as_of).days + 1):
        on = found.as_of + timedelta(days=n)
        ripe = [
            each for each in vessel_contents(found, on) if each.ripe_on is not None and each.ripe_on <= on
        ]
        lines = due(today_page(found, on))
        if lines in (["  nothing"], ["  nothing more"]):
            assert not ripe, on
        for each in ripe:
            if lines[0].startswith("  no task"):
                assert any(f"{each.batch} stands ripe" in line for line in lines)
                seen += 1
    assert seen > 0 or name == "us-pair"


def left_alone(days: int) -> tuple[list[Entry], date]:
    """Two jars of a plan with a short horizon, worked for a while and then left alone until both are ripe."""
    plan = replace(load_plan(FOLDER / "shelf.toml"), days=days, away=())
    told: list[Entry] = []
    day, found = plan.start, schedule_from(plan, told, plan.start, ())
    for _ in range(24):
        told += [fulfils(task, day) for task in found.rota.tasks if task.on == day]
        day += timedelta(days=1)
        found = schedule_from(plan, told, day, found.remembered)
    return told, day


@pytest.mark.parametrize("days", [1, 2, 9])
@pytest.mark.parametrize("weekday", [0, 1, 2, 3, 4, 5, 6])
def test_on_the_last_day_of_any_horizon_ripe_vessels_are_named(days: int, weekday: int) -> None:
    """With a horizon of one day every day is the last; without a working day in it nothing can be planned."""
    told, day = worked()
    day += timedelta(days=14 + (weekday - day.weekday()) % 7)
    plan = replace(load_plan(FOLDER / "shelf.toml"), days=days, away=())
    for work in (plan.work, Work(weekdays=frozenset({(weekday + 3) % 7}), jobs_per_day=None)):
        found = schedule(replace(plan, work=work), told, day)
        standing = [each for each in vessel_contents(found, day) if each.ripe_on is not None]
        ripe = {each.batch for each in standing if each.ripe_on is not None and each.ripe_on <= day}
        assert ripe  # two weeks without work
        page = today_page(found, day)
        named = due(page) + [line for line in page.splitlines() if line.startswith("Overdue")]
        assert named and due(page) != ["  nothing"]
        for batch in ripe:
            assert any(batch in line or line.startswith("Overdue") for line in page.splitlines())


@cache
def worked() -> tuple[list[Entry], date]:
    return left_alone(9)


def test_where_the_rota_ends_the_page_says_so() -> None:
    found = rota("shelf")
    last = found.through
    assert any(
        f"planned through Sun {last}" in line and "month --next" in line
        for line in coming(today_page(found, last))
    )
    assert not any("planned through" in line for line in coming(today_page(found, last - timedelta(days=3))))
    after = today_page(found, last + timedelta(days=40))
    assert due(after) == ["  not known: nothing is planned for this day"]
    assert "nothing is logged" in after.splitlines()[0] and "log what stands" in after.splitlines()[0]
