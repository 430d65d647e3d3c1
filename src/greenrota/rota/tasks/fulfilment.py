"""Fulfilment: which task an entry of the logbook fulfils, and the entry for a task that was done as planned."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from greenrota.logbook.entry import Entry, Value
from greenrota.logbook.vocabulary import LogKind
from greenrota.rota.kinds import TASK_KINDS, EntrySource
from greenrota.rota.tasks.task import Task

EARLY_DAYS = 3  # so far ahead of its day a task may be done and still be that task; our choice
_TENTH, _HUNDREDTH = 1, 2  # decimals of a millilitre written down, nutrient finer than culture; our choice


def task_fulfilled(tasks: Iterable[Task], kind: LogKind, vessel: str, on: date) -> Task | None:
    """The task an entry of that kind fulfils: the first one due by that day, else the next within three days; a
    vessel that is started early is started all the same.

    `kind` is a kind of entry, `tasks` are in the order of the calendar. None if there is no such task.
    """
    for task in tasks:
        if TASK_KINDS[task.kind].entry == kind and task.vessel == vessel:
            soon = task.kind == "start" or task.on <= on + timedelta(days=EARLY_DAYS)
            return task if soon else None
    return None


def planned_values(task: Task) -> tuple[tuple[str, Value], ...]:
    """What an entry says when a task was done as planned: the amounts in mL, the donor of a start and a fill that
    is not the working volume, a light to set."""
    planned = {key: _planned_value(task, what) for key, what in TASK_KINDS[task.kind].entry_values.items()}
    return tuple(
        (
            key,
            round(value, _HUNDREDTH if key == "nutrient" else _TENTH) if isinstance(value, float) else value,
        )
        for key, value in planned.items()
        if value is not None
    )


def _planned_value(task: Task, what: EntrySource) -> Value | None:
    if what == "parent":
        return task.parent
    if what == "light":
        return task.light_h
    if what == "fill":
        return task.fill_ml
    if what == "nutrient":  # every part is dosed alike, and the entry tells of one of them
        return next(iter(task.amounts.nutrient_ml.values()), None)
    return task.amounts.of(what)


def planned_entry(task: Task) -> Entry:
    """The entry for a task that was done as planned, on the day it was planned for."""
    return Entry(task.on, TASK_KINDS[task.kind].entry, task.vessel, planned_values(task))
