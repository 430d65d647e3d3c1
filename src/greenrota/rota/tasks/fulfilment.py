"""Fulfilment: which task an entry of the logbook fulfils, and the entry for a task that was done as planned."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from greenrota.logbook.entry import Entry, Value
from greenrota.logbook.vocabulary import LogKind
from greenrota.rota.kinds import TASK_KINDS, EntrySource
from greenrota.rota.tasks.task import Task

EARLY_DAYS = 3  # so far ahead of its day a task may be done and still be that task; our choice
_TENTH, _HUNDREDTH = 1, 2  # decimals of a millilitre written down, nutrient finer than culture; our choice


def task_fulfilled(tasks: Iterable[Task], kind: LogKind, vessel: str, on: date) -> Task | None:
    """The task an entry of that kind fulfils: the first one due by that day, else the next within three days; a
    vessel that is started early is started all the same. A bucket of salt water is mixed for each vessel it serves.

    `kind` is a kind of entry, `tasks` are in the order of the calendar. None if there is no such task.
    """
    for task in tasks:
        if TASK_KINDS[task.kind].entry == kind and vessel in task.vessels:
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


def planned_entries(task: Task, vessels: Sequence[str] = ()) -> list[Entry]:
    """The entries for a task that was done as planned, on the day it was planned for.

    A bucket of salt water has one for every vessel it serves, or for those of them that are given.
    """
    kind = TASK_KINDS[task.kind].entry
    if not task.fills:
        return [Entry(task.on, kind, task.vessel, planned_values(task))]
    return [
        Entry(task.on, kind, vessel, (("volume", volume_ml),))
        for vessel, volume_ml in bucket_shares(task, vessels or task.vessels).items()
    ]


def bucket_shares(task: Task, vessels: Sequence[str]) -> dict[str, float]:
    """What of a bucket of salt water was mixed for each of some vessels (mL), in their order, as an entry says it.

    Together they make the whole bucket: the first has what was mixed for vessels that are not named.
    """
    own = {name: sum(f.seawater_ml for f in task.fills if f.vessel == name) for name in task.vessels}
    named = [name for name in dict.fromkeys(vessels) if name in own]
    rest_ml = sum(volume_ml for name, volume_ml in own.items() if name not in named)
    return {name: round(own[name] + (rest_ml if n == 0 else 0.0), _TENTH) for n, name in enumerate(named)}
