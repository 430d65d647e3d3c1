"""What becomes of an exception: status and text, in process."""

import errno
import sys

import pytest

from greenrota import __main__ as front
from greenrota.cli import main as entry
from greenrota.errors import Place, Problem, ProblemsFound

PROBLEM = Problem("some-code", Place("plan.toml", 3), "what is wrong", "what to do")


def ending(monkeypatch: pytest.MonkeyPatch, error: BaseException) -> object:
    """The exit status when the program meets this error."""

    def failing() -> object:
        raise error

    monkeypatch.setattr(entry, "build", failing)
    with pytest.raises(SystemExit) as end:
        entry.main()
    return end.value.code


@pytest.mark.parametrize("status", [1, 2])
def test_problems_are_shown_and_give_their_status(
    status: int, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert ending(monkeypatch, ProblemsFound([PROBLEM, PROBLEM], status)) == status
    shown = capsys.readouterr()
    assert shown.out == ""
    assert shown.err == "plan.toml:3: what is wrong [some-code]\nhint: what to do\n" * 2


def test_an_interrupt_is_quiet(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    assert ending(monkeypatch, KeyboardInterrupt()) == 130  # shell convention: 128 + signal 2
    assert capsys.readouterr() == ("", "")


def test_a_file_out_of_reach_is_a_problem(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    assert ending(monkeypatch, PermissionError(errno.EACCES, "Permission denied", "plan.toml")) == 1
    assert capsys.readouterr().err.startswith(
        "plan.toml: can not be read or written: permission denied [cannot-read]"
    )


def test_an_interrupt_before_all_is_loaded_is_quiet_too(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    class Interrupted:
        def __getattr__(self, name: str) -> object:
            raise KeyboardInterrupt

    monkeypatch.setitem(sys.modules, "greenrota.cli.main", Interrupted())
    with pytest.raises(SystemExit) as end:
        front.main()
    assert end.value.code == 130  # shell convention: 128 + signal 2
    assert capsys.readouterr() == ("", "")
