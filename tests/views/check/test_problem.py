"""The one form in which a problem is shown (house style, item 7)."""

from greenrota.errors import Place, Problem
from greenrota.views.check.problem import render_problem

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
        "  line 9  inoculum = 20",
        "  there   20: a share between 0 and 1 is wanted",
        "hint: did you mean 0.20?",
    ]


def test_a_line_without_a_column_still_says_what_is_wanted() -> None:
    shown = render_problem(Problem("c", Place("plan.toml", 9, LINE), "what", wanted="a share"))
    assert shown.splitlines()[1:] == ["  line 9  inoculum = 20", "  there   a share"]


def test_neither_place_nor_text() -> None:
    assert render_problem(Problem("c", Place(), "what")) == "what [c]"
    assert (
        render_problem(Problem("c", Place("--on"), "what", wanted="a date"))
        == "--on: what [c]\nwanted: a date"
    )


def test_a_line_of_which_all_is_meant_is_said_once() -> None:
    shown = render_problem(Problem("c", Place("plan.toml", 12, " [[vessel]]\n", column=2, width=10), "what"))
    assert shown.splitlines()[1:] == ["  line 12  [[vessel]]"]


def test_something_lacking_behind_the_last_word_is_told_as_such() -> None:
    shown = render_problem(Problem("c", Place("plan.toml", 3, 'name = "a', column=10), "what"))
    assert shown.splitlines()[1:] == ['  line 3  name = "a', "  there   at the end of the line"]


def test_what_is_meant_is_cut_out_of_what_is_stored_not_of_what_is_shown() -> None:
    # a tab before the line is left out, an escape is shown in four characters; columns count what the file holds
    text = "\t\u5317 = \x1b20 # x"
    where = Place("plan.toml", 3, text, column=text.index("20") + 1, width=2)
    _, line, there = render_problem(Problem("c", where, "what")).splitlines()
    assert line == "  line 3  \u5317 = \\x1b20 # x"
    assert there == "  there   20"


def test_nothing_from_the_file_reaches_the_terminal_raw() -> None:
    evil = "\x1b]0;title\x07\r\n"
    problem = Problem("c", Place("plan\x1b.toml", 1, "name = " + evil, 8, 3), evil, hint=evil, wanted=evil)
    shown = render_problem(problem)
    assert not any(c in shown for c in "\x1b\x07\r")
    assert len(shown.splitlines()) == 4


def test_an_endless_line_is_shown_around_what_is_meant() -> None:
    text = "a" * 5000 + "!" + "b" * 5000
    _, line, there = render_problem(Problem("c", Place("p", 1, text, 5001, 1), "what")).splitlines()
    assert len(line) < 200
    assert "a!b" in line
    assert there.split() == ["there", "!"]
    _, line, there = render_problem(Problem("c", Place("p", 1, text, 2, 4000), "what")).splitlines()
    assert line.split()[2].startswith("aaa")
    assert len(there) < 200


def test_what_is_said_is_wrapped_to_a_screen_and_nothing_is_lost() -> None:
    place = Place("plan.toml", 9, "keep = 20", 8, 2)
    problem = Problem(
        "share", place, "a share of twenty is more than the whole", "did you mean 0.20 of it?", "a share"
    )
    narrow = render_problem(problem, 30)
    assert all(len(line) <= 30 for line in narrow.splitlines())
    assert narrow.split() == render_problem(problem).split()
