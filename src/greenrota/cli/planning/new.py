"""`greenrota new`: a commented plan to start from."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from greenrota.cli.options.options import OnDay
from greenrota.cli.system import clock, out
from greenrota.cli.system.paper import STDOUT
from greenrota.cli.system.plan_path import PLAN_NAME
from greenrota.errors import Place, Problem, ProblemsFound

_PLAN_SUFFIX = ".toml"


def new(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Where to write the plan.")] = Path(PLAN_NAME),
    on: OnDay = None,
) -> None:
    """Write a commented plan to start from.

    A file that is there is never written over."""
    from greenrota.planfile.read.blank import blank_plan

    text = blank_plan(on or clock.today())
    if file == STDOUT:
        out.write(text)
        return
    if file.suffix.lower() != _PLAN_SUFFIX and not (file.exists() and not file.is_file()):
        hint = f"name it {file.stem or PLAN_NAME}{_PLAN_SUFFIX}"
        raise ProblemsFound(
            [Problem("file-suffix", Place(str(file)), "a plan is a TOML file", hint)], status=2
        )
    try:
        handle = file.open("x", encoding="utf-8", newline="\n")
    except FileExistsError:
        hint = "choose another name, or move the old file away first"
        raise ProblemsFound(
            [Problem("plan-exists", Place(str(file)), "there is a file already", hint)]
        ) from None
    try:
        with handle:
            handle.write(text)
    except OSError:
        file.unlink(missing_ok=True)  # half a plan is worse than none
        raise
    out.note(f"wrote {file}\nnext: fill in your own vessels, then greenrota check {file}")
