"""Fulfilment: which task an entry of the logbook fulfils, and the entry for a task that was done as planned."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from types import MappingProxyType

from greenrota.logbook.entry import Entry, Value
from greenrota.rota.tasks.task import Task

# The kind of entry for each kind of task.
ENTRY_KIND: Mapping[str, str] = MappingProxyType(
    {
        "prepare": "prepared",
        "start": "started",
        "feed": "fed",
        "harvest": "harvested",
        "reseed": "reseeded",
        "renew": "discarded",
        "bank": "banked",
    }
)
EARLY_DAYS = 3  # so far ahead of its day a task may be done and still be that task; our choice
_TENTH, _HUNDREDTH = 1, 2  # decimals of a millilitre written down, nutrient finer than culture; our choice


def task_fulfilled(tasks: Iterable[Task], kind: str, vessel: str, on: date) -> Task | None:
    """The task an entry of that kind fulfils: the first one due by that day, else the next within three days; a
    vessel that is started early is started all the same.

    `kind` is a kind of entry, `tasks` are in the order of the calendar. None if there is no such task.
    """
    for task in tasks:
        if ENTRY_KIND[task.kind] == kind and task.vessel == vessel:
            soon = task.kind == "start" or task.on <= on + timedelta(days=EARLY_DAYS)
            return task if soon else None
    return None


def planned_values(task: Task) -> tuple[tuple[str, Value], ...]:
    """What an entry says when a task was done as planned: the amounts in mL, the donor of a start, a light to set."""
    given = task.amounts
    poured_ml = next(iter(given.nutrient_ml.values()), None)
    by_kind: dict[str, dict[str, Value | None]] = {
        "prepare": {"volume": given.seawater_ml},
        "start": {"from": task.parent, "inoculum": given.inoculum_ml},
        "feed": {"nutrient": poured_ml},
        "harvest": {"volume": given.harvest_ml},
        "reseed": {"inoculum": given.inoculum_ml, "light": task.light_h},
        "bank": {"volume": given.bank_ml},
    }
    return tuple(
        (
            key,
            round(value, _HUNDREDTH if key == "nutrient" else _TENTH) if isinstance(value, float) else value,
        )
        for key, value in by_kind.get(task.kind, {}).items()
        if value is not None
    )


def planned_entry(task: Task) -> Entry:
    """The entry for a task that was done as planned, on the day it was planned for."""
    return Entry(task.on, ENTRY_KIND[task.kind], task.vessel, planned_values(task))
