"""A book that lost its end, and books that an editor saved in another form.

Truth: derived by hand from the promise that a loss is noticed and a running number is never given twice.
"""

from __future__ import annotations

import os
import stat
from datetime import date
from pathlib import Path

import pytest

from greenrota.errors import ProblemsFound
from greenrota.logbook import lock, store
from greenrota.logbook.copies import conflict_copies
from greenrota.logbook.entry import Entry
from greenrota.logbook.store import append, load
from greenrota.logbook.tail import memory_path, remembered

FED = Entry(date(2027, 2, 5), "fed", "north", (("dose", 1.0),))
LINE = b"2027-02-05 fed north dose=1 n=%d\n"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = tmp_path / "plan.log"
    append(path, [FED, FED, FED])
    return path


def codes(path: Path) -> list[str]:
    return [problem.code for problem in load(path).problems]


def test_a_lost_tail_is_noticed_and_its_numbers_are_not_given_again(book: Path) -> None:
    assert remembered(book) == 3 and codes(book) == []
    book.write_bytes(LINE % 1)
    assert codes(book) == ["log-tail"]
    assert append(book, [FED]) == (4,)
    assert codes(book) == ["log-gap"]


def test_a_book_that_is_gone_is_noticed_and_a_new_one_begins_with_1(book: Path) -> None:
    book.unlink()
    assert codes(book) == ["log-tail"]
    assert append(book, [FED]) == (1,)
    assert codes(book) == []


@pytest.mark.parametrize("text", [None, b"", b"many\n", b"\xff", b"9" * 80])
def test_the_memory_can_be_deleted_or_spoiled_without_harm(book: Path, text: bytes | None) -> None:
    memory_path(book).unlink()
    if text is not None:
        memory_path(book).write_bytes(text)
    book.write_bytes(LINE % 1)
    assert codes(book) == []
    assert append(book, [FED]) == (2,)
    assert remembered(book) == 2


def test_a_memory_that_can_not_be_written_stops_no_entry(book: Path) -> None:
    memory_path(book).unlink()
    memory_path(book).mkdir()
    assert append(book, [FED]) == (4,)
    assert codes(book) == []


def test_an_entry_that_was_not_written_is_not_remembered(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(fd: int, data: bytes) -> None:
        raise OSError(28, "no room")

    monkeypatch.setattr(store, "write_all", fail)
    with pytest.raises(ProblemsFound):
        append(book, [FED])
    assert remembered(book) == 3


@pytest.mark.parametrize(
    ("encoded", "code"),
    [
        ("utf-16", "log-encoding"),
        ("utf-16-le", "log-encoding"),
        ("utf-16-be", "log-encoding"),
        ("cr", "log-line-ends"),
    ],
)
def test_a_book_saved_in_another_form_is_refused_with_the_cure(book: Path, encoded: str, code: str) -> None:
    text = book.read_text(encoding="utf-8")
    data = text.replace("\n", "\r").encode() if encoded == "cr" else text.encode(encoded)
    book.write_bytes(data)
    for act in (lambda: load(book), lambda: append(book, [FED])):
        with pytest.raises(ProblemsFound) as caught:
            act()
        (problem,) = caught.value.problems
        assert problem.code == code and "save it" in problem.hint
    assert book.read_bytes() == data


def test_readers_do_not_wait_for_readers(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(lock.time, "sleep", lambda _: pytest.fail("waited"))
    held = os.open(book, os.O_RDONLY)
    try:
        lock.lock(held, shared=True)
        assert len(load(book).entries) == 3
    finally:
        os.close(held)


def test_a_reader_waits_for_a_writer(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is read while a writer holds the book is read after it has let go."""
    held = os.open(book, os.O_RDWR)
    lock.lock(held)

    def let_go(_: float) -> None:
        nonlocal held
        if held >= 0:
            os.write(os.open(book, os.O_WRONLY | os.O_APPEND), LINE % 4)
            os.close(held)
            held = -1

    monkeypatch.setattr(lock.time, "sleep", let_go)
    assert len(load(book).entries) == 4


def test_a_new_book_may_be_read_by_all_and_written_by_its_owner(tmp_path: Path) -> None:
    before = os.umask(0)
    try:
        append(tmp_path / "plan.log", [FED])
    finally:
        os.umask(before)
    assert stat.S_IMODE((tmp_path / "plan.log").stat().st_mode) == 0o644


def test_copies_by_their_names_and_by_what_they_hold(book: Path) -> None:
    sure = ["Copy of plan.log", "Kopie von plan.log", "plan - Kopie.log", "plan (2).log", "plan_conflit.log"]
    likely = ["plan 2.log", "plan-2027-02-03.log", "plan-laptop.log", "plan@desk.log", "plan[1].log"]
    for name in sure:
        (book.parent / name).touch()
    for name in likely:
        (book.parent / name).write_bytes(b"# a remark\n" + LINE % 1)
    (book.parent / "plan-notes.log").write_text("bought a lamp", encoding="utf-8")
    (book.parent / "plan-second.log").write_bytes(LINE % 1)
    (book.parent / "plan-second.toml").touch()  # a plan of its own
    (book.parent / "plan.log~").write_bytes(LINE % 1)  # an editor's
    assert [path.name for path in conflict_copies(book)] == sorted(sure + likely)
