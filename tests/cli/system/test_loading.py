"""What is loaded before a command runs, read from `sys.modules` of a process of its own: exact, not timed."""

import subprocess
import sys
from pathlib import Path

import pytest

HEAVY = ("numpy", "pint", "pydantic", "rich", "scipy", "icalendar")
SCRIPT = """
import sys
sys.argv = ["greenrota", *{arguments!r}]
from greenrota.cli.main import main
try:
    main()
except SystemExit as end:
    status = end.code or 0
print("status", status)
print("loaded", *[name for name in {heavy!r} if name in sys.modules])
"""


def loaded_by(*arguments: str) -> tuple[str, list[str]]:
    """Exit status and the heavy packages in memory after a run."""
    script = SCRIPT.format(arguments=arguments, heavy=HEAVY)
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, encoding="utf-8", check=True, timeout=60
    )
    *_, status, loaded = done.stdout.splitlines()
    return status, loaded.split()[1:]


@pytest.mark.parametrize("arguments", [("--help",), ("-h",), ("--version",)])
def test_help_and_version_load_nothing_heavy(arguments: tuple[str, ...]) -> None:
    assert loaded_by(*arguments) == ("status 0", [])


@pytest.mark.parametrize("arguments", [("reckon", "--help"), ("new", "-h")])
def test_help_of_a_command_loads_only_what_typer_itself_needs(arguments: tuple[str, ...]) -> None:
    status, loaded = loaded_by(*arguments)
    assert status == "status 0"
    assert set(loaded) <= {
        "pydantic"
    }  # typer coerces the parameters of a command with it, from version 0.29 on


def test_pint_is_loaded_where_a_unit_is_converted_and_only_there() -> None:
    assert "pint" not in loaded_by("reckon", "salt", "4 L", "26 psu")[1]
    assert "pint" in loaded_by("reckon", "salt", "1 gal", "26 psu")[1]


EXAMPLES = Path(__file__).parents[3] / "examples"
PLANNING = [("check",), ("tasks",), ("tasks", "--json"), ("tasks", "--csv"), ("today",)]


@pytest.mark.parametrize("command", PLANNING)
def test_a_metric_plan_needs_no_unit_library(command: tuple[str, ...]) -> None:
    assert loaded_by(*command, str(EXAMPLES / "shelf.toml")) == ("status 0", ["pydantic"])


@pytest.mark.parametrize("command", PLANNING)
def test_a_plan_in_us_units_needs_it(command: tuple[str, ...]) -> None:
    # pint itself imports numpy and scipy where they are installed
    status, loaded = loaded_by(*command, str(EXAMPLES / "us-pair.toml"))
    assert status == "status 0"
    assert {"pint", "pydantic"} <= set(loaded) <= {"numpy", "pint", "pydantic", "scipy"}
