"""What commands cost as whole processes against the bare import of what they are built on.

Run with the interpreter of an environment that has the package: `python tests/bench/whole_process.py`. Pinned to one
core and in turn; processor time, medians of the ratios within a round. Ends with 1 when a ratio is above its goal.
"""

from __future__ import annotations

import os
import shutil
import statistics
import sys
from pathlib import Path

from rows import environment, in_turn, pin, processor_s, ratio, room, row, told

EXAMPLES = Path(__file__).parents[2] / "examples"
ROUNDS = 9  # our choice: the median stays within some percent on a busy machine
HELP_GOAL, COMMAND_GOAL = 1.5, 1.3  # our goals
TYPER, BARE = "import typer", "import typer, pydantic, numpy, pint"
ON = ("--on", "2027-02-13")
GREENROTA = ("-m", "greenrota")
LIVED = {
    "tasks": (*GREENROTA, "tasks", "shelf.toml", *ON),
    "today": (*GREENROTA, "today", "shelf.toml", *ON),
    "card": (*GREENROTA, "card", "shelf.toml", "--vessel", "north", *ON),
    "check": (*GREENROTA, "check", "shelf.toml", *ON),
    "log": (*GREENROTA, "log", "note", "--text", "x", "--yes", "--plan", "shelf.toml", *ON),
    "log list": (*GREENROTA, "log", "list", "shelf.toml"),
}
OTHERS = {
    "today, twelve vessels in two units": (*GREENROTA, "today", "corner.toml", "--on", "2027-03-13"),
    "today, US units": (*GREENROTA, "today", "us-pair.toml", *ON),
}
COMPLETING = "completion"


def helped(folder: Path) -> bool:
    """Help and completion against the import of typer."""
    around = environment(folder)
    line = {"_GREENROTA_COMPLETE": "complete_bash", "COMP_WORDS": "greenrota ta", "COMP_CWORD": "1"}
    plain = {TYPER: ("-c", TYPER), "--help": (*GREENROTA, "--help")}
    measured = in_turn(plain, ROUNDS, around, folder)
    asked = in_turn({TYPER: ("-c", TYPER), COMPLETING: GREENROTA}, ROUNDS, {**around, **line}, folder)
    held = row("`--help` against `import typer`", HELP_GOAL, ratio(measured, "--help", TYPER))
    return (
        row("completion of a command against `import typer`", HELP_GOAL, ratio(asked, COMPLETING, TYPER))
        and held
    )


def commands(folder: Path) -> bool:
    """Commands on three jars: with a logbook and remembered dates, and without a logbook on the second run."""
    around, held = environment(folder), True
    for plan in ("shelf", "corner", "us-pair"):
        shutil.copy(EXAMPLES / f"{plan}.toml", folder)
    first = processor_s(LIVED["tasks"], around, folder)
    floor = {BARE: ("-c", BARE)}
    measured = in_turn({**floor, "tasks": LIVED["tasks"]}, ROUNDS, around, folder)
    goal = "against its imports"
    held &= row(
        f"`tasks` without a logbook, from the second run on, {goal}",
        COMMAND_GOAL,
        ratio(measured, "tasks", BARE),
    )
    told("the first run of it, which searches", first / statistics.median(measured[BARE]), "x")
    for plan, day in (("shelf", "2027-02-12"), ("corner", "2027-03-12"), ("us-pair", "2027-02-12")):
        done = (*GREENROTA, "log", "done", "--through", day, "--on", day, "--yes", f"{plan}.toml")
        processor_s(done, around, folder)
    measured = in_turn({**floor, **LIVED, **OTHERS}, ROUNDS, around, folder)
    for name in LIVED:
        held &= row(f"`{name}` with a logbook, {goal}", COMMAND_GOAL, ratio(measured, name, BARE))
    for name in OTHERS:
        told(f"{name}, with a logbook, {goal}", ratio(measured, name, BARE), "x")
    return held


def main() -> int:
    """Measure, print, and say whether the goals are met."""
    pin()
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    with room() as name:
        folder = Path(name)
        results = [helped(folder), commands(folder)]
    return 0 if all(results) else 1


if __name__ == "__main__":
    sys.exit(main())
