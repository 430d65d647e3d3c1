"""New entries of the logbook: held against the state, put on the disk, and only then told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import TYPE_CHECKING

from greenrota.cli import clock, out
from greenrota.cli.plan_path import logbook_path
from greenrota.cli.rota_at import Papers, copies_beside, read_papers, tell
from greenrota.errors import Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from greenrota.logbook.entry import Entry
    from greenrota.rota.rota import Rota
    from greenrota.rota.tasks.task import Task

_PAST_DAYS = 366  # our choice: an entry for more than a year ago is more often a slip than late bookkeeping
_COMING_SHOWN = 3  # our choice


def record(papers: Papers, entries: Sequence[Entry], force: bool) -> tuple[Papers, list[Entry]]:
    """Append entries; gives the papers as they are then, and the entries with the numbers they got.

    Raises ProblemsFound with nothing written when an entry makes no sense against the state and `force` is not set,
    or when the disk does not take it; the lines stand in the problems.
    """
    from greenrota.logbook.store import append

    doubts = [*_odd_days(entries), *copies_beside(logbook_path(papers.path))]
    senseless = _senseless(papers, entries)
    if senseless and not force:
        raise ProblemsFound(senseless)
    tell(senseless + doubts)
    numbers = append(logbook_path(papers.path), entries)
    written = [replace(entry, number=number) for entry, number in zip(entries, numbers, strict=True)]
    return read_papers(papers.path), written


def _senseless(papers: Papers, entries: Sequence[Entry]) -> list[Problem]:
    """What replaying the book with the new entries stumbles over and replaying it without them does not."""
    from greenrota.logbook.book import culture, void_problems
    from greenrota.logbook.entry import format_entry
    from greenrota.rota.replay.replay import replay
    from greenrota.rota.simulate.context import context_for

    fresh = [replace(entry, where=Place("new entry", 0, format_entry(entry))) for entry in entries]
    known = {entry.number for entry in papers.book.entries if entry.number is not None}
    problems = void_problems(fresh, known)
    context = context_for(papers.plan)
    before = replay(context, papers.entries, date.max).problems
    # A void counts from here on, so it is given the number it would get.
    numbered = [replace(entry, number=max(known, default=0) + n) for n, entry in enumerate(fresh, start=1)]
    after = replay(context, culture([*papers.book.entries, *numbered]), date.max).problems
    told = {(problem.code, problem.where) for problem in before}
    problems += [problem for problem in after if (problem.code, problem.where) not in told]
    return [replace(problem, hint=_unrecorded(problem.hint)) for problem in problems]


def _unrecorded(hint: str) -> str:
    otherwise = "nothing was recorded: mend it, or record it all the same with --force"
    return f"{otherwise} ({hint})" if hint else otherwise


def _odd_days(entries: Sequence[Entry]) -> list[Problem]:
    today = clock.today()
    early, late = today - timedelta(days=_PAST_DAYS), today + timedelta(days=1)
    odd = {
        "after today": [entry.on for entry in entries if entry.on > late],
        "more than a year ago": [entry.on for entry in entries if entry.on < early],
    }
    hint = "if that is a slip, void what was recorded and log it again with --on"
    return [
        Problem("log-odd-day", Place("--on"), f"{min(days)} is {where}; today is {today}", hint)
        for where, days in odd.items()
        if days
    ]


def tell_recorded(written: Sequence[Entry], rota: Rota, on: date) -> None:
    """The lines that are on the disk now, the next tasks from a day on, and what must not wait."""
    from greenrota.logbook.entry import format_entry
    from greenrota.views.day import day_text, short_day
    from greenrota.views.lettering import hanging, printable
    from greenrota.views.visit import done
    from greenrota.views.warning import urgent, warnings_text

    for entry in written:
        out.write(f"recorded: {format_entry(entry)}")
    coming = _coming(rota, on)
    width = out.screen_width()
    lines = []
    for n, task in enumerate(coming):
        since = f" (OVERDUE since {day_text(rota.overdue[task.id])})" if task.id in rota.overdue else ""
        text = f"{short_day(task.on)}  {task.batch}  {done(task, rota.plan.units)}{since}"
        lines += hanging("next: " if n == 0 else "      ", printable(text), width, 8)
    out.write("\n".join(lines) if lines else f"next: nothing more through {day_text(rota.through)}")
    if warnings := warnings_text(urgent(rota), width):
        out.note(warnings)


def recorded_json(written: Sequence[Entry], rota: Rota, on: date) -> str:
    """The same as one JSON object of format `greenrota/log/1`."""
    import json

    from greenrota.logbook.entry import format_entry
    from greenrota.views.tasklist import task_object, warning_object
    from greenrota.views.warning import urgent

    told = {
        "format": "greenrota/log/1",
        "recorded": [
            {
                "number": entry.number,
                "date": entry.on.isoformat(),
                "kind": entry.kind,
                "subject": entry.subject,
                "line": format_entry(entry),
            }
            for entry in written
        ],
        "next": [task_object(task) for task in _coming(rota, on)],
        "warnings": [warning_object(warning) for warning in urgent(rota)],
    }
    return json.dumps(told, ensure_ascii=False, allow_nan=False, indent=1)


def _coming(rota: Rota, on: date) -> list[Task]:
    return [task for task in rota.tasks if task.on >= on][:_COMING_SHOWN]


def tell_care_in_cleaning(names: Sequence[str]) -> None:
    """What to mind where a culture was lost: the jar is cleaned now, not only when it is started again."""
    from greenrota.views.care import cleaning

    out.note(cleaning(names, out.screen_width()))
