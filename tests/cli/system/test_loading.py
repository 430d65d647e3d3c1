"""What is loaded before a command runs, read from `sys.modules` of a process of its own: exact, not timed.

Commands that must not load a thing run one after the other in one process: what none of them loaded, each did without.
"""

import subprocess
import sys
from pathlib import Path

from shelf_life import PLAN, VESSEL

HEAVY = ("numpy", "pint", "pydantic", "rich", "scipy", "icalendar")
SCRIPT = """
import sys
from greenrota.cli.main import main
told = []
for words in {commands!r}:
    sys.argv = ["greenrota", *words]
    status = 0
    try:
        main()
    except SystemExit as end:
        status = end.code or 0
    told.append([status, *(name for name in {heavy!r} if name in sys.modules)])
print("loaded", told)
"""
PLANNING = ("check", "tasks", "tasks --json", "tasks --csv", "today")


def loaded_by(*commands: str, cwd: Path | None = None) -> list[tuple[int, set[str]]]:
    """Exit status of each command, and the heavy packages in memory after it."""
    script = SCRIPT.format(commands=[words.split(",") for words in commands], heavy=HEAVY)
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, encoding="utf-8", check=True, timeout=60, cwd=cwd
    )
    last = done.stdout.splitlines()[-1]
    return [(status, set(loaded)) for status, *loaded in eval(last.removeprefix("loaded "))]


def planned(folder: Path, plan: str) -> list[tuple[int, set[str]]]:
    """What the planning commands load for a plan that has few dates to search."""
    (folder / "plan.toml").write_text(plan, encoding="utf-8")
    return loaded_by(*(words.replace(" ", ",") for words in PLANNING), cwd=folder)


def test_help_and_version_load_nothing_heavy() -> None:
    assert loaded_by("--help", "-h", "--version") == [(0, set())] * 3


def test_help_of_a_command_loads_only_what_typer_itself_needs() -> None:
    for status, loaded in loaded_by("reckon,--help", "new,-h"):
        assert status == 0
        # typer coerces the parameters of a command with it, from version 0.29 on
        assert loaded <= {"pydantic"}


def test_pint_is_loaded_for_an_unusual_unit_and_only_there() -> None:
    usual, other = loaded_by("reckon,salt,1 gal,26 psu", "reckon,salt,4 L,26 g/kg")
    assert (usual[0], other[0]) == (0, 0)
    assert "pint" not in usual[1]
    assert "pint" in other[1]


SMALL = (PLAN.format(starter="1 L") + VESSEL.format(name="north")).replace("days = 28", "days = 12")


def test_a_metric_plan_needs_no_unit_library(tmp_path: Path) -> None:
    assert planned(tmp_path, SMALL) == [(0, {"pydantic"})] * len(PLANNING)


def test_a_plan_in_us_units_needs_none_either(tmp_path: Path) -> None:
    in_gallons = SMALL.replace('volume = "5 L"', 'volume = "1.3 gal"').replace(
        'fill = "4 L"', 'fill = "1 gal"'
    )
    assert "gal" in in_gallons
    assert planned(tmp_path, in_gallons) == [(0, {"pydantic"})] * len(PLANNING)


def test_a_plan_in_absolute_salinity_needs_it(tmp_path: Path) -> None:
    absolute = SMALL.replace('"26 psu"', '"26 g/kg"')
    assert "g/kg" in absolute
    for status, loaded in planned(tmp_path, absolute):
        assert status == 0
        # pint itself imports numpy and scipy where they are installed
        assert {"pint", "pydantic"} <= loaded <= {"numpy", "pint", "pydantic", "scipy"}
