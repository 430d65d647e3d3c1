"""Changes: what an entry made of the rota, task by task, each with its reason."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import NamedTuple

from greenrota.logbook.entry import Entry
from greenrota.rota.rota import Rota
from greenrota.rota.tasks.amounts import Amounts
from greenrota.rota.tasks.task import Task

SAME_SHARE = 0.005  # amounts that differ by less than half a percent are the same pour; our choice
SAME_ML = 0.5  # half a millilitre or less of culture or water is the same pour; our choice


class Change(NamedTuple):
    """One task that is other than it was. `change` is moved, new, dropped or amounts."""

    id: str
    change: str
    before: Task | None
    after: Task | None
    reason: str


class Changes(NamedTuple):
    """The changes since a day, and how many tasks stayed as they were."""

    since: date
    kept: int
    changes: tuple[Change, ...]


def first_day_that_differs(earlier: Sequence[Entry], entries: Sequence[Entry], as_of: date) -> date:
    """The first day on which two lists of entries differ, up to `as_of`; `as_of` if they do not.

    A void may have taken entries away, so neither list need begin with the other.
    """
    fresh = [entry.on for entry in {*entries} ^ {*earlier}]
    return min([on for on in fresh if on <= as_of], default=as_of)


def compare(before: Rota, after: Rota, since: date) -> Changes:
    """The differences of two rotas. A task that has been done meanwhile is neither kept nor dropped."""
    old = {task.id: task for task in before.tasks}
    new = {task.id: task for task in after.tasks}
    found: list[Change] = []
    kept = 0
    for name, task in new.items():
        was = old.get(name)
        change = _change(was, task, after)
        if change is None:
            kept += 1
        else:
            found.append(change)
    done = after.start_state.done
    for name, was in old.items():
        if name not in new and name not in done:
            found.append(Change(name, "dropped", was, None, _why_dropped(was, after)))
    found.sort(key=lambda change: (_day(change), change.id))
    return Changes(since, kept, tuple(found))


def _change(was: Task | None, task: Task, after: Rota) -> Change | None:
    if was is None:
        return Change(task.id, "new", None, task, task.reason)
    if was.parent != task.parent:
        reason = f"comes from {task.parent} now, not from {was.parent}: {task.reason}"
        return Change(task.id, "moved" if was.on != task.on else "amounts", was, task, reason)
    if was.on != task.on:
        return Change(task.id, "moved", was, task, _why_moved(was, task, after))
    if not _same(was.amounts, task.amounts):
        return Change(task.id, "amounts", was, task, _why_amounts(task, after))
    return None


def _day(change: Change) -> date:
    task = change.after or change.before
    assert task is not None  # a change has a side
    return task.on


def _why_dropped(was: Task, after: Rota) -> str:
    for crash in reversed(after.crashes):
        if crash.vessel == was.vessel:
            return f"{crash.batch} crashed on {crash.on} ({crash.cause})"
    if was.on < after.as_of:
        return f"its day, {was.on}, has passed"
    if was.parent in after.suspects:
        return f"{was.parent} is suspect: {after.suspects[was.parent].because}"
    return "follows from the changes before it"


def _why_moved(was: Task, task: Task, after: Rota) -> str:
    if was.on < after.as_of:
        return f"was due on {was.on}; {task.reason}"
    return task.reason


def _why_amounts(task: Task, after: Rota) -> str:
    gifts = [
        event.batch.id
        for event in after.simulation.events
        if event.kind == "start" and event.batch.parent == task.batch and event.on <= task.on
    ]
    if task.kind == "harvest" and gifts:
        return f"{', '.join(gifts)} took inoculum from {task.batch}"
    return task.reason


def _same(a: Amounts, b: Amounts) -> bool:
    pairs = [
        (a.inoculum_ml, b.inoculum_ml),
        (a.seawater_ml, b.seawater_ml),
        (a.salt_g, b.salt_g),
        (a.harvest_ml, b.harvest_ml),
        (a.keep_ml, b.keep_ml),
        (a.bank_ml, b.bank_ml),
        (_total(a.nutrient_ml), _total(b.nutrient_ml)),
    ]
    return a.nutrient_ml.keys() == b.nutrient_ml.keys() and all(_near(x, y) for x, y in pairs)


def _total(nutrient_ml: Mapping[str, float]) -> float:
    return sum(nutrient_ml.values())


def _near(x: float | None, y: float | None) -> bool:
    if x is None or y is None:
        return x is y
    return abs(x - y) <= max(SAME_ML, SAME_SHARE * max(abs(x), abs(y)))
