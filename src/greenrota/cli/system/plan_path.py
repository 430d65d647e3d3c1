"""Which plan is meant, and where its logbook lies."""

from __future__ import annotations

import shlex
from pathlib import Path

from greenrota.errors import Place, Problem, ProblemsFound

PLAN_NAME = "plan.toml"
_LOG_SUFFIX = ".log"


def find_plan(given: Path | None, folder: Path) -> Path:
    """The plan that was named, or the `plan.toml` of `folder` or its nearest parent.

    Raises ProblemsFound: "no-plan" when there is none, "plan-name" when its logbook would be the plan itself.
    """
    if given is not None:
        if given.is_dir():
            return find_plan(given / PLAN_NAME, folder)
        if not given.exists():
            raise _no_plan(Place(str(given)), "there is no such plan file")
        if given.suffix == _LOG_SUFFIX:
            hint = f"rename it, for example to {given.with_suffix('.toml').name}"
            raise ProblemsFound(
                [Problem("plan-name", Place(str(given)), "a plan can not be named like a logbook", hint)]
            )
        return given
    for place in (folder, *folder.parents):
        if (place / PLAN_NAME).is_file():
            return place / PLAN_NAME
    raise _no_plan(Place(PLAN_NAME), "there is no plan in this folder or above it")


def plan_words(plan: Path, folder: Path) -> str:
    """What a command in `folder` has to say to mean this plan, with a space in front; nothing where it is the default.

    >>> plan_words(Path("second.toml"), Path("/nowhere"))
    ' second.toml'
    """
    try:
        default = find_plan(None, folder).resolve()
    except ProblemsFound:
        default = None
    return "" if default == plan.resolve() else f" {shlex.quote(str(plan))}"


def _no_plan(place: Place, what: str) -> ProblemsFound:
    hint = f'"greenrota new {PLAN_NAME}" writes one to start from; or name a plan file'
    return ProblemsFound([Problem("no-plan", place, what, hint)])


def logbook_path(plan: Path) -> Path:
    """The logbook of a plan: `<plan stem>.log` beside it.

    >>> logbook_path(Path("shelf/plan.toml")).as_posix()
    'shelf/plan.log'
    """
    return plan.with_suffix(_LOG_SUFFIX)
