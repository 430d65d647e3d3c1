"""What a shell is offered at the tab key, asked as bash, zsh and fish ask."""

import os
import subprocess
import sys
from pathlib import Path
from unittest.mock import patch

import pytest
from run_here import run_here

PLAN = """\
[[starter]]
name = "bought"
[[nutrient]]
name = "f2"
[[vessel]]
name = "north"
[[vessel]]
name = "south"
[[vessel]]
name = "by the door"
"""


def asked(shell: str, line: str) -> dict[str, str]:
    """What the completion script of a shell puts into the environment, with the cursor at the end of the line."""
    return {
        "_GREENROTA_COMPLETE": f"complete_{shell}",
        "COMP_WORDS": line,
        "COMP_CWORD": str(len(line.split(" ")) - 1),
        "_TYPER_COMPLETE_ARGS": line,
        "_TYPER_COMPLETE_FISH_ACTION": "get-args",
    }


def ask(folder: Path, shell: str, line: str) -> subprocess.CompletedProcess[str]:
    """One run of the program as a shell starts it."""
    return subprocess.run(
        [sys.executable, "-m", "greenrota"],
        capture_output=True,
        encoding="utf-8",
        cwd=folder,
        env={**os.environ, **asked(shell, line)},
        timeout=60,
    )


def offered(folder: Path, line: str) -> list[str]:
    """What bash is offered, asked in this process: the shells themselves are asked below."""
    with patch.dict(os.environ, asked("bash", line)):
        done = run_here(folder)
    assert done.stderr == ""
    return done.stdout.split()


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    (tmp_path / "plan.toml").write_text(PLAN, encoding="utf-8")
    (tmp_path / "inner").mkdir()
    return tmp_path


def test_commands_and_options(shelf: Path) -> None:
    assert offered(shelf, "greenrota ta") == ["tasks"]
    assert offered(shelf, "greenrota reckon sal") == ["salinity", "salt"]
    assert offered(shelf, "greenrota tasks --v") == ["--vessel"]
    assert offered(shelf, "greenrota card --size a") == ["a4", "a5", "a6"]


def test_every_shell_is_answered_in_its_own_way(shelf: Path) -> None:
    assert ask(shelf, "bash", "greenrota ta").stdout.split() == ["tasks"]
    assert '"tasks":' in ask(shelf, "zsh", "greenrota ta").stdout
    assert ask(shelf, "fish", "greenrota ta").stdout.startswith("tasks\t")


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("greenrota growth n", ["north"]),
        (
            "greenrota calibrate ",
            ["north", "south"],
        ),  # a name with a space would have to be quoted by each shell
        ("greenrota tasks --vessel s", ["south"]),
        ("greenrota card --nutrient ", ["f2"]),
        ("greenrota log started north s", ["south"]),
        ("greenrota log started north --from ", ["starter:bought", "north", "south"]),
        ("greenrota log sta", ["started"]),
        ("greenrota log crashed north --cause over", ["overheating", "over-age"]),
        ("greenrota reckon dose 4 1 --medium f", ["f/2", "f/2-Si"]),
    ],
)
def test_names_of_the_plan_found_and_words_of_the_logbook(shelf: Path, line: str, words: list[str]) -> None:
    assert offered(shelf / "inner", line) == words


def test_the_plan_on_the_line_goes_before_the_one_found(shelf: Path) -> None:
    (shelf / "other.toml").write_text('[[vessel]]\nname = "nook"\n', encoding="utf-8")
    assert offered(shelf, "greenrota tasks other.toml --vessel n") == ["nook"]
    assert offered(shelf, "greenrota log done --plan other.toml n") == ["nook"]


@pytest.mark.parametrize("text", ["vessel = 3", "[[vessel]]\nname = 4", "vessel = [1]", "not toml", "\0"])
def test_a_plan_that_can_not_be_read_offers_nothing_and_says_nothing(tmp_path: Path, text: str) -> None:
    (tmp_path / "plan.toml").write_text(text, encoding="utf-8")
    assert offered(tmp_path, "greenrota growth ") == []
    assert offered(tmp_path, "greenrota tasks none.toml --vessel ") == []


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_the_script_asks_for_the_program_by_its_name(tmp_path: Path, shell: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "greenrota", "--show-completion", shell],
        capture_output=True,
        encoding="utf-8",
        cwd=tmp_path,
        env={**os.environ, "_TYPER_COMPLETE_TEST_DISABLE_SHELL_DETECTION": "1"},
        timeout=60,
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert f"_GREENROTA_COMPLETE=complete_{shell}" in done.stdout
