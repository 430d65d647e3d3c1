"""The answer of `check` as JSON: every problem with its place, every warning, and the size of the plan."""

from collections.abc import Sequence
from typing import NamedTuple

from greenrota.errors import Problem
from greenrota.rota.rota import Rota
from greenrota.rota.wording import numbered
from greenrota.views.tasks.tasklist import warning_object
from greenrota.views.text.document import json_document

FORMAT = "greenrota/check/1"


class Checked(NamedTuple):
    """The result of a check. `entries` counts the lines of the logbook, `standing` those that are not taken back.

    `archives` are the files of earlier years that belong to it. `rota` is None where the plan can not be read.
    `notices` are to be known, `problems` to be mended.
    """

    plan: str
    rota: Rota | None
    problems: Sequence[Problem]
    notices: Sequence[Problem] = ()
    entries: int = 0
    standing: int = 0
    archives: Sequence[str] = ()


def check_json(checked: Checked) -> str:
    """One JSON object of format `greenrota/check/1`; without a readable plan, its dates and numbers are null."""
    rota = checked.rota
    answer: dict[str, object] = {
        "plan": checked.plan,
        "sound": not checked.problems,
        "problems": [problem_object(problem) for problem in checked.problems],
        "notices": [problem_object(problem) for problem in checked.notices],
        "warnings": [] if rota is None else [warning_object(warning) for warning in rota.warnings],
        "as_of": None if rota is None else rota.as_of.isoformat(),
        "through": None if rota is None else rota.through.isoformat(),
        "vessels": None if rota is None else len(rota.plan.vessels),
        "tasks": None if rota is None else len(rota.tasks),
        "entries": None if rota is None else checked.entries,
        "entries_standing": None if rota is None else checked.standing,
        "archives": list(checked.archives),
    }
    return json_document(FORMAT, answer)


def problem_object(problem: Problem) -> dict[str, object]:
    """A problem as a JSON object; parts of its place that are not known, and empty texts, are null.

    >>> from greenrota.errors import Place
    >>> found = problem_object(Problem("share", Place("plan.toml", 9, "keep = 20", 8, 2), "20 is no share"))
    >>> found["line"], found["column"], found["hint"]
    (9, 8, None)
    """
    where = problem.where
    return {
        "code": problem.code,
        "file": where.file or None,
        "line": where.line or None,
        "column": where.column or None,
        "text": where.text.rstrip("\r\n") or None,
        "what": problem.what,
        "wanted": problem.wanted or None,
        "hint": problem.hint or None,
    }


def entries_text(problems: int, written: int, standing: int) -> str:
    """How many entries a logbook has and how many problems, in words.

    >>> entries_text(0, 1, 1)
    '1 entry, 1 of them stands; no problems'
    """
    entries = numbered(written, "entry", "entries")
    stand = numbered(standing, "of them stands", "of them stand")
    return f"{entries}, {stand}; {numbered(problems, 'problem') if problems else 'no problems'}"
