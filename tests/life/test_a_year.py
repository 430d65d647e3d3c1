"""A year with a rota: everything a person does with it, in any order, and every law held after each step.

The book lies in a folder and is read again for every step, as a command would. A short life in the suite; a long one
with GREENROTA_LONG_LIFE=1 (some ten minutes).
"""

from __future__ import annotations

import json
import os
import shutil
import tempfile
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from audit import check_all
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule
from icalendar import Calendar
from made_logs import fulfils
from made_plans import lively_plans

from greenrota.logbook.book import culture
from greenrota.logbook.entry import Entry, Value
from greenrota.logbook.store import append, load
from greenrota.logbook.vocabulary import CAUSES
from greenrota.rota.plan import Away, Plan
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.search import search
from greenrota.rota.tasks.task import Task
from greenrota.views.calendar.appointment import Appointment, renewed, uid_of
from greenrota.views.calendar.calendar import calendar_bytes
from greenrota.views.tasks.tasklist import tasks_json

LONG = os.environ.get("GREENROTA_LONG_LIFE") == "1"
HORIZON_DAYS = 365 if LONG else 90
MOMENT = datetime(2027, 2, 1, 8, tzinfo=UTC)
ANY = st.integers(0, 99)  # one of the vessels there are


class Year(RuleBasedStateMachine):
    """A shelf, its plan, its book on the disk and the day it is."""

    def __init__(self) -> None:
        super().__init__()
        self.patch = pytest.MonkeyPatch()
        self.patch.setattr(search, "FEWEST_BATCHES", 20)  # the laws hold for every date, good or bad
        self.patch.setattr(search, "MOST_BATCHES", 40)
        self.patch.setattr(search, "EXACT_BATCHES", 0)
        self.folder = Path(tempfile.mkdtemp(prefix="a-year-"))
        self.book = self.folder / "plan.log"
        self.written: list[Entry] = []
        self.exported: dict[str, Appointment] = {}

    def teardown(self) -> None:
        self.patch.undo()
        shutil.rmtree(self.folder)

    @initialize(plan=lively_plans(most_vessels=3))
    def begin(self, plan: Plan) -> None:
        self.plan = replace(plan, days=HORIZON_DAYS)
        self.today = plan.start
        self.rota = self._rota()

    def _rota(self) -> Rota:
        return schedule(self.plan, culture(load(self.book).entries), self.today)

    def _write(self, *entries: Entry) -> None:
        numbers = append(self.book, entries)
        self.written += [replace(entry, number=n) for entry, n in zip(entries, numbers, strict=True)]
        self.rota = self._rota()

    def _tell(self, kind: str, which: int, *values: tuple[str, Value]) -> None:
        self._write(Entry(self.today, kind, self._vessel(which), values))

    def _vessel(self, which: int) -> str:
        return self.plan.vessels[which % len(self.plan.vessels)].name

    def _change(self, **changes: object) -> None:
        self.plan = replace(self.plan, **changes)  # type: ignore[arg-type]
        self.rota = self._rota()

    @rule(days=st.integers(1, 21), factor=st.sampled_from((1.0, 1.0, 1.0, 0.9, 1.2)))
    def everything_is_done_for_some_days(self, days: int, factor: float) -> None:
        last = self.today + timedelta(days=days - 1)
        done = [fulfils(task, task.on, factor) for task in self.rota.tasks if task.on <= last]
        self.today = last
        self._write(*done)

    @rule(days=st.integers(1, 12))
    def days_pass_and_nothing_is_written(self, days: int) -> None:
        self.today += timedelta(days=days)
        self.rota = self._rota()

    @rule(which=ANY, late=st.integers(0, 5))
    def one_task_is_done_late(self, which: int, late: int) -> None:
        open_tasks = self.rota.tasks
        if open_tasks:
            task = open_tasks[which % min(3, len(open_tasks))]
            self.today = max(self.today, task.on + timedelta(days=late))
            self._write(fulfils(task, self.today))

    @rule(which=ANY, cause=st.sampled_from(CAUSES), ago=st.integers(0, 6))
    def one_crashes(self, which: int, cause: str, ago: int) -> None:
        if self._vessel(which) in self.rota.state.cultures:
            self._tell("crashed", which, ("cause", cause), ("since", self.today - timedelta(days=ago)))

    @rule(which=ANY, density=st.floats(1e3, 1e7))
    def one_is_counted(self, which: int, density: float) -> None:
        self._tell("counted", which, ("density", round(density)))

    @rule(which=ANY, volume=st.sampled_from((100.0, 250.0, 9000.0)))
    def one_is_banked(self, which: int, volume: float) -> None:
        self._tell("banked", which, ("volume", volume))

    @rule(which=ANY)
    def one_task_is_skipped(self, which: int) -> None:
        if self.rota.tasks:
            task = self.rota.tasks[which % min(3, len(self.rota.tasks))]
            self._write(Entry(self.today, "skipped", task.vessel, (("task", task.id),)))

    @precondition(lambda self: self.written)
    @rule(back=st.integers(0, 4))
    def an_entry_is_taken_back(self, back: int) -> None:
        number = self.written[-1 - back % len(self.written)].number
        assert number is not None
        self._write(Entry(self.today, "void", "-", (("entry", number),)))

    @rule(projection=st.integers(0, 10), days=st.integers(0, 20))
    def away_days_are_entered(self, projection: int, days: int) -> None:
        first = self.today + timedelta(days=projection)
        self._change(away=(*self.plan.away, Away(first, first + timedelta(days=days)))[-4:])

    @precondition(lambda self: len(self.plan.vessels) > 1)
    @rule(which=ANY)
    def a_vessel_leaves_the_plan(self, which: int) -> None:
        name = self._vessel(which)
        self._change(vessels=tuple(vessel for vessel in self.plan.vessels if vessel.name != name))

    @precondition(lambda self: len(self.plan.vessels) < 4)
    @rule(name=st.sampled_from(("north", "south", "new", "a b")))
    def a_vessel_comes_or_comes_back(self, name: str) -> None:
        if name not in {vessel.name for vessel in self.plan.vessels}:
            self._change(vessels=(*self.plan.vessels, replace(self.plan.vessels[0], name=name)))

    @rule(which=ANY, share=st.sampled_from((0.3, 0.8, 1.0)))
    def a_fill_is_changed(self, which: int, share: float) -> None:
        name = self._vessel(which)
        self._change(
            vessels=tuple(
                replace(v, fill_l=v.brim_l * share) if v.name == name else v for v in self.plan.vessels
            )
        )

    def _visits(self) -> dict[tuple[date, str], list[Task]]:
        """The tasks that are done in one go: what is made ready on a day, else all at one vessel."""
        visits: dict[tuple[date, str], list[Task]] = {}
        for task in self.rota.tasks:
            vessel = "" if task.kind == "prepare" else task.vessel
            visits.setdefault((task.on, vessel), []).append(task)
        return visits

    @rule()
    def the_calendar_is_exported(self) -> None:
        renewal = renewed(self.exported, self.rota, False, self.today, MOMENT)
        events = Calendar.from_ical(calendar_bytes(self.plan.name, renewal.appointments)).walk("VEVENT")
        said = [str(event["UID"]) for event in events if event.get("STATUS") != "CANCELLED"]
        assert len(said) == len(set(said))
        for tasks in self._visits().values():  # one entry a visit, known by one of its tasks
            assert len({uid_of(self.plan.name, task.id) for task in tasks} & set(said)) == 1
        self.exported = {each.uid: each for each in renewal.appointments}

    @invariant()
    def every_law_holds(self) -> None:
        if not hasattr(self, "rota"):
            return
        check_all(self.rota)
        assert all(problem.code.startswith("log-") and problem.hint for problem in self.rota.problems)
        known = {vessel.name for vessel in self.plan.vessels}
        assert {
            warning.vessel for warning in self.rota.warnings if warning.vessel is not None
        } <= known | set(self.rota.gone_vessels.living)
        assert not set(self.rota.gone_vessels.living) & known

    @invariant()
    def nothing_that_was_written_is_lost(self) -> None:
        book = load(self.book)
        assert list(book.entries) == self.written
        assert not book.problems

    @invariant()
    def what_is_told_as_json_is_the_rota(self) -> None:
        if hasattr(self, "rota"):
            told = json.loads(tasks_json(self.rota, self.rota.tasks))
            assert [task["id"] for task in told["tasks"]] == [task.id for task in self.rota.tasks]


TestAYear = Year.TestCase
TestAYear.settings = settings(
    max_examples=15 if LONG else 6,
    stateful_step_count=60 if LONG else 16,
    deadline=None,
    suppress_health_check=list(HealthCheck),
)
