"""A line and its entry. Truth: the line form and its examples as they are promised in the documentation,
and values derived by hand.
"""

from __future__ import annotations

import datetime
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from greenrota.errors import Place, ProblemsFound
from greenrota.logbook import amount
from greenrota.logbook.entry import Entry, format_entry, make_entry, parse_line
from greenrota.planfile.fields import days

DAY = datetime.date(2027, 2, 11)

PROMISED = [
    (
        "2027-02-01 started north from=starter:bought inoculum=187.5mL n=1",
        Entry(
            datetime.date(2027, 2, 1),
            "started",
            "north",
            (("from", "starter:bought"), ("inoculum", 187.5)),
            1,
        ),
    ),
    (
        "2027-02-08 counted north density=9.1e5/mL n=2",
        Entry(datetime.date(2027, 2, 8), "counted", "north", (("density", 910_000.0),), 2),
    ),
    (
        "2027-02-11 crashed south cause=contamination since=2027-02-09 n=3",
        Entry(DAY, "crashed", "south", (("cause", "contamination"), ("since", datetime.date(2027, 2, 9))), 3),
    ),
    (
        '2027-02-12 void - entry=3 reason="wrong vessel" n=4',
        Entry(datetime.date(2027, 2, 12), "void", "-", (("entry", 3), ("reason", "wrong vessel")), 4),
    ),
]


@pytest.mark.parametrize(("line", "entry"), PROMISED)
def test_the_promised_lines_are_read_and_written_as_they_stand(line: str, entry: Entry) -> None:
    assert parse_line(line) == entry
    assert format_entry(entry) == line


def test_values_come_with_their_units() -> None:
    entry = parse_line(
        "2027-02-11 harvested north volume=1.5L keep=800 ml density=9e5/mL".replace(" ml", "mL")
    )
    assert isinstance(entry, Entry)
    assert (entry.volume_ml("volume"), entry.volume_ml("keep")) == (1500.0, 800.0)
    assert entry.density_per_ml("density") == 900_000.0
    assert entry.volume_ml("inoculum") is None
    with pytest.raises(KeyError):
        entry.volume_ml("density")


def test_every_typed_key_is_given_as_its_type() -> None:
    crash = parse_line("2027-02-11 crashed south cause=over-age since=2027-02-09")
    fed = parse_line("2027-02-11 fed north dose=0.5 nutrient=0.8mL")
    void = parse_line("2027-02-11 void - entry=3")
    assert isinstance(crash, Entry) and isinstance(fed, Entry) and isinstance(void, Entry)
    assert (crash.text("cause"), crash.date("since")) == ("over-age", datetime.date(2027, 2, 9))
    assert (fed.figure("dose"), fed.volume_ml("nutrient")) == (0.5, 0.8)
    assert void.entry_number() == 3


@pytest.mark.parametrize(
    ("text", "volume_ml"),
    [("187.5mL", 187.5), ("1.5 L", 1500.0), ("1.005L", 1005.0), ("2e3ml", 2000.0), ("0l", 0.0)],
)
def test_volumes_derived_by_hand(text: str, volume_ml: float) -> None:
    assert amount.read_volume_ml(text) == volume_ml  # exact: a decimal shift, no rounding of its own


@pytest.mark.parametrize(
    "text",
    ["1,5L", "1 500mL", "-3mL", "3", "3 m", "1e999mL", "nanmL", "٣mL", "3ML", "3mL ", "", ".5mL", "0x1mL"],
)
def test_what_is_no_volume_is_never_guessed(text: str) -> None:
    assert amount.read_volume_ml(text) is None


@given(st.floats(0.0, amount.LARGEST).map(abs))
def test_the_shortest_spelling_reads_back_as_the_same_number(number: float) -> None:
    assert amount.read_figure(amount.plain(number)) == number
    assert amount.read_figure(amount.short(number)) == number
    assert len(amount.short(number)) <= len(amount.plain(number))


@pytest.mark.parametrize("number", [-1.0, -0.0, math.nan, math.inf, 1.001e12])
def test_no_spelling_for_what_is_no_amount(number: float) -> None:
    with pytest.raises(ValueError, match="from 0 to"):
        amount.plain(number)


@pytest.mark.parametrize(
    ("line", "code", "marked"),
    [
        ("2027-02-11 feed north", "log-kind", "feed"),
        ("2027-02-30 fed north", "log-date", "2027-02-30"),
        ("11.02.2027 fed north", "log-date", "11.02.2027"),
        ("20270211 fed north", "log-date", "20270211"),
        ("2027-02-11 fed -", "log-subject", "-"),
        ('2027-02-11 fed ""', "log-subject", '""'),
        ("2027-02-11 fed dose=1", "log-line", ""),
        ("2027-02-11 fed north one", "log-line", "one"),
        ("2027-02-11 fed north dos=1", "log-key", "dos=1"),
        ("2027-02-11 fed north volume=1L", "log-key", "volume=1L"),
        ("2027-02-11 fed north dose=1 dose=2", "log-key-twice", "dose=2"),
        ("2027-02-11 fed north dose=3mL", "log-value", "dose=3mL"),
        ("2027-02-11 counted north", "log-key-missing", "counted"),
        ("2027-02-11 counted north density=9e5", "log-value", "density=9e5"),
        ("2027-02-11 crashed north cause=heat", "log-cause", "cause=heat"),
        ("2027-02-11 crashed north since=2027-02-12", "log-since", "since=2027-02-12"),
        ("2027-02-11 void - entry=0", "log-value", "entry=0"),
        ("2027-02-11 fed north n=0", "log-number", "n=0"),
        ("2027-02-11 fed north n=1 n=2", "log-number", "n=2"),
        ("2027-02-11 fed tank#2 dose=1", "log-hash", "tank"),
        ('2027-02-11 note - text="abc', "log-quotes", '"'),
        ('2027-02-11 note - text=a"b"', "log-quotes", '"'),
        (r"2027-02-11 note - text=a\b", "log-quotes", "\\"),
        (r'2027-02-11 note - text="\q"', "log-quotes", r'text="\q"'),
        (r'2027-02-11 note - text="\ud800"', "log-quotes", r'text="\ud800"'),
        ("2027-02-11 note - text=a\x00b", "log-control", "\x00"),
    ],
)
def test_a_faulty_line_says_what_and_where(line: str, code: str, marked: str) -> None:
    problems = parse_line(line, 5, "plan.log")
    assert isinstance(problems, list)
    assert [p.code for p in problems] == [code]
    where = problems[0].where
    assert where == Place("plan.log", 5, line, where.column, where.width)
    assert line[where.column - 1 :][: where.width] == marked if marked else where.column == 0
    assert problems[0].hint


@pytest.mark.parametrize(
    ("line", "meant"),
    [
        ("2027-02-11 feed north", "fed"),
        ("2027-02-11 Harvest north", "harvested"),
        ("2027-02-11 reseed north", "reseeded"),
        ("2027-02-11 harvested north vol=1L", "volume"),
        ("2027-02-11 crashed north cause=overheat", "overheating"),
        ("2027-02-11 crashed north cause=contaminated", "contamination"),
    ],
)
def test_a_near_miss_is_asked_back(line: str, meant: str) -> None:
    problems = parse_line(line)
    assert isinstance(problems, list)
    assert problems[0].hint == f'did you mean "{meant}"?'


def test_every_problem_of_a_line_is_reported_at_once() -> None:
    problems = parse_line("2027-02-30 fed north dos=1 dose=3mL loose n=x")
    assert isinstance(problems, list)
    assert sorted(p.code for p in problems) == ["log-date", "log-key", "log-line", "log-number", "log-value"]


@pytest.mark.parametrize(
    "line", ["", "   \t", "# kept for the winter", "   # 2027-02-11 fed north dose=1 n=1"]
)
def test_blank_lines_and_remarks_are_no_entries(line: str) -> None:
    assert parse_line(line) is None


@pytest.mark.parametrize("space", [" ", ""])
def test_a_remark_ends_the_entry_but_not_inside_quotes(space: str) -> None:
    entry = parse_line(f'2027-02-11 discarded "jar #2" volume=1L{space}# smelled  # badly')
    assert entry == Entry(DAY, "discarded", "jar #2", (("volume", 1000.0),), remark="smelled  # badly")


def test_a_remark_of_two_lines_is_refused() -> None:
    with pytest.raises(ValueError, match="one line"):
        format_entry(Entry(DAY, "fed", "north", remark="one\ntwo"))


def test_dangerous_characters_are_written_as_escapes() -> None:
    line = format_entry(Entry(DAY, "note", "-", (("text", 'say "hi"\n\t\\ \u202eabc\x1b[2J'),)))
    assert line == r'2027-02-11 note - text="say \"hi\"\n\t\\ \u202eabc\u001b[2J"'


def test_an_entry_made_from_options_says_which_option_is_wrong() -> None:
    texts = [("inoculum", "1,5 L"), ("from", "\udc80")]
    with pytest.raises(ProblemsFound) as found:
        make_entry(DAY, "started", "north", texts, lambda name: Place(f"--{name}"))
    assert [(p.code, p.where.file) for p in found.value.problems] == [
        ("log-value", "--inoculum"),
        ("log-value", "--from"),
    ]
    with pytest.raises(ProblemsFound):
        make_entry(DAY, "fed", "\udc80", [], lambda name: Place(name))


def test_plan_and_logbook_take_the_same_years() -> None:
    assert (amount.FIRST_YEAR, amount.LAST_YEAR) == (days.FIRST_YEAR, days.LAST_YEAR)
    for text in ("0001-01-01", "1969-12-31", "2200-01-01", "9999-12-31"):
        assert amount.read_date(text) is None
    assert amount.read_date("1970-01-01") == datetime.date(1970, 1, 1)
