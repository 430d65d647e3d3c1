"""A word-for-word snapshot of every page in every form: what our own program printed, so a change is seen; no truth.

After a change: GREENROTA_SNAPSHOTS=write pytest tests/views/test_snapshots.py, and read the difference.

A page on the screen is kept as 80 columns show it, with what goes to stderr below it. Of a PDF that is kept which the
typesetter gets. In HTML and SVG each element begins a line, so that a difference can be read. A number of more than
nine figures is kept with nine, for its last ones depend on the machine.
"""

from __future__ import annotations

import json
import os
import re
import shlex
import shutil
from datetime import UTC, datetime
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
import typer
from page_words import CHOOSES_ONLY, FORMS, PAGES, WRITTEN
from run_here import run_here

from greenrota.cli.main import build
from greenrota.cli.planning import risk
from greenrota.cli.system import clock, out
from greenrota.cli.table import COMMANDS as TABLE

FOLDER = Path(__file__).parent / "snapshots"
JAR = Path(__file__).parent / "jar"
_LONG_NUMBER = re.compile(r"\d+\.\d{8,}(?:e[-+]?\d+)?")


@pytest.fixture
def jars(tmp_path: Path) -> Path:
    """A folder with the jars, and the logbook beside two of them: whole, and without its last line."""
    for file in JAR.iterdir():
        shutil.copy(file, tmp_path)
    for name in ("lived", "counted"):
        shutil.copy(JAR / "jar.toml", tmp_path / f"{name}.toml")
    lines = (JAR / "lived.log").read_text(encoding="utf-8").splitlines(keepends=True)
    (tmp_path / "counted.log").write_text("".join(lines[:-1]), encoding="utf-8")
    return tmp_path


@pytest.fixture(autouse=True)
def typeset(monkeypatch: pytest.MonkeyPatch) -> list[dict[str, str]]:
    """What the typesetter got; also a screen of 80 columns, one moment, and seasons that take a second."""
    import typst

    given: list[dict[str, str]] = []

    def compiled(source: bytes, sys_inputs: dict[str, str], format: str) -> bytes:
        given.append(sys_inputs)
        return b"%PDF-1.7 stands for a page\n"

    seconds = iter(range(100))
    monkeypatch.setattr(typst, "compile", compiled)
    monkeypatch.setattr(out, "screen_width", lambda: 80)
    monkeypatch.setattr(out, "aside_width", lambda: 80)
    monkeypatch.setattr(clock, "now", lambda: datetime(2027, 2, 1, 8, 0, tzinfo=UTC))
    monkeypatch.setattr(risk, "time", SimpleNamespace(perf_counter=lambda: float(next(seconds))))
    return given


@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_as_its_snapshot(name: str, jars: Path, typeset: list[dict[str, str]]) -> None:
    made = printed(name, jars, typeset)
    file = FOLDER / name
    if os.environ.get("GREENROTA_SNAPSHOTS") == "write":
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(made, encoding="utf-8", newline="\n")
    assert file.is_file(), "no snapshot yet: write it with GREENROTA_SNAPSHOTS=write and read it"
    assert made == file.read_text(encoding="utf-8")


def printed(name: str, folder: Path, typeset: list[dict[str, str]]) -> str:
    """The page of that name as it is kept."""
    suffix = name[name.index(".") :]
    file = folder / f"made{'.pdf' if suffix == '.pdf.json' else suffix}"
    done = run_here(folder, *(file.name if word == "FILE" else word for word in shlex.split(PAGES[name])))
    if suffix == ".txt":
        aside = f"\n--- stderr, status {done.returncode} ---\n{done.stderr}" if done.err else ""
        return done.stdout + aside
    if suffix == ".pdf.json":
        [[data]] = [given.values() for given in typeset]
        return json.dumps(json.loads(data), ensure_ascii=False, indent=1) + "\n"
    if file.exists():
        text = file.read_bytes().decode("utf-8").replace("\r\n", "\n")
        return text.replace("><", ">\n<") if suffix in (".html", ".svg") else text
    assert done.out, done.stderr
    return _LONG_NUMBER.sub(lambda number: f"{float(number[0]):.9g}", done.stdout)


def test_no_snapshot_is_left_over() -> None:
    found = {file.relative_to(FOLDER).as_posix() for file in FOLDER.rglob("*") if file.is_file()}
    assert found - set(PAGES) == set()


def commands() -> dict[str, list[str]]:
    """The options of every command, by its words."""
    found: dict[str, list[str]] = {}

    def add(command: Any, words: tuple[str, ...]) -> None:
        if not hasattr(command, "list_commands"):
            found[" ".join(words)] = [p.opts[0] for p in command.params if p.param_type_name == "option"]
            return
        asked = typer.Context(command)  # a command is loaded when it is asked for
        for name in command.list_commands(asked):
            add(command.resolve_command(asked, [name])[1], (*words, name))

    add(typer.main.get_command(build()), ())
    return found


COMMANDS = commands()


def typed_for(command: str) -> dict[str, list[str]]:
    """What is typed for the snapshots of a command, by their names."""
    words = command.split()
    found = {name: shlex.split(line) for name, line in PAGES.items()}
    return {name: line for name, line in found.items() if line[: len(words)] == words}


def not_kept(command: str, options: list[str]) -> list[str]:
    """What no snapshot keeps of a command: its plain page, a form of it, an option that says something else."""
    lines = typed_for(command)
    plain = WRITTEN.get(command, ".txt")
    missing = [] if any(name.endswith(plain) for name in lines) else [plain]
    for option in options:
        used = [name for name, line in lines.items() if option in line]
        if option in FORMS:
            missing += [] if any(name.endswith(FORMS[option]) for name in used) else [option]
        elif not used and option not in CHOOSES_ONLY.get(command, ()):
            missing.append(option)
    return missing


def test_every_line_of_help_is_a_command_that_is_looked_at() -> None:
    assert {"tasks", "log", "reckon salt"} <= set(COMMANDS)
    assert {listed.name for listed in TABLE} <= set(COMMANDS)
    assert {"--json", "--csv", "--why"} <= set(COMMANDS["tasks"])


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_and_every_form_of_it_has_a_snapshot(command: str) -> None:
    assert not_kept(command, COMMANDS[command]) == []


def test_a_command_and_a_form_without_a_snapshot_are_found() -> None:
    assert not_kept("census", ["--json"]) == [".txt", "--json"]
    assert not_kept("supplies", ["--on", "--json", "--csv", "--yearly"]) == ["--csv", "--yearly"]


def test_what_needs_no_snapshot_is_an_option_that_no_snapshot_uses() -> None:
    assert set(CHOOSES_ONLY) | set(WRITTEN) <= set(COMMANDS)
    for command, unused in CHOOSES_ONLY.items():
        assert unused <= set(COMMANDS[command]) - set(FORMS)
        assert unused.isdisjoint({word for line in typed_for(command).values() for word in line}), command
