"""The changes of a rota: as sentences for people, each with its reason, and as one JSON object."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from greenrota.rota.answers.changes import Change, Changes
from greenrota.rota.kinds import TASK_KINDS, TaskKind
from greenrota.rota.rota import Rota
from greenrota.rota.tasks.task import Task
from greenrota.rota.wording import numbered
from greenrota.views.tasks.pour import done
from greenrota.views.tasks.tasklist import task_object
from greenrota.views.tasks.visit import mixed
from greenrota.views.text.day import dated, short_day
from greenrota.views.text.document import json_document
from greenrota.views.text.lettering import hanging, printable

FORMAT = "greenrota/changes/1"
_FOLLOWING: tuple[TaskKind, ...] = ("prepare", "reseed")  # their reason is that of another task
# How a reason begins, and how it begins behind "because".
_CLAUSES: Mapping[str, str] = {
    "at ": "it is then at ",
    "comes from ": "it comes from ",
    "lifts ": "it lifts ",
    "was due on ": "it was due on ",
    "its day, ": "its day, ",
    "follows from ": "it follows from ",
}


def changes_page(rota: Rota, found: Changes, fresh: Sequence[str], width: int | None = None) -> str:
    """What is new in the logbook, how many tasks stay, and a sentence for every change; no newline at the end.

    `fresh` are the lines of the newest entries. `width` wraps to the screen; None: one line a sentence.
    """
    lines = hanging("", f"{printable(rota.plan.name)}, as of {dated(rota.as_of)}", width, 2)
    if fresh:
        lines += ["New in the logbook:"]
        lines += [part for line in fresh for part in hanging("  ", printable(line), width, 4)]
    else:
        lines.append("Nothing is logged: the rota is as planned from its first day.")
    lines += ["", *hanging("", f"{_stay(found)}", width, 2)]
    for sentence in _sentences(rota, found.changes):
        lines += hanging("", printable(sentence), width, 2)
    return "\n".join(lines)


def _stay(found: Changes) -> str:
    if not found.changes:
        return f"{numbered(found.kept, 'task stays', 'tasks stay')} as planned; nothing changes."
    return f"{numbered(found.kept, 'task stays', 'tasks stay')} as planned."


def _sentences(rota: Rota, changes: Sequence[Change]) -> Iterator[str]:
    """A sentence for all that changes alike at one vessel, in the order of the calendar; one for all salt water."""
    alike: dict[tuple[object, ...], list[Change]] = {}
    for change in changes:
        task = _task(change)
        if task.fills:
            continue
        key: tuple[object, ...] = (change.change, task.vessel, _day(change.before), _day(change.after))
        alike.setdefault((*key, change.id) if change.change == "amounts" else key, []).append(change)
    for group in alike.values():
        yield f"{_sentence(rota, group)}{_because(group)}."
    buckets = [change for change in changes if _task(change).fills]
    if buckets:
        yield f"{_salt_water(rota, buckets)}."


def _salt_water(rota: Rota, buckets: Sequence[Change]) -> str:
    """When the salt water that changes is mixed now, and for which batches, and when none is mixed any more."""
    now = [
        f"on {_on(task)} ({mixed(rota, [task])[0]} for {', '.join(task.batches)})"
        for task in (change.after for change in buckets)
        if task is not None
    ]
    days = {task.on for task in rota.tasks if task.fills}
    was = [change.before.on for change in buckets if change.before is not None]
    gone = [short_day(on) for on in dict.fromkeys(was) if on not in days]
    parts = [f"is mixed {', '.join(now)}"] if now else []
    parts += [f"is not mixed on {', '.join(gone)} any more"] if gone else []
    return f"Salt water {' and '.join(parts) or 'is mixed for fewer fillings'}"


def _sentence(rota: Rota, group: Sequence[Change]) -> str:
    first, units = group[0], rota.plan.units
    who, verbs = _task(first).batch, " and ".join(TASK_KINDS[_task(change).kind].done for change in group)
    was, now = first.before, first.after
    if now is None:
        return f"{who} is not {verbs} on {_on(was)} any more"
    if was is None:
        return f"{who} is {verbs} on {_on(now)}, which is new: {_amounts(group, units)}"
    if first.change == "amounts":
        day = f"{who} is {verbs} on {_on(now)} as before"
        if not _other_amounts(first, units):
            return day
        return f"{day}, but with other amounts: {_pour(now, units)}; until now {_pour(was, units)}"
    moved = f"{who} is {verbs} on {_on(now)} instead of {_on(was)}"
    poured = [change for change in group if _other_amounts(change, units)]
    return f"{moved}, with other amounts: {_amounts(poured, units)}" if poured else moved


def _other_amounts(change: Change, units: str) -> bool:
    before, after = change.before, change.after
    return before is not None and after is not None and done(before, units) != done(after, units)


def _amounts(group: Sequence[Change], units: str) -> str:
    return "; ".join(_pour(change.after, units) for change in group if change.after is not None)


def _pour(task: Task, units: str) -> str:
    """The amounts of a task without the word for what is done, which stands before them in the sentence."""
    return done(task, units).removeprefix(TASK_KINDS[task.kind].verb).removeprefix(":").strip()


def _because(group: Sequence[Change]) -> str:
    """The reason of a group, as the end of its sentence."""
    reasons = [change.reason for change in group if _task(change).kind not in _FOLLOWING]
    reason = "; ".join(dict.fromkeys(reasons or [change.reason for change in group]))
    for begin, as_clause in _CLAUSES.items():
        if reason.startswith(begin):
            return f", because {as_clause}{reason.removeprefix(begin)}"
    return f", because {reason}" if _task(group[0]).batch in reason.split(" ")[:1] else f" ({reason})"


def _task(change: Change) -> Task:
    task = change.after or change.before
    assert task is not None  # a change has a side
    return task


def _day(task: Task | None) -> date | None:
    return None if task is None else task.on


def _on(task: Task | None) -> str:
    return "" if task is None else short_day(task.on)


def changes_json(found: Changes, numbers: Sequence[int]) -> str:
    """The changes as one JSON object of format `greenrota/changes/1`.

    `since` is the first day that changes, `numbers` are those of the newest entries; tasks stand
    as in `greenrota/tasks/1`.
    """
    answer = {
        "since": found.since.isoformat(),
        "entries": list(numbers),
        "kept": found.kept,
        "changes": [
            {
                "id": change.id,
                "change": change.change,
                "before": None if change.before is None else task_object(change.before),
                "after": None if change.after is None else task_object(change.after),
                "reason": change.reason,
            }
            for change in found.changes
        ],
    }
    return json_document(FORMAT, answer)
