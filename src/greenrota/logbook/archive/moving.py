"""Moving the entries of earlier years out of the logbook, into an archive that it names from then on.

The archive and what stays are the old book, byte for byte, cut in two between two lines. The archive is written and
synced first, then the book is replaced in one step, under the lock of an append: whatever happens in between, every
entry stands in the book, and none counts twice.
"""

from __future__ import annotations

import contextlib
import os
import stat
from collections.abc import Sequence
from datetime import date
from io import FileIO
from pathlib import Path
from typing import NamedTuple

from greenrota.errors import Place, Problem, ProblemsFound
from greenrota.logbook.archive.named import (
    Archive,
    archive_line,
    is_archive_line,
    read_archive_line,
    sum_of,
)
from greenrota.logbook.archive.reading import archive_folder, with_archives
from greenrota.logbook.book import Part, culture, read_part
from greenrota.logbook.quoting import encodable
from greenrota.logbook.store import open_locked, refuse_other_text
from greenrota.logbook.swap import read_all, write_beside_and_swap


class Moved(NamedTuple):
    """What was moved: the archive and its path, the first and last day of its entries, and how many entries stayed."""

    archive: Archive
    path: Path
    first: date
    last: date
    left: int


def archive_path(book: Path, through: date) -> Path:
    """Where an archive of the entries through a day lies: the name of the book with the day in it, beside the book.

    >>> archive_path(Path("/shelf/plan.log"), date(2027, 12, 31)).name
    'plan.2027-12-31.log'
    """
    return archive_folder(book) / f"{book.stem}.{through}{book.suffix}"


def move(book: Path, through: date) -> Moved:
    """Move all lines before the first entry that lies after a day into an archive, and name it in the book.

    An entry that was taken back does not end them, for its day may be a slip. An entry for an earlier day that was
    written later stays. Raises ProblemsFound, with the book as it was: archive-nothing, archive-exists, archive-busy,
    log-not-written, file-not-written, or that the book can not be read.
    """
    if not book.exists():
        raise _nothing(book, through)
    try:
        with os.fdopen(open_locked(book), "rb", buffering=0) as file:
            return _move_locked(file, book, through)
    except OSError as error:
        raise _busy(book, str(error.strerror)) from error


def _move_locked(file: FileIO, book: Path, through: date) -> Moved:
    data = read_all(file.fileno())
    refuse_other_text(data, book)
    part = read_part(data, book.name)
    lines = data.split(b"\n")
    cut = _cut(part, culture(with_archives(book, part).entries), lines, through)
    gone = [line for line in lines[:cut] if not _names_archive(line)]
    moved = [entry for entry in part.entries if entry.where.line <= cut]
    if not moved:
        raise _nothing(book, through)
    path, text = archive_path(book, through), b"\n".join([*gone, b""])
    last = max((entry.number for entry in moved if entry.number is not None), default=0)
    archive = Archive(path.name, len(moved), last, sum_of(text))
    if read_archive_line(Place(text=archive_line(archive))) != archive or not encodable(path.name):
        raise _exists(path, "the logbook can not name a file so")
    named = [*filter(_names_archive, lines), archive_line(archive).encode()]
    stays = [line for line in lines[cut:] if not _names_archive(line)]
    new = _write_archive(path, text, stat.S_IMODE(os.fstat(file.fileno()).st_mode))
    try:
        _replace(file, data, book, b"\n".join([*named, *stays]))
    except BaseException:
        if new:
            path.unlink(missing_ok=True)
        raise
    days = [entry.on for entry in moved if entry.on <= through] or [through]
    return Moved(archive, path, min(days), max(days), len(part.entries) - len(moved))


def _replace(file: FileIO, data: bytes, book: Path, living: bytes) -> None:
    """Put a new book in the place of the open one, if that still holds what was read."""
    if read_all(file.fileno()) != data:
        raise _busy(book, "another program wrote into it")
    if os.name == "nt":  # an open file can not be replaced there; its lock is let go for that moment
        file.close()
    write_beside_and_swap(book, living)


def _cut(part: Part, standing: Sequence[object], lines: list[bytes], through: date) -> int:
    """How many lines go: up to the first entry that lies after the day, without remarks right above it.

    A last line without a line end stays, for it may not be whole.
    """
    stand = {id(entry) for entry in standing}
    later = (
        entry.where.line
        for entry in part.entries
        if entry.on > through and (entry.kind == "void" or id(entry) in stand)
    )
    cut = min(later, default=len(lines)) - 1
    while cut and lines[cut - 1].strip()[:1] in (b"", b"#"):
        cut -= 1
    return cut


def _write_archive(path: Path, text: bytes, mode: int) -> bool:
    """Write an archive; False where it stands there already, word for word, from a try that was cut short."""
    if path.exists():
        with contextlib.suppress(OSError):
            if path.is_file() and path.read_bytes() == text:
                return False
        raise _exists(path, "there is a file of that name already")
    if path.with_suffix(".toml").exists():
        raise _exists(path, f"that is the name of the logbook of {path.with_suffix('.toml').name}")
    write_beside_and_swap(path, text)
    with contextlib.suppress(OSError):
        path.chmod(mode)
    return True


def _names_archive(line: bytes) -> bool:
    return is_archive_line(line.decode("utf-8", errors="replace").removeprefix("\ufeff"))


def _nothing(book: Path, through: date) -> ProblemsFound:
    what = f"no entry stands before the first one after {through}, so there is nothing to put away"
    hint = "greenrota log list shows what is there; --through is the last day that goes"
    return ProblemsFound([Problem("archive-nothing", Place(str(book)), what, hint)])


def _exists(path: Path, what: str) -> ProblemsFound:
    hint = "nothing was moved: choose another last day, or take that file away if it is not needed"
    return ProblemsFound([Problem("archive-exists", Place(str(path)), what, hint)])


def _busy(book: Path, why: str) -> ProblemsFound:
    what = f"nothing was moved: {why}"
    hint = "the logbook is as it was; try again once no other program writes to it"
    return ProblemsFound([Problem("archive-busy", Place(str(book)), what, hint)])
