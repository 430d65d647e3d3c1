"""Reading a plan and its logbook, and planning the rota on a day from them; all commands read here."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from greenrota import load
from greenrota.cli.system import clock, out
from greenrota.cli.system.meter import meter, two_parts
from greenrota.cli.system.plan_path import logbook_path
from greenrota.errors import Place, Problem

if TYPE_CHECKING:
    from greenrota.logbook.book import Book
    from greenrota.logbook.entry import Entry
    from greenrota.rota.earlier.record import EarlierRota
    from greenrota.rota.plan import Plan
    from greenrota.rota.rota import Rota
    from greenrota.rota.schedule import Scheduled


class Papers(NamedTuple):
    """Plan and logbook as read. `entries` are the entries that stand, by day: no voids and nothing that is void.

    `known` are the earlier rotas that this command knows of besides those beside the logbook.
    """

    path: Path
    plan: Plan
    book: Book
    entries: tuple[Entry, ...]
    known: list[EarlierRota]

    def day(self, on: date | None) -> date:
        """The day it is taken to be: the one given, else today, or the day of the newest entry if that is later.

        The day of an entry must have come, for it says what was done. An entry further ahead of the one before it (of
        today, of the plan's first day) than the plan has days is a slip, and neither it nor any later one counts here.
        """
        if on is not None:
            return on
        day, horizon = clock.today(), timedelta(days=self.plan.days)
        reached = max(day, self.plan.start)
        for entry in self.entries:
            if entry.on >= reached + horizon:
                break
            day, reached = max(day, entry.on), max(reached, entry.on)
        return day

    def rota(self, on: date) -> Rota:
        """The rota on a day, resting on the dates that were remembered beside the logbook; remembers its own there.

        Without entries, what the search found for the plan is remembered in the cache folder of the user.

        A progress bar on a terminal if planning takes long.
        """
        return self.rota_through(on, None)

    def rota_through(self, on: date, through: date | None) -> Rota:
        """As `rota`, planned up to a later day where its horizon ends before; None: as far as the horizon goes."""
        remembered = self.remembered()
        found = planned(self.plan, self.entries, on, (*remembered, *self.known), through)
        self.known[:] = found.remembered
        self.remember(found.remembered, remembered)
        return found.rota

    def remembered(self) -> tuple[EarlierRota, ...]:
        """The earlier rotas that are remembered beside the logbook; without any, what a search found for the plan."""
        from greenrota.cli.system import searched
        from greenrota.logbook.beside import dates_path, read_beside
        from greenrota.rota.earlier.text import MOST_BYTES, read_earlier

        beside = read_beside(dates_path(logbook_path(self.path)), MOST_BYTES) if self.entries else b""
        return read_earlier(beside) or searched.read(self.plan)

    def remember(self, found: tuple[EarlierRota, ...], before: tuple[EarlierRota, ...]) -> None:
        """Remember earlier rotas where they differ from those before."""
        from greenrota.cli.system import searched
        from greenrota.logbook.beside import dates_path, write_beside
        from greenrota.rota.earlier.text import earlier_text

        text = None if found == before else earlier_text(found)
        if text is None:
            return
        if self.entries:
            write_beside(dates_path(logbook_path(self.path)), text)
        elif not found[0].cut_short:
            searched.write(self.plan, text)

    def copies(self) -> list[Problem]:
        """A problem for every file beside the logbook that looks like a copy a sync service made of it."""
        archives = [archive.file for archive in self.book.archives]
        return copies_beside(logbook_path(self.path), archives)

    def problems(self, rota: Rota) -> list[Problem]:
        """What is wrong with the logbook: its lines, its numbers, and entries that do not fit the state."""
        return [*self.book.problems, *rota.problems, *self.copies()]


def planned(
    plan: Plan,
    entries: Sequence[Entry],
    on: date,
    remembered: Sequence[EarlierRota],
    through: date | None = None,
) -> Scheduled:
    """The rota of a plan and standing entries on a day, up to a day at least where one is given.

    A progress bar on a terminal if planning takes long.
    """
    from greenrota.rota.schedule import schedule_from, schedule_further

    with meter() as progress:
        if through is None:
            return schedule_from(plan, entries, on, remembered, progress)
        first, second = two_parts(progress)
        found = schedule_from(plan, entries, on, remembered, first)
        return schedule_further(found, entries, through, second)


def load_plan(path: Path) -> Plan:
    """The plan of a file; ProblemsFound with every problem in it."""
    return load(path)


def read_papers(path: Path) -> Papers:
    """The plan of a file and the logbook beside it; ProblemsFound if the plan is wrong or the book unreadable."""
    from greenrota.logbook.book import culture
    from greenrota.logbook.store import load as load_book

    plan = load_plan(path)
    book = load_book(logbook_path(path))
    return Papers(path, plan, book, culture(book.entries), known=[])


def rota_at(path: Path, on: date | None) -> Rota:
    """The rota of a plan file as it stands on a day. Without a logbook it is planned from its first day.

    What is wrong with the logbook is written to stderr; every entry that can be used is used.
    """
    return rota_of(read_papers(path), on)


def rota_of(papers: Papers, on: date | None) -> Rota:
    """The rota of papers already read; their problems are written to stderr."""
    rota = papers.rota(papers.day(on))
    show_problems(papers.problems(rota))
    return rota


def show_problems(problems: Iterable[Problem]) -> None:
    """Write problems to stderr; nothing if there are none."""
    found = list(problems)
    if found:
        out.report(found)


def copies_beside(book: Path, archives: Sequence[str]) -> list[Problem]:
    """As `Papers.copies`; `archives` are the names of the files that the book itself names."""
    from greenrota.logbook.copies import conflict_copies

    hint = f"compare it with {book.name}; add what stands only there with greenrota log, then move it away"
    what = f"this looks like a copy of {book.name}: entries may stand only in it"
    return [Problem("log-copy", Place(str(copy)), what, hint) for copy in conflict_copies(book, archives)]
