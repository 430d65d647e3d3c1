"""Today on one screen: what is overdue and due, what to pour in all, what comes next, what to look at."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from greenrota.rota.measuring import poured
from greenrota.rota.observed import Seen
from greenrota.rota.rota import Rota
from greenrota.rota.standing import before_work, choice_of
from greenrota.rota.task import Task
from greenrota.views import amount, care
from greenrota.views.agenda import Frame, chosen, task_lines
from greenrota.views.day import day_text
from greenrota.views.lettering import display_width, hanging, printable
from greenrota.views.observed import seen_lines
from greenrota.views.pour import nutrient_texts, pour_text
from greenrota.views.score import CUT_SHORT
from greenrota.views.table import Column, render_table
from greenrota.views.warning import urgent, warnings_text
from greenrota.views.watch import magnify, signs

_NEXT_DAYS = 3  # our choice: enough to mix seawater and charge nothing in a hurry
_PAGE = 1_000_000  # columns of a page without an edge: nothing is wrapped for a file or a pipe


@dataclass(frozen=True, slots=True)
class _Length:
    """How much is said: everything at first; what a small screen can not hold is said more briefly."""

    whole_cautions: bool = True
    whole_signs: bool = True
    reasons: bool = True
    spaced: bool = True
    vessels: bool = True


# In the order in which a screen that is too small gives things up; our choice.
_LENGTHS = (
    _Length(),
    _Length(whole_cautions=False),
    _Length(whole_cautions=False, whole_signs=False),
    _Length(whole_cautions=False, whole_signs=False, reasons=False),
    _Length(whole_cautions=False, whole_signs=False, reasons=False, spaced=False),
    _Length(whole_cautions=False, whole_signs=False, reasons=False, spaced=False, vessels=False),
)


@dataclass(frozen=True, slots=True)
class Day:
    """The tasks of a day: `late` by the day they are planned for, `due` on the day, `coming` on the days after it."""

    late: list[Task]
    due: list[Task]
    coming: list[Task]

    @classmethod
    def of(cls, rota: Rota, on: date) -> Day:
        """The day of a rota."""
        return cls(
            [task for task in rota.tasks if task.id in rota.overdue],
            [task for task in chosen(rota, on, on) if task.id not in rota.overdue],
            list(chosen(rota, on + timedelta(days=1), on + timedelta(days=_NEXT_DAYS))),
        )


@dataclass(frozen=True, slots=True)
class Stand:
    """How a vessel should stand before the day's work: density in cells per mL, its share of the ceiling, ripeness."""

    vessel: str
    batch: str
    density_per_ml: float
    share_of_ceiling: float
    ripe_on: date | None


def stands(rota: Rota, on: date) -> Iterator[Stand]:
    """Every vessel in which something stands on a day, in the order of the plan."""
    for name, bench in rota.benches.items():
        found = before_work(rota, name, on)
        if found is not None:
            span, broth = found
            choice = choice_of(rota, span.batch.id)
            share = broth.density_per_ml / bench.ceiling(broth).per_ml
            ripe_on = None if choice is None else choice.ahead.ripe_on
            yield Stand(name, span.batch.id, broth.density_per_ml, share, ripe_on)


def today_page(
    rota: Rota,
    on: date,
    width: int | None = None,
    height: int | None = None,
    seen: Sequence[Seen] = (),
) -> str:
    """The page of a day; no newline at the end. `seen` are the newest observations of the vessels.

    `width` wraps to the screen, `height` is its lines: what does not fit is said more briefly, with the prompt in
    sight; nothing that is due is left out. None (a file or a pipe): everything, nothing wrapped.
    """
    for length in _LENGTHS:
        page = _page(rota, on, width, length, seen)
        if height is None or page.count("\n") + 1 < height:
            break
    return page


def _page(rota: Rota, on: date, width: int | None, length: _Length, seen: Sequence[Seen]) -> str:
    day = Day.of(rota, on)
    at_hand = [*day.late, *day.due]
    frame = Frame.around(at_hand, rota.plan.units, width or _PAGE)
    blocks = [
        hanging("", _title(rota, on), width, 2),
        warnings_text(urgent(rota), width).splitlines() if on == rota.as_of else [],
        _late(rota, day.late, on, frame, length),
        magnify(rota.looks, frame.width, not length.whole_signs),
        _due(day.due, bool(day.late), frame, length),
        _in_all([task for task in at_hand if task.on <= on], rota.plan.units, frame.width),
        [f"The next {_NEXT_DAYS} days", *(_coming(day.coming, frame.width) or ["  nothing"])],
        _vessels(rota, on, width) if length.vessels else [],
        ["Last seen", *seen_lines(seen, rota.plan.units, width)] if seen and length.vessels else [],
        signs(frame.width, not length.whole_signs),
        care.take_care(at_hand, width).splitlines()
        if length.whole_cautions
        else care.in_short(at_hand, frame.width),
    ]
    return ("\n\n" if length.spaced else "\n").join("\n".join(block) for block in blocks if block)


def _title(rota: Rota, on: date) -> str:
    title = f"{printable(rota.plan.name)}: {day_text(on)}"
    if on < rota.plan.start:
        return f"{title}; the rota begins on {day_text(rota.plan.start)}"
    if on > rota.through:
        return f"{title}; the rota ended on {day_text(rota.through)}: set a new start or more days"
    return f"{title}; {CUT_SHORT}" if rota.found.cut_short else title


def _late(rota: Rota, late: Sequence[Task], on: date, frame: Frame, length: _Length) -> list[str]:
    """Overdue tasks under the day they were due first; one that waits for an open day says for which."""
    lines = []
    ordered = sorted(late, key=lambda task: rota.overdue[task.id])
    for was_due, of_day in groupby(ordered, key=lambda task: rota.overdue[task.id]):
        for when, tasks in groupby(of_day, key=lambda task: task.on):
            now = "" if when <= on else f", planned for {day_text(when)} now"
            lines += [f"Overdue since {day_text(was_due)}{now}", *_task_lines(list(tasks), frame, length)]
    return lines


def _due(due: Sequence[Task], any_late: bool, frame: Frame, length: _Length) -> list[str]:
    lines = _task_lines(due, frame, length)
    return ["Due today", *(lines or ["  nothing more" if any_late else "  nothing"])]


def _task_lines(tasks: Sequence[Task], frame: Frame, length: _Length) -> list[str]:
    if length.reasons and frame.width < _PAGE:
        return task_lines(tasks, frame)
    lines: list[str] = []
    for task in tasks:
        letters = care.marked(task, frame.known)
        lead = f"  {task.kind:<7}  {printable(task.batch)}  {letters}  "
        text = f"{pour_text(task, frame.units)}{f'; {task.reason}' if length.reasons else ''}"
        lines += hanging(lead, printable(text), frame.width, 4)
    return lines


def _in_all(due: Sequence[Task], units: str, width: int) -> list[str]:
    """What the day's mixing and dosing adds up to, so that it can be set out before work begins."""
    mixed = [poured(task) for task in due if task.kind == "prepare"]
    doses: Counter[str] = Counter()
    for task in due:
        doses.update(dict(poured(task).nutrient_ml))
    parts = []
    if mixed:
        seawater = amount.volume(sum(each.seawater_ml or 0.0 for each in mixed), units)
        salt = amount.mass(sum(each.salt_g or 0.0 for each in mixed), units)
        parts.append(f"{seawater} seawater to mix, {salt} dry salt")
    parts += nutrient_texts(doses, units)
    return hanging("", f"In all: {'; '.join(parts)}", width, 2) if parts else []


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
    for each in stands(rota, on):
        ripe = (
            "" if each.ripe_on is None else f"ripe {'since' if each.ripe_on <= on else 'on'} {each.ripe_on}"
        )
        share = f"{each.share_of_ceiling:.0%} of its ceiling"
        rows.append((f"  {each.batch}", amount.density(each.density_per_ml), share, ripe))
    if not rows:
        return []
    columns = (Column("  batch"), Column("cells/mL", number=True), Column("that is"), Column(""))
    lines = render_table(columns, rows, width).splitlines()
    if width is not None and any(display_width(line) > width for line in lines):
        lines = [
            line for batch, *rest in rows for line in hanging("", f"{batch}: {', '.join(rest)}", width, 4)
        ]
    return [*hanging("", "How they should stand before today's work", width), *lines]
