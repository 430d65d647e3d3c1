"""tasks --score, tasks --why, and the bar on a terminal, from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from typed import typed

from greenrota.cli.system import meter as bars
from greenrota.cli.system import rota_at
from greenrota.cli.system.meter import PATIENCE_S, bar_line, meter
from greenrota.errors import ProblemsFound

SHELF = str(Path(__file__).parents[2] / "examples" / "shelf.toml")


def test_the_score_is_printed_alone() -> None:
    result = typed("tasks", SHELF, "--score")
    assert result.exit_code == 0
    assert result.stdout.startswith("shelf: score of the dates as of Mon 2027-02-01, lower is better\n")
    assert "Take care" not in result.stdout


def test_why_tells_of_one_task() -> None:
    result = typed("tasks", SHELF, "--why", "north/1/harvest")
    assert result.exit_code == 0
    assert result.stdout.startswith("harvest north/1 on ")
    assert "Days that were not possible" in result.stdout
    told = json.loads(typed("tasks", SHELF, "--why", "north/1/harvest", "--json").stdout)
    assert told["format"] == "greenrota/tasks/1"
    assert told["why"]["id"] == "north/1/harvest"


@pytest.mark.parametrize(
    ("arguments", "code", "hint"),
    [
        (("--why", "nroth/1/harvset"), "unknown-task", 'did you mean "north/1/harvest"?'),
        (("--why", "north/1/harvest", "--csv"), "one-form", "leave one of them out"),
        (("--why", "north/1/harvest", "--score"), "one-form", "leave one of them out"),
        (("--score", "--markdown"), "one-form", "leave one of them out"),
    ],
)
def test_what_can_not_be_answered_is_refused(arguments: tuple[str, ...], code: str, hint: str) -> None:
    result = typed("tasks", SHELF, *arguments)
    assert isinstance(result.exception, ProblemsFound)
    (problem,) = result.exception.problems
    assert (result.exception.status, problem.code, problem.hint) == (2, code, hint)


def test_an_interrupt_while_planning_ends_with_0_and_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    class Impatient:
        def __enter__(self):  # type: ignore[no-untyped-def]
            def tell(share: float) -> None:
                raise KeyboardInterrupt

            return tell

        def __exit__(self, *_: object) -> None: ...

    monkeypatch.setattr(rota_at, "meter", Impatient)
    result = typed("tasks", SHELF)
    assert result.exit_code == 0
    assert "search cut short" in result.stdout.splitlines()[0]
    assert "[search-cut-short]" in result.stderr
    assert json.loads(typed("tasks", SHELF, "--json").stdout)["score"]["cut_short"] is True


def drawn(*moments: tuple[float, float]) -> list[str]:
    """What is written when shares are told at moments, seconds from the beginning."""
    told: list[str] = []
    now_s = [0.0]
    with meter(lambda: now_s[0], told.append) as tell:
        assert tell is not None
        for now_s[0], share in moments:
            tell(share)
    return told


def test_a_short_search_shows_nothing() -> None:
    assert drawn((0.1, 0.2), (PATIENCE_S - 0.01, 0.9)) == []


def test_a_long_one_shows_a_bar_that_is_wiped() -> None:
    told = drawn((0.5, 0.1), (1.2, 0.4), (1.21, 0.41), (2.0, 0.3), (3.0, 0.9))
    assert len(told) == 4  # three bars, one too soon after another left out, and the wiping
    assert " 40 %" in told[0] and " 41 %" in told[1] and " 90 %" in told[2]  # it does not go back
    assert told[3].strip("\r") == " " * (len(told[2]) - 1)
    assert all(line.startswith("\r") for line in told)


def test_nothing_is_drawn_where_stderr_is_no_terminal(capsys: pytest.CaptureFixture[str]) -> None:
    with meter() as tell:
        assert tell is None
    assert capsys.readouterr() == ("", "")


def test_a_terminal_gets_the_bar(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    monkeypatch.setattr(bars.sys.stderr, "isatty", lambda: True, raising=False)
    late_s = iter((0.0, 9.0))
    with meter(lambda: next(late_s)) as tell:
        assert tell is not None
        tell(0.5)
    assert " 50 %" in capsys.readouterr().err


@pytest.mark.parametrize("columns", [0, 3, 10, 40, 70, 80, 300])
@pytest.mark.parametrize("share", [0.0, 0.5, 1.0, 1.5])
def test_the_bar_keeps_to_its_line(columns: int, share: float) -> None:
    assert len(bar_line(share, columns)) <= columns
