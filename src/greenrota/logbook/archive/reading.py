"""Reading archives: the logbook and the archives it names as one book, in the order in which they were written."""

from __future__ import annotations

import os
from collections.abc import Iterable, Sequence
from itertools import pairwise
from pathlib import Path

from greenrota.errors import Place, Problem, ProblemsFound
from greenrota.logbook.archive.named import WORD, Archive, is_archive_line, sum_of
from greenrota.logbook.book import Book, Part, bound, read_part
from greenrota.logbook.swap import PLAIN_READ, read_all, want_plain_file


def with_archives(book: Path, living: Part) -> Book:
    """The book of a logbook as read (`living`) and of the archives it names, which lie beside it.

    Raises ProblemsFound where an archive is not there or can not be read, for without it nothing that follows can be
    worked out: log-archive-missing, log-archive-line. One that is not what it was when it was put away is used as it
    stands, with a problem: log-archive-changed, log-archive-order, log-archive-joined.
    """
    if not living.archives and not living.archive_problems:
        return bound([living])
    if living.archive_problems:
        raise ProblemsFound(living.archive_problems)
    problems = _order_problems(living.archives)
    named = sorted({each.file: each for each in living.archives}.values(), key=lambda each: each.last)
    parts: list[Part] = []
    numbers = {entry.number for entry in living.entries if entry.number is not None}
    for archive in named:
        part, wrong = _read(book, archive)
        own = {entry.number for entry in part.entries if entry.number is not None}
        if own and own <= numbers:
            problems.append(_joined(archive))
            continue
        problems += wrong
        parts.append(part)
    whole = bound([*parts, living])
    return whole._replace(problems=(*problems, *whole.problems))


def archive_paths(book: Path) -> tuple[Path, ...]:
    """The archives that a logbook names at its head, whether they are there or not; none where it can not be read."""
    try:
        with book.open("rb") as file:
            head = _head(file.readline(1 << 16) for _ in range(1 << 16))
    except OSError:
        return ()
    found = read_part(b"".join(head), book.name).archives
    return tuple(archive_folder(book) / each.file for each in found)


def archive_folder(book: Path) -> Path:
    """The folder of the archives: that of the logbook itself, where its name is a link to it."""
    return Path(os.path.realpath(book)).parent


def _head(lines: Iterable[bytes]) -> list[bytes]:
    """The lines before the first entry: archives, remarks and blank lines."""
    head = []
    for line in lines:
        text = line.decode("utf-8", errors="replace").removeprefix("\ufeff")
        if not line or (text.strip() and not text.startswith("#") and not is_archive_line(text)):
            break
        head.append(line)
    return head


def _read(book: Path, archive: Archive) -> tuple[Part, list[Problem]]:
    path = archive_folder(book) / archive.file
    try:
        fd = os.open(path, PLAIN_READ)
        try:
            want_plain_file(fd)
            data = read_all(fd)
        finally:
            os.close(fd)
    except OSError as error:
        raise ProblemsFound([_missing(archive, error)]) from error
    part = read_part(data, archive.file)
    wrong = [_nested(each.where) for each in part.archives] + list(part.archive_problems)
    if sum_of(data) == archive.sha256:
        return part, wrong
    # What is missing in it is told once, by that problem, and not number by number.
    part.numbers.update(range(1, archive.last + 1))
    return part, [_changed(archive, len(part.entries), sum_of(data)), *wrong]


def _order_problems(archives: Sequence[Archive]) -> list[Problem]:
    """A problem for each archive that is named after a later one, or twice."""
    problems = []
    for before, after in pairwise(archives):
        if after.last < before.last or after.file == before.file:
            what = f"{after.file} is named after {before.file}, and its entries are not later ones"
            hint = "name each archive once, the oldest first; they are read in the order of their entries"
            problems.append(Problem("log-archive-order", after.where, what, hint))
    return problems


def _missing(archive: Archive, error: OSError) -> Problem:
    why = "is not there" if isinstance(error, FileNotFoundError) else f"can not be read ({error.strerror})"
    what = f"{archive.file}, an archive with {archive.entries} entries, {why}"
    hint = (
        "look for it and put it beside the logbook: what stands in the vessels follows from it. To go on without what "
        "it holds, take this line out"
    )
    return Problem("log-archive-missing", archive.where, what, hint)


def _changed(archive: Archive, entries: int, found: str) -> Problem:
    held = f"it held {archive.entries} entries, {entries} are there now" if entries != archive.entries else ""
    what = f"{archive.file} is not what was put away{': ' if held else ''}{held}"
    hint = f"put an older copy of it back; if you changed it yourself, write sha256={found} into this line"
    if held:
        hint += f" and entries={entries}"
    return Problem("log-archive-changed", archive.where, what, hint)


def _joined(archive: Archive) -> Problem:
    what = f"the entries of {archive.file} stand in the logbook as well"
    hint = "they count once; take this line out of the logbook, and put the archive away"
    return Problem("log-archive-joined", archive.where, what, hint)


def _nested(where: Place) -> Problem:
    what = f"an archive names another {WORD}, which is not read"
    hint = "write this line into the logbook, above the line of this archive"
    return Problem("log-archive-line", where, what, hint)
