"""No page breaks a word, in a title, a table or a text, on a screen of 80 columns nor on one of 60.

Truth: what the same command shows where nothing is wrapped, on a screen of 1000 columns or in a pipe. A word on the
narrow screen that does not stand there is a piece of one.
"""

from __future__ import annotations

import io
import re
import shlex
import sys
from pathlib import Path
from unittest.mock import patch

import pytest
from console import Screen
from typed import typed

from greenrota.cli.main import main as greenrota
from greenrota.cli.reckon.reckon import RECKONINGS
from greenrota.cli.table import COMMANDS

EXAMPLES = Path(__file__).parents[2] / "examples"
LOG = """\
2027-02-03 started north from=starter:bought inoculum=187.5mL n=1
2027-02-03 started south from=starter:bought inoculum=187.5mL n=2
2027-02-05 counted north cells=61 squares=4 n=3
2027-02-07 counted north cells=118 squares=4 n=4
2027-02-09 counted north cells=104 squares=4 dilution=2 n=5
2027-02-10 crashed south cause=contamination since=2027-02-09 n=6
"""
LIVED = ("--on", "2027-02-10")
MORE = {"risk": ("--seasons", "50"), "size": ("--seasons", "100", "--most", "1")}
OTHERS = (
    "greenrota tasks examples/shelf.toml --why all",
    "greenrota tasks examples/shelf.toml --why north/1/harvest",
    "greenrota tasks examples/shelf.toml --score",
    "greenrota card examples/shelf.toml",
    "greenrota card examples/us-pair.toml",
    "greenrota away examples/shelf.toml --note",
    "greenrota lineage examples/shelf.toml --planned",
)
HELPED = [
    *(each.name for each in COMMANDS),
    *(f"reckon {command.__name__}" for _, command, _ in RECKONINGS),
]
TIMES = {"x"}  # a sign, where a narrow screen gets a list in place of a table
ASKED = [*(each.example for each in COMMANDS), *(example for *_, example in RECKONINGS)]


def writes(asked: str) -> bool:
    """Whether a command writes a file or an entry, and prints no page."""
    return shlex.split(asked)[1] in ("log", "new", "labels", "sheet", "calendar")


@pytest.fixture
def shelf(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The example plans, cut short and with a logbook, in the working folder."""
    monkeypatch.chdir(tmp_path)
    (tmp_path / "examples").mkdir()
    for plan in EXAMPLES.glob("*.toml"):
        text = re.sub(r"^days( *)= \d+", r"days\1= 24", plan.read_text(encoding="utf-8"), flags=re.MULTILINE)
        (tmp_path / "examples" / plan.name).write_text(text, encoding="utf-8")
    (tmp_path / "examples" / "shelf.log").write_text(LOG, encoding="utf-8")


def on_screen(columns: int, words: list[str]) -> str:
    """What a command prints on a terminal of so many columns."""
    screen = Screen()
    with (
        patch.object(sys, "argv", ["greenrota", *words]),
        patch.object(sys, "stdout", screen),
        patch.object(sys, "stderr", io.StringIO()),
        patch.dict("os.environ", {"COLUMNS": str(columns), "LINES": "500", "TERM": "dumb"}),
        pytest.raises(SystemExit) as end,
    ):
        greenrota()
    assert not end.value.code, words
    return screen.getvalue()


def words_of(text: str) -> set[str]:
    """The words of a page without stops; bars, frames and the curves of a chart are none."""
    return {word.strip(".,:;()") for word in text.split() if re.search(r"[A-Za-z]", word)}


@pytest.mark.parametrize("asked", [each for each in dict.fromkeys([*ASKED, *OTHERS]) if not writes(each)])
def test_no_word_is_broken(asked: str, shelf: None) -> None:
    words = [*shlex.split(asked)[1:]]
    words += MORE.get(words[0], ())
    if "examples/shelf.toml" in words and "--on" not in words and words[0] != "size":
        words += LIVED
    whole = words_of(typed(*words).output) | words_of(on_screen(1000, words))
    assert whole
    for columns in (80, 60):
        broken = words_of(on_screen(columns, words)) - whole - TIMES
        assert not broken, (columns, broken)


@pytest.mark.parametrize("name", ["", *HELPED])
def test_no_word_of_the_help_is_broken(name: str) -> None:
    words = [*name.split(), "--help"]
    whole = words_of(on_screen(1000, words))
    for columns in (80, 60):
        broken = words_of(on_screen(columns, words)) - whole
        assert not broken, (columns, broken)


def test_a_broken_word_is_found() -> None:
    assert words_of("harv\nest 2.40 L (at 80 %)") - words_of("harvest 2.40 L (at 80 %).") == {"harv", "est"}
