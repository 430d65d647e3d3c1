"""Reading a plan and its logbook, and planning the rota on a day from them; all commands read here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from greenrota import load
from greenrota.cli.system import clock, out
from greenrota.cli.system.meter import meter
from greenrota.cli.system.plan_path import logbook_path
from greenrota.errors import Place, Problem

if TYPE_CHECKING:
    from greenrota.logbook.book import Book
    from greenrota.logbook.entry import Entry
    from greenrota.rota.plan import Plan
    from greenrota.rota.rota import Rota


@dataclass(frozen=True, slots=True)
class Papers:
    """Plan and logbook as read. `entries` are the entries that stand, by day: no voids and nothing that is void."""

    path: Path
    plan: Plan
    book: Book
    entries: tuple[Entry, ...]

    def day(self, on: date | None) -> date:
        """The day it is taken to be: the one given, else today, or the day of the newest entry if that is later.

        The day of an entry must have come, for it says what was done. An entry after the horizon is a slip and does not
        count here.
        """
        if on is not None:
            return on
        told = [entry.on for entry in self.entries if entry.on <= self.plan.through]
        return max([clock.today(), *told])

    def rota(self, on: date) -> Rota:
        """The rota on a day; a progress bar on a terminal if planning takes long."""
        return planned(self.plan, self.entries, on)

    def problems(self, rota: Rota) -> list[Problem]:
        """What is wrong with the logbook: its lines, its numbers, and entries that do not fit the state."""
        return [*self.book.problems, *rota.problems, *copies_beside(logbook_path(self.path))]


def planned(plan: Plan, entries: Sequence[Entry], on: date) -> Rota:
    """The rota of a plan and standing entries on a day; a progress bar on a terminal if planning takes long."""
    from greenrota.rota.schedule import schedule

    with meter() as progress:
        return schedule(plan, entries, on, progress)


def load_plan(path: Path) -> Plan:
    """The plan of a file; ProblemsFound with every problem in it."""
    return load(path)


def read_papers(path: Path) -> Papers:
    """The plan of a file and the logbook beside it; ProblemsFound if the plan is wrong or the book unreadable."""
    from greenrota.logbook.book import culture
    from greenrota.logbook.store import load as load_book

    plan = load_plan(path)
    book = load_book(logbook_path(path))
    return Papers(path, plan, book, culture(book.entries))


def rota_at(path: Path, on: date | None) -> Rota:
    """The rota of a plan file as it stands on a day. Without a logbook it is planned from its first day.

    What is wrong with the logbook is told on stderr; every entry that can be used is used.
    """
    return rota_of(read_papers(path), on)


def rota_of(papers: Papers, on: date | None) -> Rota:
    """The rota of papers already read; their problems are told on stderr."""
    rota = papers.rota(papers.day(on))
    tell(papers.problems(rota))
    return rota


def tell(problems: Iterable[Problem]) -> None:
    """Write problems to stderr; nothing if there are none."""
    found = list(problems)
    if found:
        out.report(found)


def copies_beside(book: Path) -> list[Problem]:
    """A problem for every file beside the logbook that looks like a copy a sync service made of it."""
    from greenrota.logbook.copies import conflict_copies

    hint = f"compare it with {book.name}; add what stands only there with greenrota log, then move it away"
    what = f"this looks like a copy of {book.name}: entries may stand only in it"
    return [Problem("log-copy", Place(str(copy)), what, hint) for copy in conflict_copies(book)]
