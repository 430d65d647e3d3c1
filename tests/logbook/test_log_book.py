"""The whole book: nothing dropped in silence, gaps and doubles seen, voids taken back.

Truth: derived by hand.
"""

from __future__ import annotations

import pytest

from greenrota.logbook.book import Book, culture, read_book

FED = "2027-02-0{day} fed {vessel} dose=1 n={n}\n"


def _book(text: str) -> Book:
    return read_book(text.encode("utf-8"), "plan.log")


def _found(book: Book) -> list[tuple[str, int]]:
    return [(problem.code, problem.where.line) for problem in book.problems]


def _noted(book: Book) -> list[tuple[str, int]]:
    return [(notice.code, notice.where.line) for notice in book.notices]


def test_an_empty_book_is_a_book() -> None:
    assert read_book(b"") == Book()
    assert _book("# only a remark\n\n") == Book()


def test_an_unreadable_line_is_reported_and_the_others_are_read() -> None:
    book = _book("2027-02-01 fed north dose=1 n=1\nwhat happened\n2027-02-02 fed north dose=1 n=2\n")
    assert [entry.number for entry in book.entries] == [1, 2]
    assert _found(book) == [("log-line", 2)]
    assert book.problems[0].where.text == "what happened"


def test_a_damaged_line_with_its_number_left_is_no_gap() -> None:
    book = _book("2027-02-01 fed north n=1\n2027-02-01 fde north n=2\n2027-02-02 fed north n=3\n")
    assert _found(book) == [("log-kind", 2)]


def test_byte_order_mark_and_carriage_returns_are_taken_as_they_come() -> None:
    book = read_book(b"\xef\xbb\xbf2027-02-01 fed north n=1\r\n# a remark\r\n2027-02-02 fed north n=2\r\n")
    assert [entry.number for entry in book.entries] == [1, 2]
    assert book.problems == book.notices == ()


def test_bad_utf8_spoils_its_own_line_only() -> None:
    book = read_book(b"2027-02-01 fed north n=1\n2027-02-01 fed n\xf6rd n=2\n2027-02-02 fed north n=3\n")
    assert [entry.number for entry in book.entries] == [1, 3]
    assert _found(book) == [("log-encoding", 2)]
    assert "n�rd" in book.problems[0].where.text


def test_another_encoding_is_one_problem_not_hundreds() -> None:
    assert _found(read_book("2027-02-01 fed north\n".encode("utf-16"))) == [("log-encoding", 0)]


@pytest.mark.parametrize(
    ("numbers", "gaps"),
    [
        ([1, 2, 3], []),
        ([1, 3], [2]),
        ([2, 3], [1]),
        ([1, 4, 9], [2, 3]),
        ([3, 1, 2], []),
        ([999_999_999], [1]),
    ],
)
def test_gaps_are_reported_where_they_end(numbers: list[int], gaps: list[int]) -> None:
    book = _book("".join(FED.format(day=1, vessel="north", n=n) for n in numbers))
    assert _found(book) == [("log-gap", line) for line in gaps]
    assert len(book.entries) == len(numbers)


def test_a_gap_names_every_number_that_is_missing() -> None:
    book = _book(FED.format(day=1, vessel="north", n=1) + FED.format(day=1, vessel="north", n=5))
    assert "numbers 2 to 4 are missing" in book.problems[0].what


def test_a_number_used_twice_for_different_entries_is_a_problem_and_both_stay() -> None:
    book = _book(FED.format(day=1, vessel="north", n=1) + FED.format(day=1, vessel="south", n=1))
    assert [entry.subject for entry in book.entries] == ["north", "south"]
    assert _found(book) == [("log-number-twice", 2)]


def test_the_same_line_twice_counts_once_and_is_said() -> None:
    book = _book(FED.format(day=1, vessel="north", n=1) * 2)
    assert len(book.entries) == 1
    assert (_found(book), _noted(book)) == ([], [("log-doubled", 2)])


def test_lines_by_hand_need_no_number_and_keep_their_place() -> None:
    book = _book("2027-02-02 fed b n=1\n2027-02-01 fed c\n2027-02-02 fed a\n2027-02-01 fed d n=2\n")
    assert [entry.subject for entry in book.entries] == ["b", "c", "a", "d"]
    assert [entry.subject for entry in culture(book.entries)] == ["c", "d", "b", "a"]
    assert _found(book) == []


def test_two_equal_lines_by_hand_are_two_entries() -> None:
    assert len(_book("2027-02-02 fed north dose=1\n" * 2).entries) == 2


def test_a_cut_last_line_is_reported_with_number_and_text() -> None:
    book = _book("2027-02-01 fed north n=1\n2027-02-02 fed north do")
    assert _found(book) == [("log-torn", 2)]
    assert book.problems[0].where.text == "2027-02-02 fed north do"


def test_a_last_line_that_may_be_cut_is_kept_and_said() -> None:
    book = _book("2027-02-01 fed north n=1\n2027-02-02 fed north dose=1")
    assert len(book.entries) == 2
    assert (_found(book), _noted(book)) == ([], [("log-torn", 2)])


@pytest.mark.parametrize("end", [" n=2", " # by hand"])
def test_a_last_line_that_is_whole_needs_no_line_end(end: str) -> None:
    book = _book("2027-02-01 fed north n=1\n2027-02-02 fed north dose=1" + end)
    assert len(book.entries) == 2
    assert book.problems == book.notices == ()


def test_a_void_takes_back_what_it_names() -> None:
    book = _book("2027-02-01 fed a n=1\n2027-02-01 fed b n=2\n2027-02-03 void - entry=1 n=3\n")
    assert [entry.subject for entry in culture(book.entries)] == ["b"]
    assert len(book.entries) == 3
    assert _found(book) == []


def test_a_void_that_is_voided_restores() -> None:
    lines = "2027-02-01 fed a n=1\n2027-02-03 void - entry=1 n=2\n2027-02-03 void - entry=2 n=3\n"
    assert [entry.subject for entry in culture(_book(lines).entries)] == ["a"]
    assert culture(_book(lines + "2027-02-04 void - entry=3 n=4\n").entries) == ()


def test_a_void_by_hand_needs_no_number() -> None:
    lines = "2027-02-01 fed a n=1\n2027-02-03 void - entry=1 n=2\n2027-02-03 void - entry=2\n"
    assert [entry.subject for entry in culture(_book(lines).entries)] == ["a"]


@pytest.mark.parametrize(
    ("named", "code"), [(9, "log-void-missing"), (2, "log-void-itself"), (3, "log-void-later")]
)
def test_a_void_of_nothing_itself_or_the_future_is_a_problem_and_takes_nothing_back(
    named: int, code: str
) -> None:
    book = _book(f"2027-02-01 fed a n=1\n2027-02-01 void - entry={named} n=2\n2027-02-01 fed b n=3\n")
    assert _found(book) == [(code, 2)]
    assert [entry.subject for entry in culture(book.entries)] == ["a", "b"]
