"""New entries of the logbook: compared with the state, asked about where doubtful, written to disk, then reported."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from greenrota.cli.system import clock, out
from greenrota.cli.system.plan_path import logbook_path, plan_words
from greenrota.cli.system.rota_at import Papers, show_problems
from greenrota.errors import Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from greenrota.logbook.entry import Entry
    from greenrota.rota.rota import Rota
    from greenrota.rota.tasks.task import Task

_PAST_DAYS = 366  # our choice: an entry for more than a year ago is more often a slip than late bookkeeping
_COMING_SHOWN = 3  # our choice
LOST_TAIL = "log-tail"  # the code of a book whose last entries are gone
_ASKED = "Record it all the same?"


def record(
    papers: Papers, entries: Sequence[Entry], tasks: Sequence[Task], latest: date, yes: bool
) -> list[Entry]:
    """Append entries; gives them with the numbers they got.

    `tasks` are the open tasks, `latest` is the last day that has come. What does not fit the state, and what is more
    likely a slip, is asked about on a terminal; elsewhere it raises ProblemsFound, unless `yes`. Nothing is written
    then, nor when the disk does not take it; the lines stand in the problems.
    """
    from greenrota.logbook.store import append

    book = logbook_path(papers.path)
    lost = [problem for problem in papers.book.problems if problem.code == LOST_TAIL]
    senseless = _senseless(papers, entries)
    known = {(problem.code, problem.where) for problem in senseless}
    doubtful = [p for p in _doubtful(papers, entries, tasks, latest) if (p.code, p.where) not in known]
    found = [*lost, *senseless, *doubtful]
    if found and not yes:
        _ask(found)
        found = []
    show_problems([*found, *_long_ago(entries), *papers.copies()])
    numbers = append(book, entries)
    return [replace(entry, number=number) for entry, number in zip(entries, numbers, strict=True)]


def _ask(found: Sequence[Problem]) -> None:
    """Let whoever is at the terminal decide; ProblemsFound where nobody is, Exit (status 1) after a no."""
    if not out.can_ask():
        raise ProblemsFound(problem._replace(hint=_unrecorded(problem.hint)) for problem in found)
    show_problems(found)
    if not typer.confirm(_ASKED, default=False, err=True):
        out.note("nothing was recorded")
        raise typer.Exit(1)


def _doubtful(papers: Papers, entries: Sequence[Entry], tasks: Sequence[Task], latest: date) -> list[Problem]:
    """What is more likely a slip than the truth."""
    from greenrota.logbook.entry import format_entry
    from greenrota.rota.simulate.context import context_for
    from greenrota.rota.warnings.doubts import doubts

    context, written = context_for(papers.plan), papers.book.entries
    return [
        Problem(doubt.code, Place("new entry", 0, format_entry(entry)), doubt.text, doubt.hint)
        for entry, doubt in doubts(context, written, papers.entries, entries, tasks, latest)
    ]


def _senseless(papers: Papers, entries: Sequence[Entry]) -> list[Problem]:
    """The problems that a replay of the book has with the new entries and does not have without them."""
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
    old = {(problem.code, problem.where) for problem in before}
    problems += [problem for problem in after if (problem.code, problem.where) not in old]
    return problems


def _unrecorded(hint: str) -> str:
    otherwise = "nothing was recorded: correct it, or record it all the same with --yes"
    return f"{otherwise} ({hint})" if hint else otherwise


def _long_ago(entries: Sequence[Entry]) -> list[Problem]:
    today = clock.today()
    days = [entry.on for entry in entries if entry.on < today - timedelta(days=_PAST_DAYS)]
    hint = "if that is a slip, take it back with greenrota log undo and log it again with --on"
    what = f"{min(days)} is more than a year ago; today is {today}" if days else ""
    return [Problem("log-odd-day", Place("--on"), what, hint)] if days else []


@contextmanager
def nothing_is_lost(written: Sequence[Entry]) -> Iterator[None]:
    """What goes wrong after entries are on the disk is reported as what it is, and ends with status 0.

    A script that sees a failure would write the entries a second time.
    """
    try:
        yield
    except ProblemsFound as found:
        out.report(found.problems)
        out.note(f"{_safe(written)}; only what comes next could not be worked out")
        raise typer.Exit(0) from None
    except OSError as error:
        out.note(f"{_safe(written)}; only the answer could not be printed ({error.strerror or error})")
        raise typer.Exit(0) from None
    except KeyboardInterrupt:
        out.note(_safe(written))
        raise


def _safe(written: Sequence[Entry]) -> str:
    numbers = [entry.number for entry in written if entry.number is not None]
    return f"recorded: {_entries(numbers)} in the logbook"


def _entries(numbers: Sequence[int]) -> str:
    """
    >>> _entries([4]), _entries([4, 5])
    ('entry 4 stands', 'entries 4 to 5 stand')
    """
    return (
        f"entry {numbers[0]} stands" if len(numbers) == 1 else f"entries {numbers[0]} to {numbers[-1]} stand"
    )


def show_recorded(written: Sequence[Entry], plan: Path) -> None:
    """Print the lines that are on the disk now, and how to take them back."""
    from greenrota.logbook.entry import format_entry

    for entry in written:
        out.write(f"recorded: {format_entry(entry)}")
    numbers = [entry.number for entry in written if entry.number is not None]
    named = plan_words(plan, Path.cwd())
    if len(numbers) == 1:
        out.note(f"to take it back: greenrota log void --entry {numbers[0]}{named}")
    elif numbers:
        out.note(
            f"to take one back: greenrota log void --entry N{named}, N from {numbers[0]} to {numbers[-1]}"
        )


def show_next(rota: Rota, on: date) -> None:
    """The next tasks from a day on, and what must not wait."""
    from greenrota.views.check.warning import urgent, warnings_text
    from greenrota.views.tasks.pour import done
    from greenrota.views.text.day import day_text, short_day
    from greenrota.views.text.lettering import hanging, printable

    coming = _coming(rota, on)
    width = out.screen_width()
    lines = []
    for n, task in enumerate(coming):
        since = f" (OVERDUE since {day_text(rota.overdue[task.id])})" if task.id in rota.overdue else ""
        text = f"{short_day(task.on)}  {', '.join(task.batches)}  {done(task, rota.plan.units)}{since}"
        lines += hanging("next: " if n == 0 else "      ", printable(text), width, 8)
    out.write("\n".join(lines) if lines else f"next: nothing more through {day_text(rota.through)}")
    if warnings := warnings_text(urgent(rota), width):
        out.note(warnings)


def recorded_json(written: Sequence[Entry], rota: Rota, on: date) -> str:
    """The lines that are on the disk now and the next tasks, as one JSON object of format `greenrota/log/1`."""
    from greenrota.logbook.entry import format_entry
    from greenrota.views.check.warning import urgent
    from greenrota.views.tasks.tasklist import task_object, warning_object
    from greenrota.views.text.document import json_document

    answer = {
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
    return json_document("greenrota/log/1", answer)


def _coming(rota: Rota, on: date) -> list[Task]:
    return [task for task in rota.tasks if task.on >= on][:_COMING_SHOWN]


def show_cleaning_care(names: Sequence[str]) -> None:
    """The cautions for cleaning, where a culture was lost: the jar is cleaned now, not only before the next start."""
    from greenrota.views.tasks.care import cleaning

    out.note(cleaning(names, out.screen_width()))
