"""The logbook on disk. Entries are only appended: under a lock, in whole lines, and synced before they count."""

from __future__ import annotations

import contextlib
import errno
import os
import re
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from greenrota.errors import Place, Problem, ProblemsFound
from greenrota.logbook.archive.named import last_archived
from greenrota.logbook.archive.reading import with_archives
from greenrota.logbook.book import DOUBTFUL, Book, encoding_fault, is_doubtful, read_part
from greenrota.logbook.entry import Entry, format_entry, number_on, parse_line
from greenrota.logbook.lock import lock
from greenrota.logbook.swap import (
    PLAIN_READ,
    PRIVATE_FLAGS,
    read_all,
    sync_folder,
    want_plain_file,
    write_all,
)
from greenrota.logbook.tail import lost_tail, remember, remembered

_TURNS = 20  # our choice: how often a book may be replaced under us before we give up
_FORBIDDEN = frozenset({errno.EACCES, errno.EPERM, errno.EROFS})
_NUMBERED = re.compile(rb"(?:^|(?<=\s))n=([0-9]{1,9})(?![0-9])")


def append(path: Path, entries: Sequence[Entry]) -> tuple[int, ...]:
    """Add entries at the end of the book, all of them or none, and give the running numbers they got.

    When it returns they are on the disk. Raises `ProblemsFound` (log-not-written, log-read-only,
    log-folder-read-only, or what is wrong with an entry), each carrying the lines, so that they can be kept; or
    log-encoding, log-line-ends where the book is no UTF-8 text with line feeds. The book is then as it was.
    """
    for entry in entries:
        _check(entry)
    if not entries:
        return ()
    try:
        fd = open_locked(path)
    except OSError as error:
        raise _not_written(path, entries, error) from error
    try:
        return _append_locked(fd, path, entries)
    except OSError as error:
        raise _not_written(path, entries, error) from error
    finally:
        os.close(fd)


def load(path: Path) -> Book:
    """The book as it stands on disk, with the archives it names; an empty one if there is no file yet.

    Waits for an append that is under way. Raises `ProblemsFound` where the file as a whole cannot be used:
    log-not-readable, log-encoding, log-line-ends, log-archive-missing, log-archive-line.
    """
    try:
        fd = os.open(path, PLAIN_READ)
    except FileNotFoundError:
        return Book(problems=tuple(lost_tail(path, 0)))
    except OSError as error:
        raise _not_readable(path, error) from error
    try:
        want_plain_file(fd)
        with contextlib.suppress(OSError):  # a lock that cannot be had is no reason not to read
            lock(fd, shared=True)
        data = read_all(fd)
        lost = lost_tail(path, last_number(data))
    except OSError as error:
        raise _not_readable(path, error) from error
    finally:
        os.close(fd)
    refuse_other_text(data, path)
    book = with_archives(path, read_part(data, path.name))
    return book._replace(problems=(*lost, *book.problems)) if lost else book


def refuse_other_text(data: bytes, path: Path) -> None:
    """Raises ProblemsFound for what is no UTF-8 text with line feeds."""
    fault = encoding_fault(data, str(path))
    if fault is not None:
        raise ProblemsFound([fault])


def _check(entry: Entry) -> None:
    """Check that the line of an entry reads back as the same entry.

    Raises ProblemsFound for what a person can put right, ValueError for a fault of the program.
    """
    if entry.number is not None:
        raise ValueError("the running number is given by the book")
    line = format_entry(entry)
    read = parse_line(line, file="new entry")
    if isinstance(read, list):
        raise ProblemsFound(read)
    if read != entry:
        raise ValueError(f"an entry that is not read back as it was: {line}")


def open_locked(path: Path) -> int:
    """Open the book and take its lock; again, when another file took its name meanwhile. Raises OSError."""
    for _ in range(_TURNS):
        fd = os.open(path, os.O_RDWR | os.O_APPEND | os.O_CREAT | PRIVATE_FLAGS, 0o644)
        try:
            want_plain_file(fd)
            lock(fd)
            if _still_named(fd, path):
                return fd
        except BaseException:
            os.close(fd)
            raise
        os.close(fd)
    raise OSError(errno.EBUSY, "another program keeps replacing the logbook")


def _still_named(fd: int, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(fd), path.stat())
    except FileNotFoundError:
        return False


def _append_locked(fd: int, path: Path, entries: Sequence[Entry]) -> tuple[int, ...]:
    book = read_all(fd)
    refuse_other_text(book, path)
    # A number is never given twice, also where the tail of the book was lost. A new book begins with 1.
    first = 1 + (max(last_number(book), remembered(path)) if book.strip() else 0)
    numbers = tuple(range(first, first + len(entries)))
    lines = [
        format_entry(replace(entry, number=number)) for entry, number in zip(entries, numbers, strict=True)
    ]
    block = _seal(book) + "".join(line + "\n" for line in lines).encode("utf-8")
    try:
        write_all(fd, block)
        os.fsync(fd)
        if not book:
            sync_folder(Path(os.path.realpath(path)).parent)
    except BaseException:
        _cut_back(fd, book, block)
        raise
    remember(path, numbers[-1])
    return numbers


def _seal(book: bytes) -> bytes:
    """The bytes that end a last line which has no line end, so that the next entry begins a new line."""
    torn = book.rpartition(b"\n")[2]
    if not torn:
        return b""
    last = parse_line(torn.decode("utf-8", errors="replace").removeprefix("\ufeff").removesuffix("\r"))
    doubtful = isinstance(last, Entry) and is_doubtful(last, no_line_end=True)
    return f" # {DOUBTFUL}\n".encode() if doubtful else b"\n"


def last_number(book: bytes) -> int:
    """The highest running number in the book and its archives, that of a damaged line included; 0 if there is none.

    >>> last_number(b"2027-02-08 fed north n=2\\n2027-02-07 fed north n=1\\n")
    2
    """
    return max(_last_living(book), last_archived(book))


def _last_living(book: bytes) -> int:
    newest = max(_NUMBERED.findall(book), key=int, default=None)
    if newest is None:
        return 0
    if _is_number_at(book, int(newest), book.rfind(b"n=" + newest)):  # nearly always; else all are looked at
        return int(newest)
    seen = [(int(found[1]), found.start()) for found in _NUMBERED.finditer(book)]
    return next((number for number, at in sorted(seen, reverse=True) if _is_number_at(book, number, at)), 0)


def _is_number_at(book: bytes, number: int, at: int) -> bool:
    """True if the line at an index bears that number; what looks like one may stand in a text or a remark."""
    begins, ends = book.rfind(b"\n", 0, at + 1) + 1, book.find(b"\n", at + 1)
    line = book[begins : None if ends < 0 else ends]
    return number_on(line.decode("utf-8", errors="replace").rstrip("\r")) == number


def _cut_back(fd: int, book: bytes, block: bytes) -> None:
    """Remove our own unfinished bytes, unless somebody else has written behind them."""
    added = read_all(fd)[len(book) :]
    if block.startswith(added):
        os.ftruncate(fd, len(book))


def _not_written(path: Path, entries: Sequence[Entry], error: OSError) -> ProblemsFound:
    """A problem for each entry; its hint ends with the whole line, so that it can be copied from the screen."""
    code, why = "log-not-written", str(error.strerror)
    if error.errno in _FORBIDDEN and path.exists():
        code, why = "log-read-only", f"the logbook may not be written to ({why})"
    elif error.errno in _FORBIDDEN:
        code, why = "log-folder-read-only", f"no file can be made in {path.parent} ({why})"
    hint = "the logbook is as it was; keep this line and add it once the cause is mended: "
    return ProblemsFound(
        Problem(code, Place(str(path)), f"nothing was recorded: {why}", hint + format_entry(entry))
        for entry in entries
    )


def _not_readable(path: Path, error: OSError) -> ProblemsFound:
    what = f"the logbook cannot be read: {error.strerror}"
    hint = "a logbook is a plain text file that you may read and write"
    return ProblemsFound([Problem("log-not-readable", Place(str(path)), what, hint)])
