"""The book when something goes wrong: full disk, no permission, replaced under us, locked.

Truth: derived by hand from the promise that an entry is recorded whole or the book stays as it was.
"""

from __future__ import annotations

import errno
import os
from datetime import date
from pathlib import Path

import pytest

from greenrota.errors import ProblemsFound
from greenrota.logbook import lock, store
from greenrota.logbook.entry import Entry, format_entry
from greenrota.logbook.store import append, load

FED = Entry(date(2027, 2, 5), "fed", "north", (("dose", 1.0),))
NOTE = Entry(date(2027, 2, 6), "note", "-", (("text", 'smells of "hay"\nn=99 # 中'),))
OLD = b"2027-02-01 started north from=starter:bought inoculum=187.5mL n=1\n"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = tmp_path / "plan.log"
    path.write_bytes(OLD)
    return path


def _refused(path: Path, *entries: Entry) -> ProblemsFound:
    with pytest.raises(ProblemsFound) as caught:
        append(path, entries)
    return caught.value


@pytest.mark.parametrize("room", [0, 1, 20, 70])
@pytest.mark.parametrize("silent", [True, False])
def test_a_full_disk_leaves_the_old_book_and_gives_the_lines_back(
    book: Path, monkeypatch: pytest.MonkeyPatch, room: int, silent: bool
) -> None:
    """`silent`: the system writes less than it was given, and only then nothing, without an error."""
    left = room
    write = os.write

    def write_until_full(fd: int, data: bytes) -> int:
        nonlocal left
        if left == 0 and not silent:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        written = write(fd, data[:left])
        left -= written
        return written

    monkeypatch.setattr(os, "write", write_until_full)
    refused = _refused(book, FED, NOTE)
    assert book.read_bytes() == OLD
    assert [p.code for p in refused.problems] == ["log-not-written"] * 2
    for problem, entry in zip(refused.problems, (FED, NOTE), strict=True):
        assert problem.hint.endswith(": " + format_entry(entry))


def test_short_writes_are_gone_on_with(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write = os.write
    monkeypatch.setattr(os, "write", lambda fd, data: write(fd, data[:7]))
    append(book, [FED, NOTE])
    assert [e.number for e in load(book).entries] == [1, 2, 3]


def test_a_sync_that_fails_is_no_record(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(fd: int) -> None:
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr(os, "fsync", fail)
    assert _refused(book, FED).problems[0].code == "log-not-written"
    assert book.read_bytes() == OLD


def test_an_interrupt_in_the_middle_leaves_the_old_book(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write = os.write

    def interrupted(fd: int, data: bytes) -> int:
        write(fd, data[:10])
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "write", interrupted)
    with pytest.raises(KeyboardInterrupt):
        append(book, [FED])
    assert book.read_bytes() == OLD


def test_what_another_program_wrote_behind_us_is_not_cut_away(
    book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write = os.write

    def overtaken(fd: int, data: bytes) -> int:
        write(fd, data[:10])
        write(fd, b"\n2027-02-04 fed south\n")
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "write", overtaken)
    _refused(book, FED)
    assert [e.subject for e in load(book).entries] == ["north", "south"]


@pytest.mark.parametrize("number", [errno.EACCES, errno.EROFS])
@pytest.mark.parametrize(("exists", "code"), [(False, "log-folder-read-only"), (True, "log-read-only")])
def test_no_permission_says_so(
    book: Path, monkeypatch: pytest.MonkeyPatch, number: int, exists: bool, code: str
) -> None:
    def refuse(*_: object) -> int:
        raise OSError(number, os.strerror(number))

    if not exists:
        book.unlink()
    monkeypatch.setattr(os, "open", refuse)
    problem = _refused(book, FED).problems[0]
    assert problem.code == code
    assert format_entry(FED) in problem.hint


def test_a_place_that_cannot_hold_a_book_says_so(book: Path, tmp_path: Path) -> None:
    for path in (book / "plan.log", tmp_path, tmp_path / "nowhere" / "plan.log"):
        problem = _refused(path, FED).problems[0]
        assert (problem.code, problem.where.file) == ("log-not-written", str(path))
    pipe = tmp_path / "pipe.log"
    os.mkfifo(pipe)
    assert _refused(pipe, FED).problems[0].code == "log-not-written"


def test_a_book_that_cannot_be_read_says_so(book: Path, tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.log"
    os.mkfifo(pipe)
    for path in (tmp_path, book / "plan.log", pipe):
        with pytest.raises(ProblemsFound) as caught:
            load(path)
        assert caught.value.problems[0].code == "log-not-readable"


def test_a_book_replaced_while_we_waited_gets_the_entry(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    newer = OLD + b"2027-02-02 fed north dose=1 n=2\n"
    take = lock.lock
    turns = []

    def replaced_meanwhile(fd: int) -> None:
        take(fd)
        if not turns:
            beside = book.with_name("edited")
            beside.write_bytes(newer)
            beside.replace(book)
        turns.append(fd)

    monkeypatch.setattr(store, "lock", replaced_meanwhile)
    assert append(book, [FED]) == (3,)
    assert book.read_bytes() == newer + b"2027-02-05 fed north dose=1 n=3\n"
    assert len(turns) == 2


def test_a_book_deleted_while_we_waited_is_begun_again(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    take = lock.lock
    turns = []

    def deleted_meanwhile(fd: int) -> None:
        take(fd)
        if not turns:
            book.unlink()
        turns.append(fd)

    monkeypatch.setattr(store, "lock", deleted_meanwhile)
    assert append(book, [FED]) == (1,)
    assert book.read_text(encoding="utf-8") == "2027-02-05 fed north dose=1 n=1\n"


def test_a_book_that_is_replaced_again_and_again_is_given_up_on(
    book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def replaced(fd: int) -> None:
        beside = book.with_name("edited")
        beside.write_bytes(OLD)
        beside.replace(book)

    monkeypatch.setattr(store, "lock", replaced)
    assert _refused(book, FED).problems[0].code == "log-not-written"
    assert book.read_bytes() == OLD


def test_a_lock_that_is_never_let_go_is_said_and_reading_goes_on(
    book: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    pauses: list[float] = []
    monkeypatch.setattr(lock.time, "sleep", pauses.append)
    held = os.open(book, os.O_RDWR)
    try:
        lock.lock(held)
        problem = _refused(book, FED).problems[0]
        assert problem.code == "log-not-written"
        assert "does not let go" in problem.what
        assert len(load(book).entries) == 1
    finally:
        os.close(held)
    assert max(pauses) <= 0.05  # a person does not notice a pause of this length; our choice
    assert append(book, [FED]) == (2,)
