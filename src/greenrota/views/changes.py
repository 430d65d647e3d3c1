"""The changes of a rota: as a list for people, each with its reason, and as one JSON object."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Sequence

from greenrota.rota.answers.changes import Change, Changes
from greenrota.rota.rota import Rota
from greenrota.rota.tasks.task import Task
from greenrota.rota.wording import numbered
from greenrota.views.day import day_text
from greenrota.views.lettering import hanging, pad, printable
from greenrota.views.pour import pour_text
from greenrota.views.tasklist import task_object

FORMAT = "greenrota/changes/1"
_WORDS = ("moved", "new", "dropped", "amounts")


def changes_page(rota: Rota, found: Changes, fresh: Sequence[str], width: int | None = None) -> str:
    """What is new in the logbook, how many tasks are kept, and every change; no newline at the end.

    `fresh` are the lines of the newest entries. `width` wraps to the screen; None: one line a change.
    """
    lines = hanging("", f"{printable(rota.plan.name)}: as of {day_text(rota.as_of)}", width, 2)
    lines += [part for line in fresh for part in hanging("  since  ", printable(line), width)]
    if not fresh:
        lines.append("  nothing is logged: the rota is as planned from its first day")
    counts = Counter(change.change for change in found.changes)
    told = [f"{counts[word]} {'with other amounts' if word == 'amounts' else word}" for word in _WORDS]
    lines += hanging("", f"{numbered(found.kept, 'task')} kept, {', '.join(told)}", width, 2)
    if found.changes:
        lines.append("")
    for change in found.changes:
        lines += _change(rota, change, width)
    return "\n".join(lines)


def _change(rota: Rota, change: Change, width: int | None) -> list[str]:
    before, after = change.before, change.after
    units = rota.plan.units
    if before is None or after is None:
        task = after or before
        when = "" if task is None else day_text(task.on)
        pour = "" if after is None else f": {pour_text(after, units)}"
    else:
        when = day_text(after.on)
        if before.on != after.on:
            when = f"{day_text(before.on)} -> {when}"
        pour = _pours(before, after, units)
    name = printable(" ".join(reversed(change.id.rsplit("/", 1))))
    lead = f"{pad(change.change, len('dropped'))}  "
    reason = f"because: {printable(change.reason)}"
    if width is None:
        return [f"{lead}{name}  {when}{pour}; {reason}"]
    return [*hanging(lead, f"{name}  {when}{pour}", width), *hanging(" " * len(lead), reason, width)]


def _pours(before: Task, after: Task, units: str) -> str:
    was, now = pour_text(before, units), pour_text(after, units)
    return "" if was == now else f": {was} -> {now}"


def changes_json(found: Changes, numbers: Sequence[int]) -> str:
    """The changes as one JSON object of format `greenrota/changes/1`.

    `since` is the first day that is told of otherwise, `numbers` are those of the newest entries; tasks stand
    as in `greenrota/tasks/1`.
    """
    answer = {
        "format": FORMAT,
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
    return json.dumps(answer, ensure_ascii=False, allow_nan=False, indent=1)
