"""Today on one screen: what is overdue and due, what to pour in all, what comes next, what to look at."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date, timedelta
from itertools import groupby

from greenrota.rota.rota import Rota
from greenrota.rota.task import Task
from greenrota.views import amount, care
from greenrota.views.agenda import Frame, chosen, task_lines
from greenrota.views.day import day_text
from greenrota.views.lettering import display_width, hanging, printable
from greenrota.views.pour import nutrient_texts
from greenrota.views.standing import before_work, choice_of
from greenrota.views.table import Column, render_table

_NEXT_DAYS = 3  # our choice: enough to mix seawater and charge nothing in a hurry
_PAGE = 1_000_000  # columns of a page without an edge: nothing is wrapped for a file or a pipe

# All of these: common practice, no source.
WATCH = (
    ("colour", "deepens day by day; paling or browning: light, nutrient or temperature is off"),
    ("foam", "a thin ring is usual; a thick, lasting head means cells are breaking up"),
    ("clumping", "cells swirl up evenly; flocs or a carpet that will not: old, or something else grows"),
    ("smell", "fresh, like the sea; rotten or sour: do not feed it, do not seed from it"),
    ("clearing", "water that turns clear overnight: a crash or grazers; keep it apart from the others"),
)


def today_page(rota: Rota, on: date, overdue: Sequence[Task] = (), width: int | None = None) -> str:
    """The page of a day; no newline at the end. `overdue` are tasks of earlier days that were not done.

    `width` wraps to the screen; None wraps nothing.
    """
    due = chosen(rota, on, on)
    coming = chosen(rota, on + timedelta(days=1), on + timedelta(days=_NEXT_DAYS))
    frame = Frame.around((*overdue, *due), rota.plan.units, width or _PAGE)
    blocks = [
        [_title(rota, on)],
        _late(overdue, frame),
        ["Due today", *(task_lines(due, frame) or ["  nothing"])],
        _in_all(due, rota.plan.units, frame.width),
        [f"The next {_NEXT_DAYS} days", *(_coming(coming, frame.width) or ["  nothing"])],
        _vessels(rota, on, width),
        _watch(frame.width),
        care.take_care((*overdue, *due), width).splitlines(),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def _title(rota: Rota, on: date) -> str:
    title = f"{printable(rota.plan.name)}: {day_text(on)}"
    if on < rota.plan.start:
        return f"{title}; the rota begins on {day_text(rota.plan.start)}"
    if on > rota.through:
        return f"{title}; the rota ended on {day_text(rota.through)}: set a new start or more days"
    return title


def _late(overdue: Sequence[Task], frame: Frame) -> list[str]:
    lines = ["Overdue"] if overdue else []
    for on, of_day in groupby(overdue, key=lambda task: task.on):
        lines += [f"since {day_text(on)}", *task_lines(list(of_day), frame)]
    return lines


def _in_all(due: Sequence[Task], units: str, width: int) -> list[str]:
    """What the day's mixing and dosing adds up to, so that it can be set out before work begins."""
    mixed = [task.amounts for task in due if task.kind == "prepare"]
    poured: Counter[str] = Counter()
    for task in due:
        poured.update(dict(task.amounts.nutrient_ml))
    parts = []
    if mixed:
        seawater = amount.volume(sum(each.seawater_ml or 0.0 for each in mixed), units)
        salt = amount.mass(sum(each.salt_g or 0.0 for each in mixed), units)
        parts.append(f"{seawater} seawater to mix, {salt} dry salt")
    parts += nutrient_texts(poured, units)
    if not parts:
        return []
    return ["Set out for today, in all", *hanging("  ", "; ".join(parts), width)]


def _coming(tasks: Sequence[Task], width: int) -> list[str]:
    lines: list[str] = []
    for on, of_day in groupby(tasks, key=lambda task: task.on):
        jobs: dict[str, list[str]] = {}
        for task in of_day:
            jobs.setdefault(task.kind, []).append(printable(task.batch))
        text = "; ".join(f"{kind} {', '.join(batches)}" for kind, batches in jobs.items())
        lead = f"  {day_text(on)}  "
        lines += hanging(lead, text, width)
    return lines


def _vessels(rota: Rota, on: date, width: int | None) -> list[str]:
    rows = []
    for name, bench in rota.benches.items():
        found = before_work(rota, name, on)
        if found is None:
            continue
        span, broth = found
        share = broth.density_per_ml / bench.ceiling(broth).per_ml
        choice = choice_of(rota, span.batch.id)
        ripe_on = choice.ahead.ripe_on if choice is not None else None
        ripe = "" if ripe_on is None else f"ripe since {ripe_on}" if ripe_on <= on else f"ripe on {ripe_on}"
        rows.append(
            (f"  {span.batch.id}", amount.density(broth.density_per_ml), f"{share:.0%} of its ceiling", ripe)
        )
    if not rows:
        return []
    columns = (Column("  batch"), Column("cells/mL", number=True), Column("that is"), Column(""))
    lines = render_table(columns, rows, width).splitlines()
    if width is not None and any(display_width(line) > width for line in lines):
        lines = [
            line for batch, *rest in rows for line in hanging("", f"{batch}: {', '.join(rest)}", width, 4)
        ]
    return [*hanging("", "How they should stand before today's work", width), *lines]


def _watch(width: int) -> list[str]:
    lines = hanging("", "Look at every vessel (common practice, no source)", width)
    for what, sign in WATCH:
        lead = f"  {what:<10}"
        lines += hanging(lead, sign, width)
    return lines
