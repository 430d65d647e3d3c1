"""What comes after a day, and why a day has no task: a rota that ends or a jar that waits is never "nothing"."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from datetime import date, timedelta
from itertools import groupby

from greenrota.rota.answers.contents import Contents
from greenrota.rota.kinds import TASK_KINDS
from greenrota.rota.rota import Rota
from greenrota.rota.tasks.task import Task
from greenrota.views.text.day import day_text
from greenrota.views.text.lettering import hanging, printable

GO_ON = "log what stands in the vessels, and it goes on by itself; or set a new start"


def waiting(
    rota: Rota, on: date, vessels: Sequence[Contents], late: Collection[str], width: int | None
) -> list[str]:
    """Why there is no task on a day: the vessels that stand ripe and wait, or that nothing is planned for the day.

    `late` are the vessels of overdue tasks, which are spoken of elsewhere. [] where there is really nothing to do.
    """
    if on > rota.through:
        return hanging("  ", "not known: nothing is planned for this day", width)
    lines = []
    for each in vessels:
        if each.ripe_on is None or each.ripe_on > on or each.vessel in late:
            continue
        work = next((task.on for task in rota.tasks if each.vessel in task.vessels and task.on > on), None)
        when = (
            f"no harvest is planned through {day_text(rota.through)}"
            if work is None
            else f"its harvest is planned for {day_text(work)}"
        )
        lines += hanging("  ", printable(f"no task, but {each.batch} stands ripe: {when}"), width)
    return lines


def coming_lines(rota: Rota, on: date, tasks: Sequence[Task], days: int, width: int | None) -> list[str]:
    """The tasks of the next days, a line a day; where the rota ends before, that is said."""
    lines: list[str] = []
    for day, of_day in groupby(tasks, key=lambda task: task.on):
        jobs: dict[str, list[str]] = {}
        for task in of_day:
            verb = TASK_KINDS[task.kind].verb
            jobs.setdefault(verb, []).extend(map(printable, task.batches))
        text = "; ".join(f"{kind} {', '.join(batches)}" for kind, batches in jobs.items())
        lines += hanging(f"  {day_text(day)}  ", text, width)
    if on + timedelta(days=days) > rota.through:
        more = "greenrota month --next looks further" if on <= rota.through else GO_ON
        lines += hanging("  ", f"planned through {day_text(rota.through)}; {more}", width)
    return lines or ["  nothing"]
