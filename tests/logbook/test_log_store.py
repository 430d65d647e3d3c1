"""The book on disk: numbers, line ends, lines cut off, copies beside it.

Truth: derived by hand from the promise that every line written is read again.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from greenrota.errors import ProblemsFound
from greenrota.logbook import store
from greenrota.logbook.book import DOUBTFUL, read_book
from greenrota.logbook.copies import conflict_copies
from greenrota.logbook.entry import Entry
from greenrota.logbook.store import append, load

FED = Entry(date(2027, 2, 5), "fed", "north", (("dose", 1.0),))
NOTE = Entry(date(2027, 2, 6), "note", "-", (("text", 'smells of "hay"\nn=99 # 中'),))
OLD = b"2027-02-01 started north from=starter:bought inoculum=187.5mL n=1\n"


@pytest.fixture
def book(tmp_path: Path) -> Path:
    path = tmp_path / "plan.log"
    path.write_bytes(OLD)
    return path


def test_the_first_entry_makes_the_book(tmp_path: Path) -> None:
    path = tmp_path / "plan.log"
    assert load(path).entries == ()
    assert append(path, [FED]) == (1,)
    assert path.read_text(encoding="utf-8") == "2027-02-05 fed north dose=1 n=1\n"


def test_several_entries_get_numbers_in_turn_and_stand_in_order(book: Path) -> None:
    assert append(book, [FED, NOTE]) == (2, 3)
    assert append(book, []) == ()
    assert [(e.kind, e.number) for e in load(book).entries] == [("started", 1), ("fed", 2), ("note", 3)]
    assert load(book).problems == load(book).notices == ()


def test_numbers_in_texts_and_remarks_are_not_counted(book: Path) -> None:
    append(book, [NOTE])
    with book.open("a", encoding="utf-8") as file:
        file.write("2027-02-07 fed north # was n=50\n")
    assert append(book, [FED]) == (3,)


def test_the_number_of_a_damaged_line_is_not_used_again(book: Path) -> None:
    with book.open("ab") as file:
        file.write(b"2027-02-07 fde n\xf6rd n=7\n")
    assert append(book, [FED]) == (8,)


def test_books_with_carriage_returns_and_sorted_by_hand_go_on(book: Path) -> None:
    book.write_bytes(b"\xef\xbb\xbf2027-02-02 fed north n=2\r\n2027-02-03 fed north n=1\r\n")
    assert append(book, [FED]) == (3,)
    assert len(load(book).entries) == 3
    assert load(book).problems == ()


def test_an_entry_that_no_line_can_hold_is_not_written(book: Path) -> None:
    with pytest.raises(ProblemsFound) as caught:
        append(book, [FED, Entry(date(2027, 2, 5), "crashed", "north", (("cause", "bad luck"),))])
    assert [p.code for p in caught.value.problems] == ["log-cause"]
    with pytest.raises(ValueError, match="given by the book"):
        append(book, [Entry(date(2027, 2, 5), "fed", "north", number=5)])
    with pytest.raises(ValueError, match="not read back"):
        append(book, [Entry(date(2027, 2, 5), "fed", "north", (("dose", "1"),))])
    assert book.read_bytes() == OLD


def test_a_last_line_without_line_end_keeps_its_own_line(book: Path) -> None:
    book.write_bytes(OLD[:-1])
    assert append(book, [FED]) == (2,)
    assert book.read_bytes() == OLD + b"2027-02-05 fed north dose=1 n=2\n"


def test_a_sealed_line_that_may_be_cut_stays_marked_until_a_person_has_seen_it(book: Path) -> None:
    book.write_bytes(OLD + b"2027-02-03 fed north dose=1")  # was it dose=1.5?
    append(book, [FED])
    again = load(book)
    assert [(n.code, n.where.line) for n in again.notices] == [("log-torn", 2)]
    assert again.problems == ()
    book.write_bytes(book.read_bytes().replace(f" # {DOUBTFUL}".encode(), b""))
    assert load(book).notices == ()


def test_cut_at_any_byte_then_append_and_every_whole_line_is_still_read(book: Path) -> None:
    append(book, [NOTE, FED])
    whole = book.read_bytes()
    for cut in range(len(whole) + 1):
        book.write_bytes(whole[:cut])
        (number,) = append(book, [FED])
        after = load(book)
        lines = whole[:cut].count(b"\n")
        kept = [(e.on, e.kind, e.values, e.number) for e in after.entries]
        assert kept[:lines] == [(e.on, e.kind, e.values, e.number) for e in read_book(whole).entries[:lines]]
        assert kept[-1] == (FED.on, FED.kind, FED.values, number)
        torn = whole[:cut].rpartition(b"\n")[2]
        ends_whole = cut < len(whole) and whole[cut : cut + 1] == b"\n"
        said = {p.where.line for p in after.problems + after.notices}
        assert not torn or ends_whole or lines + 1 in said


def test_a_new_book_is_synced_with_its_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    synced: list[Path] = []
    monkeypatch.setattr(store, "sync_folder", synced.append)
    (tmp_path / "shelf").mkdir()
    link = tmp_path / "plan.log"
    link.symlink_to(tmp_path / "shelf" / "real.log")
    append(link, [FED])
    append(link, [FED])
    assert synced == [tmp_path.resolve() / "shelf"]
    assert link.is_symlink()
    assert len(load(tmp_path / "shelf" / "real.log").entries) == 2


def test_copies_of_a_sync_service_are_seen(book: Path) -> None:
    copies = ["plan (conflict 2027-02-03).log", "plan.sync-conflict-20270203-101112.log", "plan (1).log"]
    copies += ["plan_conflicted copy.log", "plan.log.conflict"]
    others = ["plan.toml", "plankton.log", "plan-conflict.toml", "conflict.log", "plan2.log", "plan.svg"]
    for name in copies + others:
        (book.parent / name).touch()
    assert [path.name for path in conflict_copies(book)] == sorted(copies)
    assert conflict_copies(book.parent / "nowhere" / "plan.log") == []
