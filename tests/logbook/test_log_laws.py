"""Laws of line and book over generated entries of every kind: any script, any amount, any remark."""

from __future__ import annotations

import datetime
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from greenrota.errors import Problem
from greenrota.logbook import book
from greenrota.logbook.amount import FIRST_YEAR, LARGEST, LAST_YEAR
from greenrota.logbook.book import culture, read_book
from greenrota.logbook.entry import NO_VESSEL, Entry, format_entry, number_on, parse_line
from greenrota.logbook.quick import QuickReader
from greenrota.logbook.quoting import one_clean_line
from greenrota.logbook.vocabulary import CAUSES, DEGREES, KEYS, KINDS, Sort

DAYS = (datetime.date(FIRST_YEAR, 1, 1), datetime.date(LAST_YEAR, 12, 31))
_AMOUNTS = st.floats(0.0, LARGEST).map(abs)
# Quotes, hashes and controls are rare in all of Unicode, so half of the texts are made of nothing else.
_AWKWARD = '"\\#= \t\n\r\x00\x1b\x85\u00a0\u2028\u202e\u2066\ufeff-an/:\u4e2d\u0634\u200c\U0001f9eb'
TEXTS = st.one_of(
    st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=30),
    st.text(st.sampled_from(_AWKWARD), min_size=1, max_size=12),
)
SUBJECTS = TEXTS.filter(lambda text: text != NO_VESSEL)
REMARKS = TEXTS.map(str.strip).filter(one_clean_line)


def _values(sort: Sort, on: datetime.date) -> st.SearchStrategy[object]:
    return {
        Sort.VOLUME: _AMOUNTS,
        Sort.DENSITY: _AMOUNTS,
        Sort.FIGURE: _AMOUNTS,
        Sort.HOURS: st.floats(0.0, 24.0),
        Sort.DATE: st.dates(DAYS[0], on),
        Sort.ENTRY: st.integers(1, 999_999_999),
        Sort.PH: st.floats(0.0, 14.0).map(abs),
        Sort.GRAVITY: st.floats(0.99, 1.1),
        Sort.TEMPERATURE: st.floats(0.0, 60.0).map(abs),
        Sort.DEGREE: st.sampled_from(DEGREES),
        Sort.CAUSE: st.sampled_from(CAUSES),
        Sort.TEXT: TEXTS,
    }[sort]


@st.composite
def entries(draw: st.DrawFn, numbered: bool = True, remarks: bool = True) -> Entry:
    """One entry that a line can hold."""
    on = draw(st.dates(*DAYS))
    kind = draw(st.sampled_from(sorted(KINDS)))
    rule = KINDS[kind]
    optional = sorted(rule.keys - set(rule.required))
    keys = [*rule.required, *draw(st.lists(st.sampled_from(optional), unique=True))]
    if rule.any_of and not set(keys) & set(rule.any_of):
        keys.append(rule.any_of[0])
    values = tuple((key, draw(_values(KEYS[key], on))) for key in draw(st.permutations(keys)))
    subject = draw(st.one_of(st.just(NO_VESSEL), SUBJECTS) if rule.subject_free else SUBJECTS)
    entry = Entry(on, kind, subject, values)
    if numbered:
        entry = replace(entry, number=draw(st.none() | st.integers(1, 999_999_999)))
    return replace(entry, remark=draw(REMARKS)) if remarks else entry


@given(entries())
def test_what_is_written_is_read_back_exactly(entry: Entry) -> None:
    line = format_entry(entry)
    assert parse_line(line) == entry
    assert len(line.encode("utf-8").splitlines()) == 1


@given(entries())
def test_the_running_number_is_seen_without_reading_the_rest(entry: Entry) -> None:
    assert number_on(format_entry(entry)) == entry.number


@given(st.text(max_size=80))
def test_any_text_is_an_entry_or_nothing_or_problems(text: str) -> None:
    read = parse_line(text, 7, "plan.log")
    if isinstance(read, list):
        assert read
        assert all(p.code.startswith("log-") and p.where.line == 7 and p.where.text == text for p in read)
    elif read is not None:
        assert parse_line(format_entry(read)) == read


@given(st.lists(entries(remarks=False), max_size=6), st.data())
def test_a_void_restores_the_standing_entries_exactly(drawn: list[Entry], data: st.DataObject) -> None:
    written = [replace(e, number=n) for n, e in enumerate((e for e in drawn if e.kind != "void"), 1)]
    before = culture(written)
    last = len(written)
    mistake = replace(_void(last + 1, 1), kind="fed", subject="x", values=())
    assert culture([*written, mistake, _void(last + 2, last + 1)]) == before
    if written:
        named = data.draw(st.integers(1, last))
        without = culture([*written, _void(last + 1, named)])
        assert without == tuple(entry for entry in before if entry.number != named)
        assert culture([*written, _void(last + 1, named), _void(last + 2, last + 1)]) == before


def _void(number: int, named: int) -> Entry:
    return Entry(datetime.date(2027, 2, 1), "void", NO_VESSEL, (("entry", named),), number)


@given(st.lists(entries(), max_size=8))
def test_every_entry_written_is_in_the_book(written: list[Entry]) -> None:
    book = read_book("".join(format_entry(entry) + "\n" for entry in written).encode("utf-8"))
    read = [Entry(e.on, e.kind, e.subject, e.values, e.number) for e in book.entries]
    for entry in written:
        assert Entry(entry.on, entry.kind, entry.subject, entry.values, entry.number) in read


@given(st.binary(max_size=200))
def test_any_bytes_give_a_book(data: bytes) -> None:
    book = read_book(data, "plan.log")
    said = {p.where.line for p in book.problems + book.notices} | {e.where.line for e in book.entries}
    for line_no, raw in enumerate(data.split(b"\n"), 1):
        text = raw.decode("utf-8", errors="replace").removeprefix("\ufeff").strip()
        silent = not text or text.startswith("#")
        assert silent or line_no in said or said == {0}


def slowly(text: str, line_no: int) -> Entry | list[Problem] | None:
    return parse_line(text, line_no, "plan.log")


@given(st.lists(entries(), max_size=4), st.data())
def test_the_quick_reader_reads_as_the_thorough_one_or_not_at_all(
    told: list[Entry], data: st.DataObject
) -> None:
    """Also lines with a piece cut out, doubled or put in."""
    quick = QuickReader("plan.log")
    for line_no, entry in enumerate(told, start=1):
        text = format_entry(entry)
        begin, end = sorted(data.draw(st.tuples(*[st.integers(0, len(text))] * 2)))
        put = data.draw(
            st.sampled_from(("", " ", "  ", text[begin:end] * 2, "n=3", "#", '"', " n=4", "=", "\t", "é"))
        )
        for line in (text, text[:begin] + put + text[end:]):
            read = quick.read(line, line_no)
            if read is not None:
                thorough = slowly(line, line_no)
                assert read == thorough
                assert isinstance(thorough, Entry) and read.where == thorough.where


def test_plain_lines_never_need_the_thorough_reader(monkeypatch: pytest.MonkeyPatch) -> None:
    lines = [
        "2027-02-01 started north from=starter:bought inoculum=187.5mL n=1",
        "2027-02-08 counted Süd density=9.1e5/mL n=2",
        "2027-02-11 crashed south cause=contamination since=2027-02-09 n=3",
        "2027-02-12 void - entry=3 reason=wrong n=4",
        "2027-02-12 note north foam=some ph=8.4 n=5",
        '2027-02-12 note "big jar" text="a bit # pale, n=3 = odd" smell="of hay" n=6',
    ]
    told = [parse_line(line, n) for n, line in enumerate(lines, start=1)]
    monkeypatch.setattr(book, "parse_line", lambda *_: pytest.fail("read thoroughly"))
    assert list(read_book("\n".join(lines).encode()).entries) == told
