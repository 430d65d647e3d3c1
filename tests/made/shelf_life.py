"""A shelf in a folder of its own that is lived with through the command line."""

from __future__ import annotations

import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from typed import typed
from typer.testing import Result

from greenrota.errors import ProblemsFound

PLAN = """
[rota]
name = "shelf"
start = 2027-02-01
days = 28
strain = "tetraselmis"
[room]
temperature = "22 degC"
[water]
salinity = "26 psu"
[[nutrient]]
name = "f2"
medium = "f/2"
dose = "0.20 mL/L"
[[starter]]
name = "bought"
volume = "{starter}"
density = "2e6 cells/mL"
on_hand = 2027-01-30
"""
VESSEL = """
[[vessel]]
name = "{name}"
volume = "5 L"
fill = "4 L"
photoperiod = "16 h"
"""


@dataclass(frozen=True)
class State:
    """A folder with `plan.toml`, and what its owner types there."""

    folder: Path

    @property
    def plan(self) -> str:
        return str(self.folder / "plan.toml")

    @property
    def book(self) -> Path:
        return self.folder / "plan.log"

    def run(self, *arguments: str) -> Result:
        return typed(*arguments)

    def log(self, *arguments: str) -> Result:
        """`greenrota log`, which must succeed."""
        result = self.run("log", *arguments, "--plan", self.plan)
        assert result.exit_code == 0, (result.output, result.exception)
        return result

    def refused(self, *arguments: str) -> tuple[int, list[str]]:
        """Status and codes `greenrota log` ends with."""
        result = self.run("log", *arguments, "--plan", self.plan)
        assert isinstance(result.exception, ProblemsFound), (result.output, result.exception)
        return result.exception.status, [problem.code for problem in result.exception.problems]

    def json(self, command: str, *arguments: str) -> Any:
        """The JSON object a command prints."""
        result = self.run(command, *arguments, "--json")
        assert result.exit_code == 0, (result.output, result.exception)
        return json.loads(result.stdout)

    def tasks(self, on: str) -> Any:
        return self.json("tasks", self.plan, "--on", on)

    def lines(self) -> list[str]:
        return self.book.read_text(encoding="utf-8").splitlines()


def shelf_with(folder: Path, *vessels: str, starter: str = "1 L") -> State:
    """A shelf with these vessels and nothing logged."""
    text = PLAN.format(starter=starter) + "".join(VESSEL.format(name=name) for name in vessels)
    (folder / "plan.toml").write_text(text, encoding="utf-8")
    return State(folder)
