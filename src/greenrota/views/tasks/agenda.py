"""The agenda: the tasks by day and visit. On a screen it is wrapped; in a file or pipe every task is one line."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from itertools import groupby
from typing import NamedTuple

from greenrota.rota.rota import Rota
from greenrota.rota.state.cycle import Cycle
from greenrota.rota.tasks.task import Task
from greenrota.rota.wording import numbered
from greenrota.views.tasks import care, visit
from greenrota.views.tasks.score import CUT_SHORT
from greenrota.views.tasks.watch import magnify
from greenrota.views.text import amount
from greenrota.views.text.day import dated, day_text, short_day, week_of
from greenrota.views.text.lettering import display_width, hanging, pad, printable, wrap
from greenrota.views.text.table import Column, render_table

_GAP = "  "
_INDENT = 2  # of later lines of one task; our choice
_DAY_COLUMNS = len("Wed 30 Sep")
_FIGURE_COLUMNS = len("0.093")
_WIDEST_NAME = 14  # our choice: a longer vessel name stands on a line of its own
_LEAST_ROOM = 30  # our choice: with fewer columns beside the names, the lines stand below them
_HEAD = "million cells/mL, batch"  # what stands on the right


def chosen(
    rota: Rota, first: date | None = None, last: date | None = None, vessel: str | None = None
) -> tuple[Task, ...]:
    """The tasks of a rota from `first` to `last`, both included, of one vessel or of all; None sets no limit."""
    return tuple(
        task
        for task in rota.tasks
        if (first is None or task.on >= first)
        and (last is None or task.on <= last)
        and (vessel is None or vessel in task.vessels)
    )


def agenda(rota: Rota, tasks: Sequence[Task], width: int | None = None, reasons: bool = False) -> str:
    """Heading, what to look at, tasks by day and visit, and the cautions they carry; no newline at the end.

    `width` is the columns of the screen, to which everything is wrapped. None (a file or a pipe): one line a
    task, nothing wrapped, nothing cut. `reasons` puts under each task why it stands there.
    """
    head, looks = title(rota, tasks, width), "\n".join(magnify(rota.inspections, width, brief=False))
    blocks = [head, looks]
    if not tasks:
        blocks.append(f"No tasks in this time; the rota is planned through {day_text(rota.through)}.")
    elif width is None:
        blocks.append(task_table(rota, tasks, reasons))
    elif looks:
        blocks.append(by_week(rota, tasks, width, reasons))
    else:  # the heads of the columns stand right above them
        blocks = [f"{head}\n{by_week(rota, tasks, width, reasons)}"]
    blocks.append("\n".join(care.in_short(tasks, width)))
    if reasons:
        blocks.append(cycles_text(rota, width))
    return "\n\n".join(block for block in blocks if block)


def title(rota: Rota, tasks: Sequence[Task], width: int | None = None) -> str:
    """Plan name, first and last day shown, and the day of planning; on a screen also the heads of the right columns."""
    first, last = (tasks[0].on, tasks[-1].on) if tasks else (rota.as_of, rota.through)
    sure = f"; {CUT_SHORT}" if rota.found.cut_short else ""
    planned = f"as of {dated(rota.as_of, last)}"
    text = printable(f"{rota.plan.name}: {dated(first, last)} to {dated(last)}, {planned}{sure}")
    if width is None or not tasks:
        return "\n".join(hanging("", text, width, _INDENT))
    if display_width(f"{text}{_GAP}{_HEAD}") <= width:
        return f"{pad(text, width - len(_HEAD))}{_HEAD}"
    return "\n".join([*hanging("", text, width, _INDENT), pad(_HEAD, width, right=True)])


def cycles_text(rota: Rota, width: int | None = None) -> str:
    """For every vessel the cycle that was chosen and why."""
    together: dict[Cycle, list[str]] = {}
    for name, cycle in rota.cycles.items():
        together.setdefault(cycle, []).append(name)
    texts = [f"{', '.join(names)}: {_cycle_text(cycle)}" for cycle, names in together.items()]
    return "\n".join(line for text in texts for line in hanging("", printable(text), width, _INDENT))


def _cycle_text(cycle: Cycle) -> str:
    if cycle.pinned_days is None:
        when = f"harvest when ripe, about every {numbered(cycle.days, 'day')}"
    else:
        when = f"harvest {numbered(cycle.pinned_days, 'day')} after each start"
    return f"{when}, {cycle.keep_share:.0%} stays ({cycle.why})"


def task_table(rota: Rota, tasks: Sequence[Task], reasons: bool = False) -> str:
    """The tasks for a file or a pipe: a line for everything that is done, nothing wrapped, nothing cut."""
    titles = (
        "date",
        "vessel",
        "what is done",
        "million cells/mL",
        "batch",
        *(("because",) if reasons else ()),
    )
    columns = [Column(title, number=title.startswith("million")) for title in titles]
    rows = [
        (
            day_text(day.on),
            line.vessel,
            line.whole,
            _figure(line),
            line.batch,
            *((because(line.tasks),) if reasons else ()),
        )
        for day in visit.days(rota, tasks)
        for line in day.lines
    ]
    return render_table(columns, rows)


def because(tasks: Iterable[Task]) -> str:
    """The reasons of tasks, each once."""
    return "; ".join(dict.fromkeys(task.reason for task in tasks))


def why(task: Task, overdue: Mapping[str, date]) -> str:
    """The reason of a task; for an overdue one also the day it was due on before."""
    was_due = overdue.get(task.id)
    return task.reason if was_due is None else f"OVERDUE since {day_text(was_due)}: {task.reason}"


def _figure(line: visit.Line) -> str:
    return "" if line.density_per_ml is None else amount.millions(line.density_per_ml)


def by_week(rota: Rota, tasks: Sequence[Task], width: int, reasons: bool = False) -> str:
    """The tasks by day and visit, a blank line between weeks, every line within the screen."""
    lines: list[str] = []
    days = visit.days(rota, tasks)
    for _, of_week in groupby(days, key=lambda day: week_of(day.on)):
        lines.append("")
        for day in of_week:
            lead, *rest = day_lines(day, width - _DAY_COLUMNS - len(_GAP), Columns.of(days), reasons)
            lines.append(f"{pad(short_day(day.on), _DAY_COLUMNS)}{_GAP}{lead}".rstrip())
            lines += [f"{'':{_DAY_COLUMNS + len(_GAP)}}{line}".rstrip() for line in rest]
    return "\n".join(lines[1:])


class Columns(NamedTuple):
    """Columns of the vessel names (left) and of the batch numbers (right) on a page."""

    name: int
    batch: int

    @classmethod
    def of(cls, days: Iterable[visit.Day]) -> "Columns":
        """The columns of a page with these days; a long name stands on a line of its own and does not count."""
        lines = [line for day in days for line in day.lines]
        widths = [display_width(printable(line.vessel)) for line in lines]
        return cls(
            max((width for width in widths if width <= _WIDEST_NAME), default=0),
            max((len(line.batch) for line in lines), default=0),
        )


def day_lines(day: visit.Day, width: int, columns: Columns, reasons: bool = False) -> list[str]:
    """A day as lines of at most `width` columns: what is made ready, then each vessel's tasks beside its name.

    On the right stand density in million cells/mL and batch number.
    """
    day = visit.cleaned_together(day)
    lines = [part for line in day.ready for part in _task_lines(line, width, columns, reasons)]
    for of_vessel in day.vessels:
        name = printable(of_vessel[0].vessel)
        margin = columns.name + len(_GAP)
        if display_width(name) > columns.name or width - margin < _LEAST_ROOM:
            lines += wrap(name, width)
            name, margin = "", _INDENT
        for line in of_vessel:
            first, *rest = _task_lines(line, width - margin, columns, reasons)
            lines += [f"{pad(name, margin)}{first}", *(f"{'':{margin}}{part}" for part in rest)]
            name = ""
    return lines


def _task_lines(line: visit.Line, width: int, columns: Columns, reasons: bool) -> list[str]:
    figure = pad(_figure(line), _FIGURE_COLUMNS, right=True)
    tail = f"{_GAP}{figure} {line.batch:>{columns.batch}}" if line.batch else ""
    room = max(_LEAST_ROOM // 2, width - display_width(tail))
    first, *rest = wrap(printable(line.whole), room)
    lines = [f"{pad(first, room)}{tail}".rstrip()]
    if rest:
        lines += [" " * _INDENT + part for part in wrap(" ".join(rest), width - _INDENT)]
    if reasons and line.tasks:
        lines += hanging(" " * _INDENT, f"because: {printable(because(line.tasks))}", width)
    return lines
