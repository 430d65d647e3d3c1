"""The one form in which a problem is shown (house style, item 7)."""

from greenrota.errors import Place, Problem
from greenrota.views.problem import render_problem

LINE = "inoculum = 20"


def test_the_whole_form() -> None:
    problem = Problem(
        "inoculum-share",
        Place("plan.toml", 9, LINE, column=12, width=2),
        'vessel "B": inoculum 20 is more than the whole vessel',
        hint="did you mean 0.20?",
        wanted="a share between 0 and 1 is wanted",
    )
    assert render_problem(problem).splitlines() == [
        'plan.toml:9: vessel "B": inoculum 20 is more than the whole vessel [inoculum-share]',
        "      9 | inoculum = 20",
        "        |            ^^ a share between 0 and 1 is wanted",
        "hint: did you mean 0.20?",
    ]


def test_a_line_without_a_column_still_says_what_is_wanted() -> None:
    shown = render_problem(Problem("c", Place("plan.toml", 9, LINE), "what", wanted="a share"))
    assert shown.splitlines()[1:] == ["      9 | inoculum = 20", "        | a share"]


def test_neither_place_nor_text() -> None:
    assert render_problem(Problem("c", Place(), "what")) == "what [c]"
    assert (
        render_problem(Problem("c", Place("--on"), "what", wanted="a date"))
        == "--on: what [c]\nwanted: a date"
    )


def test_the_mark_stands_under_what_is_shown_not_under_what_is_stored() -> None:
    # a tab is shown as one space, a wide character takes two columns, an escape is shown in four
    text = "\t\u5317 = \x1b20"
    where = Place("plan.toml", 3, text, column=text.index("20") + 1, width=2)
    _, line, mark, *_ = render_problem(Problem("c", where, "what")).splitlines()
    assert line == "      3 |  \u5317 = \\x1b20"
    assert mark == "        | " + " " * (1 + 2 + 3 + 4) + "^^"


def test_nothing_from_the_file_reaches_the_terminal_raw() -> None:
    evil = "\x1b]0;title\x07\r\n"
    problem = Problem("c", Place("plan\x1b.toml", 1, "name = " + evil, 8, 3), evil, hint=evil, wanted=evil)
    shown = render_problem(problem)
    assert not any(c in shown for c in "\x1b\x07\r")
    assert len(shown.splitlines()) == 4


def test_an_endless_line_is_shown_around_the_mark() -> None:
    text = "a" * 5000 + "!" + "b" * 5000
    _, line, mark, *_ = render_problem(Problem("c", Place("p", 1, text, 5001, 1), "what")).splitlines()
    assert len(line) < 200
    assert line[mark.index("^")] == "!"
    _, line, mark, *_ = render_problem(Problem("c", Place("p", 1, text, 2, 1), "what")).splitlines()
    assert mark.index("^") == line.index("a") + 1
