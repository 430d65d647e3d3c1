"""`greenrota changes`: what the newest entries of the logbook made of the rota."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from greenrota.cli.options.options import AsJson, OnDay, PlanFile, iso_day
from greenrota.cli.system import out
from greenrota.cli.system.plan_path import find_plan, logbook_path
from greenrota.cli.system.rota_at import Papers, planned, read_papers, show_problems
from greenrota.errors import Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from greenrota.logbook.entry import Entry


def _since(text: str) -> int | date:
    from greenrota.logbook.amount import read_running_number

    number = read_running_number(text)
    return iso_day(text, "--since") if number is None else number


Since = Annotated[
    object | None,
    typer.Option(
        "--since",
        parser=_since,
        metavar="N|DATE",
        help="First entry that counts as new, by number or by day; default: those of the newest day.",
        show_default=False,
    ),
]


def changes(plan: PlanFile = None, since: Since = None, on: OnDay = None, as_json: AsJson = False) -> None:
    """What the newest log entries changed in the rota, with reasons.

    The rota with them against the rota without them, both as of the same day."""
    from greenrota.logbook.book import culture
    from greenrota.rota.answers.changes import compare, first_day_that_differs
    from greenrota.views.tasks.changes import changes_json, changes_page

    papers = read_papers(find_plan(plan, Path.cwd()))
    written, fresh = _split(papers, since)
    day, earlier = papers.day(on), culture(written)
    remembered = papers.remembered()
    before = planned(papers.plan, earlier, day, remembered)
    # Where nothing is remembered, both must rest on the same dates.
    known = (*remembered, *(each for each in before.remembered if each not in remembered))
    after = planned(papers.plan, papers.entries, day, known)
    papers.remember(after.remembered, remembered)
    rota = after.rota
    show_problems(papers.problems(rota))
    found = compare(before.rota, rota, first_day_that_differs(earlier, papers.entries, day))
    if as_json:
        out.write(changes_json(found, [n for entry in fresh if (n := entry.number) is not None]))
    else:
        out.write(changes_page(rota, found, [_line(entry) for entry in fresh], out.screen_width()))


def _split(papers: Papers, since: object) -> tuple[list[Entry], list[Entry]]:
    """All entries, voids included, in those that were there before and the newest."""
    written = list(papers.book.entries)
    if isinstance(since, date):
        first = since
        fresh = [entry for entry in written if entry.on >= first]
    elif isinstance(since, int):
        fresh = _from_number(written, since, logbook_path(papers.path))
    else:
        fresh = _of_the_newest_day(written)
    new = set(fresh)
    return [entry for entry in written if entry not in new], fresh


def _from_number(written: Sequence[Entry], number: int, book: Path) -> list[Entry]:
    for index, entry in enumerate(written):
        if entry.number == number:
            return list(written[index:])
    numbers = [entry.number for entry in written if entry.number is not None]
    hint = f"{book.name} has {min(numbers)} to {max(numbers)}" if numbers else f"{book.name} has none"
    problem = Problem("no-such-entry", Place("--since"), f"there is no entry {number}", hint)
    raise ProblemsFound([problem], status=2)


def _of_the_newest_day(written: Sequence[Entry]) -> list[Entry]:
    """The entries at the end of the book that bear the day of the last one."""
    fresh: list[Entry] = []
    for entry in reversed(written):
        if entry.on != written[-1].on:
            break
        fresh.insert(0, entry)
    return fresh


def _line(entry: Entry) -> str:
    from greenrota.logbook.entry import format_entry

    return format_entry(entry)
