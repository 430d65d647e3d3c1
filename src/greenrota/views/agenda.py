"""The agenda: dated tasks as a person reads them at the bench, and one line a task where no screen is."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby, zip_longest
from types import MappingProxyType

from greenrota.rota.rota import Rota
from greenrota.rota.state.cycle import Cycle
from greenrota.rota.tasks.task import Task
from greenrota.rota.wording import numbered
from greenrota.views import care
from greenrota.views.day import day_text, week_of
from greenrota.views.lettering import display_width, hanging, pad, printable, wrap
from greenrota.views.pour import JOINT, density_text, pour_parts, pour_text
from greenrota.views.score import CUT_SHORT
from greenrota.views.table import Column, render_table
from greenrota.views.watch import magnify

_GAP = "  "
_LEAST_ROOM = 40  # our choice: with fewer columns beside the names, the amounts go on lines of their own
_NARROW_MARGIN = 4  # our choice: how far in they stand then
_BESIDE_FROM = 110  # our choice: from this width on the reason stands beside the amounts, not below
_BESIDE_SHARE = 0.5  # our choice: share of the room that the amounts get then


def chosen(
    rota: Rota, first: date | None = None, last: date | None = None, vessel: str | None = None
) -> tuple[Task, ...]:
    """The tasks of a rota that are to be shown: from first to last, both included, of one vessel or of all."""
    return tuple(
        task
        for task in rota.tasks
        if (first is None or task.on >= first)
        and (last is None or task.on <= last)
        and (vessel is None or task.vessel == vessel)
    )


def agenda(rota: Rota, tasks: Sequence[Task], width: int | None = None) -> str:
    """Heading, what to look at, tasks by week and day, and the cautions they carry; no newline at the end.

    `width` is the columns of the screen, to which everything is wrapped. None (a file or a pipe): one line a
    task, nothing wrapped, nothing cut.
    """
    blocks = [heading(rota, width), "\n".join(magnify(rota.inspections, width, brief=False))]
    if not tasks:
        blocks.append("No tasks in this time.")
    elif width is None:
        blocks.append(task_table(rota, tasks))
    else:
        blocks.append(by_week(tasks, rota.plan.units, width, rota.overdue))
    blocks.append(care.take_care(tasks, width))
    return "\n\n".join(block for block in blocks if block)


def heading(rota: Rota, width: int | None = None) -> str:
    """Name, as-of day, horizon, and for every vessel the cycle that was chosen and why."""
    plan = rota.plan
    sure = f"; {CUT_SHORT}" if rota.found.cut_short else ""
    title = f"{plan.name}: as of {day_text(rota.as_of)}, through {day_text(rota.through)}{sure}"
    together: dict[Cycle, list[str]] = {}
    for name, cycle in rota.cycles.items():
        together.setdefault(cycle, []).append(name)
    lines = hanging("", printable(title), width, len(_GAP))
    for cycle, names in together.items():
        lines += hanging("", printable(f"{', '.join(names)}: {_cycle_text(cycle)}"), width, len(_GAP))
    return "\n".join(lines)


def _cycle_text(cycle: Cycle) -> str:
    if cycle.pinned_days is None:
        when = f"harvest when ripe, about every {numbered(cycle.days, 'day')}"
    else:
        when = f"harvest {numbered(cycle.pinned_days, 'day')} after each start"
    return f"{when}, {cycle.keep_share:.0%} stays ({cycle.why})"


def task_table(rota: Rota, tasks: Sequence[Task]) -> str:
    """The tasks for a file or a pipe: one line a task, nothing wrapped, nothing cut."""
    columns = [Column(title) for title in ("date", "task", "batch", "care", "amounts", "cells/mL", "reason")]
    known = care.letters(tasks)
    rows = [
        (
            day_text(task.on),
            task.kind,
            task.batch,
            care.marked(task, known),
            pour_text(task, rota.plan.units),
            density_text(task),
            why(task, rota.overdue),
        )
        for task in tasks
    ]
    return render_table(columns, rows)


def by_week(
    tasks: Sequence[Task], units: str, width: int, overdue: Mapping[str, date] = MappingProxyType({})
) -> str:
    """The tasks under a heading for each week and day, every line within the screen."""
    lines: list[str] = []
    frame = Frame.around(tasks, units, width, overdue)
    for monday, of_week in groupby(tasks, key=lambda task: week_of(task.on)):
        week = list(of_week)
        days = len({task.on for task in week})
        lines += ["", f"Week of {day_text(monday)}: {numbered(len(week), 'task')} on {numbered(days, 'day')}"]
        for on, of_day in groupby(week, key=lambda task: task.on):
            lines += ["", day_text(on), *task_lines(list(of_day), frame)]
    return "\n".join(lines[1:])


@dataclass(frozen=True, slots=True)
class Frame:
    """What the lines of all tasks of a page share: caution letters, units, columns, and which are overdue."""

    known: Mapping[str, str]
    units: str
    batch_columns: int
    care_columns: int
    width: int
    overdue: Mapping[str, date]

    @classmethod
    def around(
        cls, tasks: Sequence[Task], units: str, width: int, overdue: Mapping[str, date] = MappingProxyType({})
    ) -> Frame:
        """The frame that fits all these tasks."""
        known = care.letters(tasks)
        return cls(
            known,
            units,
            max((display_width(printable(task.batch)) for task in tasks), default=0),
            max((len(care.marked(task, known)) for task in tasks), default=0),
            width,
            overdue,
        )


def why(task: Task, overdue: Mapping[str, date]) -> str:
    """The reason of a task; for an overdue one the day it was due before it."""
    was_due = overdue.get(task.id)
    return task.reason if was_due is None else f"OVERDUE since {day_text(was_due)}: {task.reason}"


def task_lines(tasks: Sequence[Task], frame: Frame) -> list[str]:
    """Tasks of one day as lines: kind, batch and caution letters, then the amounts, then density and reason."""
    lines: list[str] = []
    for task in tasks:
        kind = pad(task.kind, len("prepare"))
        batch = pad(printable(task.batch), frame.batch_columns)
        letters = pad(care.marked(task, frame.known), frame.care_columns)
        lead = _GAP.join(("", kind, batch, letters, ""))
        margin = display_width(lead)
        if frame.width - margin < _LEAST_ROOM:
            lines += hanging(_GAP, " ".join(lead.split()), frame.width, _NARROW_MARGIN)
            lead, margin = " " * _NARROW_MARGIN, _NARROW_MARGIN
        first, *rest = _body(task, frame, frame.width - margin)
        lines += [f"{lead}{first}".rstrip(), *(f"{'':{margin}}{line}".rstrip() for line in rest)]
    return lines


def _body(task: Task, frame: Frame, room: int) -> list[str]:
    """Amounts and reason: side by side on a wide screen, else one below the other, the reason further in."""
    density = density_text(task)
    reason = why(task, frame.overdue)
    told = printable(f"{density} cells/mL; {reason}" if density else reason)
    beside = frame.width >= _BESIDE_FROM
    left = int((room - len(_GAP)) * _BESIDE_SHARE) if beside else room
    whats = _recipe([printable(part) for part in pour_parts(task, frame.units)], left)
    if not beside:
        return [*whats, *(_GAP + line for line in wrap(told, room - len(_GAP)))]
    whys = wrap(told, room - len(_GAP) - left)
    return [f"{pad(a, left)}{_GAP}{b}" for a, b in zip_longest(whats, whys, fillvalue="")]


def _recipe(parts: Sequence[str], columns: int) -> list[str]:
    """The parts of a recipe as lines: broken between parts, inside one only where it is too long by itself."""
    lines = wrap(parts[0], columns)
    for part in parts[1:]:
        if display_width(lines[-1] + JOINT + part) <= columns:
            lines[-1] += JOINT + part
        else:
            lines += wrap(JOINT.lstrip() + part, columns)
    return lines
