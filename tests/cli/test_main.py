"""The command line as a stranger meets it: exit statuses, hints, and nothing that looks like a crash."""

import os
import subprocess
import sys
from pathlib import Path

import pytest
from run_here import run_here

from greenrota import __version__
from greenrota.cli.reckon.reckon import RECKONINGS
from greenrota.cli.table import COMMANDS, GROUPS

PROGRAM = [sys.executable, "-m", "greenrota"]


def run(*arguments: str, cwd: Path | None = None, **environment: str) -> subprocess.CompletedProcess[str]:
    """One run of the program without a terminal."""
    return subprocess.run(
        [*PROGRAM, *arguments],
        capture_output=True,
        encoding="utf-8",
        stdin=subprocess.DEVNULL,
        cwd=cwd,
        env={**os.environ, **environment},
        timeout=60,
    )


def test_version_goes_to_stdout() -> None:
    done = run("--version")
    assert (done.returncode, done.stdout, done.stderr) == (0, f"greenrota {__version__}\n", "")


def test_no_line_of_the_help_is_cut(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    for words in ((), ("reckon",)):
        shown = run_here(tmp_path, *words, "--help").stdout
        assert len(shown.splitlines()) > 10
        assert "..." not in shown.replace("[ARGS]...", "")


def test_help_lists_the_commands_by_moment() -> None:
    done = run("-h")
    assert done.returncode == 0
    sections = [line.rstrip(":") for line in done.stdout.splitlines() if line.endswith(":")]
    moments = list(dict.fromkeys(each.moment for each in (*COMMANDS, *GROUPS)))
    assert sections == ["Options", *moments]
    assert done.stdout == run("--help").stdout


@pytest.mark.parametrize("name", [each.name for each in (*COMMANDS, *GROUPS)])
def test_a_command_says_of_itself_what_the_help_says_of_it_and_has_an_example(
    name: str, tmp_path: Path
) -> None:
    (listed,) = [each for each in (*COMMANDS, *GROUPS) if each.name == name]
    done = run_here(tmp_path, name, "--help")
    assert done.returncode == 0
    about = " ".join(done.stdout.split("\n\n", 1)[1].split())
    assert about.startswith(f"{listed.line} ")
    if listed in COMMANDS:
        assert f"Example: greenrota {name}" in about


def test_the_help_loads_no_command() -> None:
    asked = "import sys, greenrota.cli.main as m; sys.argv[1:] = ['--help']\ntry: m.main()\nexcept SystemExit: pass\n"
    asked += "print(*sorted(name for name in sys.modules if name.startswith('greenrota.')))"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, encoding="utf-8", check=True)
    loaded = set(done.stdout.splitlines()[-1].split())
    assert loaded == {
        "greenrota.cli",
        "greenrota.cli.main",
        "greenrota.cli.options",
        "greenrota.cli.options.moments",
        "greenrota.cli.table",
        "greenrota.errors",
    }


@pytest.mark.parametrize(
    ("typed", "meant"), [(("nwe",), "'new'"), (("reckn",), "'reckon'"), (("reckon", "slat"), "'salt'")]
)
def test_a_mistyped_command_is_guessed(typed: tuple[str, ...], meant: str, tmp_path: Path) -> None:
    done = run_here(tmp_path, *typed)
    assert (done.returncode, done.stdout) == (2, "")
    assert f"Did you mean {meant}" in done.stderr


@pytest.mark.parametrize("typed", [(), ("new", "--no-such"), ("reckon", "salt", "4 L"), ("new", "a", "b")])
def test_a_wrong_command_line_ends_with_2(typed: tuple[str, ...], tmp_path: Path) -> None:
    done = run_here(tmp_path, *typed)
    assert done.returncode == 2
    assert done.stdout == ""
    assert "Traceback" not in done.stderr
    if typed:  # without any word the help is shown
        assert done.stderr.splitlines()[0].endswith("[bad-usage]")
        assert done.stderr.splitlines()[1].startswith("hint: usage: ")


def test_a_file_that_can_not_be_written_is_a_problem_not_a_crash(tmp_path: Path) -> None:
    done = run("new", str(tmp_path / "missing" / "plan.toml"))
    assert done.returncode == 1
    assert "[cannot-read]" in done.stderr.splitlines()[0]
    assert "Traceback" not in done.stderr


def test_a_reader_that_goes_away_is_no_error() -> None:
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run(
        [*PROGRAM, *EXAMPLE_ARGUMENTS], stdout=writing, stderr=subprocess.PIPE, encoding="utf-8", timeout=60
    )
    os.close(writing)
    assert (done.returncode, done.stderr) == (0, "")


EXAMPLE_ARGUMENTS = ["reckon", "count", "100"]


@pytest.mark.parametrize(
    ("encoding", "shown"),
    [("ascii", "4 uL \\u5317"), ("utf-8", "4 \u00b5L \u5317"), ("utf-8:strict", "4 \u00b5L \u5317")],
)
def test_any_output_encoding_will_do(encoding: str, shown: str) -> None:
    done = run("reckon", "dose", "4 \u00b5L \u5317", "0.2 mL/L", PYTHONIOENCODING=encoding)
    assert done.returncode == 2
    assert done.stderr.startswith(f'VOLUME: "{shown}"')


def test_what_is_typed_can_not_steer_the_terminal(tmp_path: Path) -> None:
    for typed in (
        ["reckon", "dose", "\x1b[2J\u202e", "1 mL/L"],
        ["\x1b[2J\u202e"],
        ["new", "--on", "\x1b[2J\u202e"],
        ["tasks", "plan.toml", "\x1b[2J\u202e"],
    ):
        done = run_here(tmp_path, *typed)
        assert done.returncode == 2
        assert "\x1b" not in done.stderr
        assert "\u202e" not in done.stderr


SEVERAL = """
import sys
from greenrota.cli.main import main
for words in (["--help"], ["nwe"], {last!r}):
    sys.argv = ["greenrota", *words]
    try:
        main()
    except SystemExit:
        pass
"""


@pytest.mark.parametrize("environment", [{"NO_COLOR": "1"}, {"FORCE_COLOR": "1"}, {}], ids=str)
def test_nothing_is_coloured_whatever_the_environment_says(environment: dict[str, str]) -> None:
    done = subprocess.run(
        [sys.executable, "-c", SEVERAL.format(last=EXAMPLE_ARGUMENTS)],
        capture_output=True,
        encoding="utf-8",
        env={**os.environ, **environment},
        timeout=60,
    )
    assert "Usage" in done.stdout and "[bad-usage]" in done.stderr and "cells" in done.stdout
    assert "\x1b" not in done.stdout + done.stderr


def test_examples_of_the_reckonings_name_their_own_command() -> None:
    assert all(f"greenrota reckon {command.__name__} " in example for _, command, example in RECKONINGS)


@pytest.mark.parametrize("closing", [">&-", "2>&-", ">&- 2>&-", "<&-"])
def test_closed_streams_are_no_crash(closing: str) -> None:
    done = subprocess.run(
        ["sh", "-c", f'exec "$0" "$@" {closing}', *PROGRAM, *EXAMPLE_ARGUMENTS],
        capture_output=True,
        encoding="utf-8",
        timeout=60,
    )
    assert (done.returncode, done.stderr) == (0, "")
