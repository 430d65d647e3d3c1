"""Entries put away in archives: the book reads as before, whatever day is chosen and however often.

Truth: the book before, byte for byte and entry for entry; and, by hand, what each damage must be called.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
from datetime import date, timedelta
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from greenrota.errors import Place, Problem, ProblemsFound
from greenrota.logbook import store
from greenrota.logbook.archive import moving
from greenrota.logbook.archive.moving import archive_path, move
from greenrota.logbook.archive.named import Archive, archive_line, read_archive_line
from greenrota.logbook.archive.reading import archive_paths
from greenrota.logbook.book import Book, culture
from greenrota.logbook.copies import conflict_copies
from greenrota.logbook.entry import Entry
from greenrota.logbook.lock import lock
from greenrota.logbook.store import append, load
from greenrota.logbook.tail import memory_path

FIRST = date(2027, 2, 1)
THREE_YEARS = b"".join(
    b"%d-0%d-15 fed north dose=1 n=%d\n" % (2027 + n // 4, 1 + 2 * (n % 4), n + 1) for n in range(12)
)
FED = Entry(date(2030, 1, 1), "fed", "north", (("dose", 1.0),))


@pytest.fixture
def book(tmp_path: Path) -> Path:
    """Four entries a year from 2027 to 2029."""
    path = tmp_path / "plan.log"
    path.write_bytes(THREE_YEARS)
    return path


def codes(book: Path) -> list[str]:
    return [problem.code for problem in load(book).problems]


def refused(book: Path, through: date) -> str:
    with pytest.raises(ProblemsFound) as caught:
        move(book, through)
    (problem,) = caught.value.problems
    assert Path(problem.where.file).parent == book.parent and problem.what
    return problem.code


def joined(book: Path) -> bytes:
    """The archives in the order in which the book names them, and the book without these lines: joined as text."""
    lines = book.read_bytes().split(b"\n")
    named = [line.split(b" ")[1].decode() for line in lines if line.startswith(b"archive ")]
    rest = b"\n".join(line for line in lines if not line.startswith(b"archive "))
    return b"".join((book.parent / name).read_bytes() for name in named) + rest


def same(book: Path, before: Book) -> None:
    now = load(book)
    assert now.entries == before.entries
    assert [e.number for e in culture(now.entries)] == [e.number for e in culture(before.entries)]
    assert [(p.code, p.what) for p in now.problems] == [(p.code, p.what) for p in before.problems]
    assert [p.code for p in now.notices] == [p.code for p in before.notices]


# Lines as people, editors and the program leave them: out of order, by hand, voided, doubled, remarks, blank.
_LINES = st.one_of(
    st.tuples(
        st.integers(0, 12), st.sampled_from(("fed north", "counted south density=9e5/mL", "note - text=x"))
    ),
    st.tuples(st.integers(0, 12), st.sampled_from(("void - entry=1", "void - entry=2", "void - entry=3"))),
    st.just((0, "")),
    st.just((0, "# a remark")),
    st.just((70_000, "fed north")),  # a slip, two hundred years ahead
)


@st.composite
def books(draw: st.DrawFn) -> bytes:
    lines, number = [], 0
    for day, text in draw(st.lists(_LINES, max_size=14)):
        if not text or text.startswith("#"):
            lines.append(text)
            continue
        on = FIRST + timedelta(days=min(day, 62_000))
        by_hand = draw(st.integers(0, 5)) == 0
        number += not by_hand
        lines.append(f"{on} {text}" + ("" if by_hand else f" n={number}"))
    end = draw(st.sampled_from(("\n", "\r\n")))
    whole = draw(st.sampled_from(("", "\ufeff"))) + "".join(line + end for line in lines)
    return (whole if draw(st.integers(0, 4)) else whole.rstrip()).encode()


@settings(max_examples=300, deadline=None)
@given(books(), st.lists(st.integers(-1, 13), min_size=1, max_size=3))
def test_put_away_at_any_day_the_book_reads_as_before(data: bytes, days: list[int]) -> None:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "plan.log"
        path.write_bytes(data)
        before = load(path)
        for day in days:
            through = FIRST + timedelta(days=day)
            stood = path.read_bytes()
            try:
                moved = move(path, through)
            except ProblemsFound as found:
                assert {problem.code for problem in found.problems} <= {"archive-nothing", "archive-exists"}
                assert path.read_bytes() == stood
            else:
                assert moved.archive.entries > 0
            same(path, before)
            assert joined(path) == data
            assert conflict_copies(path, [archive.file for archive in load(path).archives]) == []


def test_every_year_in_a_file_of_its_own(book: Path) -> None:
    before = load(book)
    for year in (2027, 2028):
        moved = move(book, date(year, 12, 31))
        assert (moved.archive.entries, moved.path.name) == (4, f"plan.{year}-12-31.log")
        assert (moved.first, moved.last) == (date(year, 1, 15), date(year, 7, 15))
    same(book, before)
    assert archive_paths(book) == (book.parent / "plan.2027-12-31.log", book.parent / "plan.2028-12-31.log")
    lines = book.read_text(encoding="utf-8").splitlines()
    # The sum is that which any other program works out.
    sums = [hashlib.sha256(path.read_bytes()).hexdigest() for path in archive_paths(book)]
    assert lines[:2] == [
        f"archive plan.2027-12-31.log entries=4 last=4 sha256={sums[0]}",
        f"archive plan.2028-12-31.log entries=4 last=8 sha256={sums[1]}",
    ]
    assert len(lines) == 6


def test_an_entry_written_late_stays_and_a_slip_that_was_taken_back_goes(tmp_path: Path) -> None:
    path = tmp_path / "plan.log"
    path.write_bytes(
        b"2027-02-01 fed north n=1\n2127-02-01 fed north n=2\n2027-02-02 void - entry=2 n=3\n"
        b"# spring\n2028-01-01 fed north n=4\n2027-12-31 fed south n=5\n"
    )
    before = load(path)
    assert move(path, date(2027, 12, 31)).archive.entries == 3
    assert path.read_bytes().split(b"\n", 1)[1].startswith(b"# spring\n2028-01-01 fed north n=4\n2027-12-31")
    same(path, before)


def test_numbers_go_on_where_nothing_is_left_and_nothing_is_remembered(book: Path) -> None:
    assert move(book, date(2029, 12, 31)).left == 0
    for on in (13, 14):
        memory_path(book).unlink(missing_ok=True)
        assert append(book, [FED]) == (on,)
    assert codes(book) == [] and [e.number for e in load(book).entries] == list(range(1, 15))


def test_an_entry_in_an_archive_is_taken_back_as_any_other(book: Path) -> None:
    move(book, date(2028, 12, 31))
    append(book, [Entry(date(2030, 1, 1), "void", "-", (("entry", 2),))])
    assert 2 not in [entry.number for entry in culture(load(book).entries)] and codes(book) == []
    append(book, [Entry(date(2030, 1, 1), "void", "-", (("entry", 99),))])
    assert codes(book) == ["log-void-missing"]


def test_a_book_that_lost_its_end_is_noticed_all_the_same(book: Path) -> None:
    append(book, [FED])
    move(book, date(2028, 12, 31))
    whole = book.read_bytes()
    book.write_bytes(whole[: whole.rindex(b"2030")])
    assert codes(book) == ["log-tail"]
    assert append(book, [FED]) == (14,)


def test_through_a_link_the_archive_lies_beside_the_real_book(tmp_path: Path) -> None:
    real, here = tmp_path / "synced" / "plan.log", tmp_path / "here"
    real.parent.mkdir()
    here.mkdir()
    real.write_bytes(THREE_YEARS)
    (here / "plan.log").symlink_to(real)
    move(here / "plan.log", date(2027, 12, 31))
    assert (here / "plan.log").is_symlink() and archive_path(real, date(2027, 12, 31)).exists()
    assert len(load(real).entries) == len(load(here / "plan.log").entries) == 12


def test_a_private_book_has_private_archives(book: Path) -> None:
    book.chmod(0o600)
    moved = move(book, date(2027, 12, 31))
    assert {oct(path.stat().st_mode & 0o777) for path in (book, moved.path)} == {"0o600"}


# What is refused: the book is as it was, byte for byte, and no file was made.


def untouched(book: Path, names: set[str]) -> None:
    assert book.read_bytes() == THREE_YEARS
    assert {path.name for path in book.parent.iterdir()} == names


def test_nothing_to_put_away(book: Path, tmp_path: Path) -> None:
    assert refused(book, date(2027, 1, 14)) == "archive-nothing"
    assert refused(tmp_path / "other.log", date(2027, 1, 14)) == "archive-nothing"
    untouched(book, {"plan.log"})


@pytest.mark.parametrize("name", ["plan.2027-12-31.log", "plan.2027-12-31.toml"])
def test_a_name_that_is_taken(book: Path, name: str) -> None:
    (book.parent / name).write_bytes(b"2027-02-01 fed west n=1\n")
    assert refused(book, date(2027, 12, 31)) == "archive-exists"
    untouched(book, {"plan.log", name})


def test_a_book_that_another_program_holds(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("greenrota.logbook.lock._TRIES", 2)
    held = os.open(book, os.O_RDWR)
    lock(held)
    try:
        assert refused(book, date(2027, 12, 31)) == "archive-busy"
    finally:
        os.close(held)
    untouched(book, {"plan.log"})


def test_a_book_into_which_an_editor_writes_meanwhile(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    written = moving._write_archive

    def and_edited(path: Path, text: bytes, mode: int) -> bool:
        with book.open("ab") as file:
            file.write(b"2030-01-01 fed north n=13\n")
        return written(path, text, mode)

    monkeypatch.setattr(moving, "_write_archive", and_edited)
    assert refused(book, date(2027, 12, 31)) == "archive-busy"
    assert book.read_bytes() == THREE_YEARS + b"2030-01-01 fed north n=13\n"
    assert {path.name for path in book.parent.iterdir()} == {"plan.log"}


def test_a_disk_that_takes_the_archive_and_not_the_book(book: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(path: Path, data: bytes) -> None:
        raise ProblemsFound([Problem("file-not-written", Place(str(path)), "no room")])

    monkeypatch.setattr(moving, "_replace", lambda file, data, book, living: full(book, living))
    assert refused(book, date(2027, 12, 31)) == "file-not-written"
    untouched(book, {"plan.log"})


# What is wrong with archives: one problem, with the line that names it; nothing is lost.


@pytest.fixture
def years(book: Path) -> Path:
    for year in (2027, 2028):
        move(book, date(year, 12, 31))
    return book


def test_a_missing_archive_is_one_problem_and_nothing_is_worked_out(years: Path) -> None:
    first, _ = archive_paths(years)
    kept = first.read_bytes()
    first.unlink()
    with pytest.raises(ProblemsFound) as caught:
        load(years)
    (problem,) = caught.value.problems
    assert (problem.code, problem.where.file, problem.where.line) == ("log-archive-missing", "plan.log", 1)
    assert "plan.2027-12-31.log" in problem.what and problem.hint
    assert append(years, [FED]) == (13,)  # what is written meanwhile is not lost
    first.write_bytes(kept)
    assert codes(years) == [] and len(load(years).entries) == 13


def test_an_archive_that_is_no_file(years: Path) -> None:
    first, _ = archive_paths(years)
    first.unlink()
    first.mkdir()
    with pytest.raises(ProblemsFound) as caught:
        load(years)
    assert [problem.code for problem in caught.value.problems] == ["log-archive-missing"]


def test_a_changed_archive_is_told_and_used_as_it_stands(years: Path) -> None:
    first, _ = archive_paths(years)
    first.write_bytes(first.read_bytes().replace(b"dose=1", b"dose=2", 1))
    found = load(years)
    (problem,) = found.problems
    assert (problem.code, problem.where.line) == ("log-archive-changed", 1)
    assert len(found.entries) == 12 and found.entries[0].figure("dose") == 2.0
    # The hint gives what to write where the change was meant.
    line = next(word for word in problem.hint.split() if word.startswith("sha256="))
    text = years.read_text(encoding="utf-8")
    years.write_text(text.replace(text.splitlines()[0].split()[-1], line), encoding="utf-8")
    assert codes(years) == []


def test_a_shortened_archive_is_one_problem(years: Path) -> None:
    first, _ = archive_paths(years)
    first.write_bytes(first.read_bytes().split(b"\n", 1)[1])
    (problem,) = load(years).problems
    assert problem.code == "log-archive-changed" and "held 4 entries, 3 are there" in problem.what


@pytest.mark.parametrize(("old", "new"), [(b"\n", b"\r\n"), (b"2027", b"\xef\xbb\xbf2027")])
def test_line_ends_and_a_byte_order_mark_make_no_other_archive(years: Path, old: bytes, new: bytes) -> None:
    first, _ = archive_paths(years)
    first.write_bytes(first.read_bytes().replace(old, new, -1 if old == b"\n" else 1))
    assert codes(years) == []


def test_archives_out_of_order_are_told_and_read_in_order(years: Path) -> None:
    before = load(years)
    first, second, rest = years.read_bytes().split(b"\n", 2)
    years.write_bytes(b"\n".join([second, first, rest]))
    assert codes(years) == ["log-archive-order"]
    assert load(years).entries == before.entries
    years.write_bytes(b"\n".join([first, first, second, rest]))
    assert codes(years) == ["log-archive-order"]
    assert load(years).entries == before.entries


def test_joined_by_hand_with_the_line_left_standing_counts_once(years: Path) -> None:
    before = load(years)
    first, _ = archive_paths(years)
    lines = years.read_bytes().split(b"\n", 2)
    years.write_bytes(b"\n".join(lines[:2]) + b"\n" + first.read_bytes() + lines[2])
    assert codes(years) == ["log-archive-joined"]
    assert {entry.number for entry in load(years).entries} == {entry.number for entry in before.entries}
    years.write_bytes(lines[1] + b"\n" + first.read_bytes() + lines[2])  # as the hint says
    assert codes(years) == []


def test_joined_as_text_it_is_the_old_book(years: Path) -> None:
    years.write_bytes(joined(years))
    assert years.read_bytes() == THREE_YEARS


def test_an_archive_that_names_another_one(years: Path) -> None:
    first, second = archive_paths(years)
    second.write_bytes(years.read_bytes().split(b"\n")[0] + b"\n" + second.read_bytes())
    years.write_bytes(years.read_bytes().split(b"\n", 1)[1])
    assert "log-archive-line" in codes(years)
    assert first.exists()


@pytest.mark.parametrize(
    "line",
    [
        "archive",
        "archive plan.2027-12-31.log",
        "archive ../plan.2027-12-31.log entries=4 last=4 sha256=" + "0" * 64,
        "archive plan.2027-12-31.log entries=4.5 last=4 sha256=" + "0" * 64,
        "archive plan.2027-12-31.log entries=4 last=4 sha256=0",
        "archive plan.2027-12-31.log entries=4 last=4 sha256=" + "0" * 64 + " more",
        'archive "plan entries=4',
    ],
)
def test_a_line_that_names_no_archive_stops_the_reading(book: Path, line: str) -> None:
    book.write_bytes(line.encode() + b"\n" + THREE_YEARS)
    with pytest.raises(ProblemsFound) as caught:
        load(book)
    assert [problem.code for problem in caught.value.problems] == ["log-archive-line"]


@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=20), st.integers(0, 10**9))
def test_the_line_of_an_archive_reads_back(file: str, count: int) -> None:
    archive = Archive(file, count, count, "a" * 64)
    read = read_archive_line(Place(text=archive_line(archive)))
    plain = file not in (".", "..") and not set(file) & set("/\\\0")
    assert (read == archive) is plain


def test_a_name_that_no_line_can_hold_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "a\\b.log"
    path.write_bytes(THREE_YEARS)
    assert refused(path, date(2027, 12, 31)) == "archive-exists"
    assert path.read_bytes() == THREE_YEARS and len(list(tmp_path.iterdir())) == 1


def test_an_older_copy_of_an_archive_beside_it_is_a_conflict_copy(years: Path) -> None:
    names = [archive.file for archive in load(years).archives]
    assert conflict_copies(years, names) == []
    copy = years.parent / "plan.2027-12-31 (1).log"
    copy.write_bytes(archive_paths(years)[0].read_bytes())
    assert conflict_copies(years, names) == [copy]


def test_the_number_of_the_last_entry_is_that_of_the_archives_too() -> None:
    assert store.last_number(b"archive a.log entries=1 last=9 sha256=0\n2027-02-01 fed north n=3\n") == 9
