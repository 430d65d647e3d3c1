"""Tasks for other programs: one JSON object, a CSV table, a Markdown table."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from types import MappingProxyType
from typing import TYPE_CHECKING

from greenrota.culture.bench.sanitation import CAUTIONS
from greenrota.rota.replay.logged import Inspection
from greenrota.rota.rota import Rota
from greenrota.rota.tasks.amounts import Amounts
from greenrota.rota.tasks.task import Task
from greenrota.rota.warning import PlanWarning
from greenrota.views.tasks.agenda import why as reason_of
from greenrota.views.tasks.care import concerned
from greenrota.views.tasks.pour import density_text, pour_text
from greenrota.views.tasks.score import score_object, why_object
from greenrota.views.text.day import day_text
from greenrota.views.text.document import figure, json_document
from greenrota.views.text.lettering import printable

if TYPE_CHECKING:
    from greenrota.rota.answers.why import Why

FORMAT = "greenrota/tasks/1"
_AMOUNTS = ("inoculum_ml", "seawater_ml", "salt_g", "harvest_ml", "keep_ml", "bank_ml")
_FORMULA = ("=", "+", "-", "@", "\t", "\r")  # first characters a spreadsheet may run, OWASP "CSV injection"


def tasks_json(rota: Rota, tasks: Sequence[Task], why: Why | None = None) -> str:
    """The tasks as one JSON object of format `greenrota/tasks/1`, caution texts whole, score and warnings of the rota.

    `why` is what set the day of one of them, only where it is asked for. `overdue` gives the day on which a task
    was due first; `looks` what is suspect and alive.

    Amounts that do not apply are left out; densities that do not are null.
    """
    asked: dict[str, object] = {} if why is None else {"why": why_object(why)}
    return json_document(
        FORMAT,
        {
            "as_of": rota.as_of.isoformat(),
            "through": rota.through.isoformat(),
            "tasks": [task_object(task) for task in tasks],
            "overdue": {
                task.id: rota.overdue[task.id].isoformat() for task in tasks if task.id in rota.overdue
            },
            "looks": [look_object(look) for look in rota.inspections],
            "score": score_object(rota.found),
            **asked,
            "warnings": [warning_object(warning) for warning in rota.warnings],
        },
    )


def task_object(task: Task) -> dict[str, object]:
    """A task as it stands in JSON."""
    return {
        "id": task.id,
        "kind": task.kind,
        "date": task.on.isoformat(),
        "vessel": task.vessel,
        "batch": task.batch,
        "parent": task.parent,
        "serves": list(task.serves),
        "amounts": _amounts(task.amounts),
        "density_before_per_ml": figure(task.density_before_per_ml),
        "density_after_per_ml": figure(task.density_after_per_ml),
        "fill_ml": figure(task.fill_ml),
        "light_h": figure(task.light_h),
        "withheld": task.withheld,
        "reason": task.reason,
        "cautions": [CAUTIONS[key].text for key in task.cautions],
    }


def look_object(look: Inspection) -> dict[str, object]:
    """What has to be looked at under magnification, as it stands in JSON."""
    return {
        "subject": look.subject,
        "date": look.on.isoformat(),
        "since": look.since.isoformat(),
        "because": look.because,
    }


def _amounts(amounts: Amounts) -> dict[str, object]:
    given: dict[str, object] = {
        key: figure(getattr(amounts, key)) for key in _AMOUNTS if getattr(amounts, key) is not None
    }
    if amounts.nutrient_ml:
        given["nutrient_ml"] = {name: figure(ml) for name, ml in amounts.nutrient_ml.items()}
    return given


def warning_object(warning: PlanWarning) -> dict[str, object]:
    """A warning as it stands in JSON; `vessel` only where it concerns one."""
    answer: dict[str, object] = {"code": warning.code, "text": warning.text}
    return answer if warning.vessel is None else {**answer, "vessel": warning.vessel}


def tasks_csv(tasks: Sequence[Task], overdue: Mapping[str, date] = MappingProxyType({})) -> str:
    """The tasks as CSV (RFC 4180, newline line ends), a column for every nutrient bottle.

    A text that a spreadsheet could take for a formula gets an apostrophe in front.
    """
    bottles = list(dict.fromkeys(name for task in tasks for name in task.amounts.nutrient_ml))
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    head = ["date", "kind", "vessel", "batch", "id", "parent", *_AMOUNTS]
    head += [f"nutrient_ml {name}" for name in bottles]
    table.writerow(
        [
            *head,
            "density_before_per_ml",
            "density_after_per_ml",
            "reason",
            "cautions",
            "overdue_since",
            "light_h",
            "serves",
        ]
    )
    for task in tasks:
        cautions = " | ".join(CAUTIONS[key].text for key in task.cautions)
        table.writerow(
            (
                task.on.isoformat(),
                *map(harmless, (task.kind, task.vessel, task.batch, task.id, task.parent)),
                *(figure(getattr(task.amounts, key)) for key in _AMOUNTS),
                *(figure(task.amounts.nutrient_ml.get(name)) for name in bottles),
                figure(task.density_before_per_ml),
                figure(task.density_after_per_ml),
                harmless(task.reason),
                harmless(cautions),
                "" if (was_due := overdue.get(task.id)) is None else was_due.isoformat(),
                figure(task.light_h),
                harmless(" ".join(task.serves)),
            )
        )
    return out.getvalue()


def harmless(text: str) -> str:
    """The text with an apostrophe in front where a spreadsheet could take it for a formula.

    >>> harmless("=1+1"), harmless("north/1")
    ("'=1+1", 'north/1')
    """
    return f"'{text}" if text.startswith(_FORMULA) else text


def tasks_markdown(rota: Rota, tasks: Sequence[Task]) -> str:
    """The tasks as a Markdown table, the cautions as a list below it."""
    titles = ("date", "task", "batch", "amounts", "million cells/mL", "reason")
    rows = [
        (
            day_text(task.on),
            task.kind,
            ", ".join(task.batches),
            pour_text(task, rota.plan.units),
            density_text(task),
            reason_of(task, rota.overdue),
        )
        for task in tasks
    ]
    keys = dict.fromkeys(key for task in tasks for key in task.cautions)
    lines = [_row(titles), _row(["---"] * len(titles)), *map(_row, rows)]
    return "\n".join([*lines, "", *(f"- {CAUTIONS[key].text} [{concerned(tasks, key)}]" for key in keys)])


def _row(cells: Iterable[str]) -> str:
    return f"| {' | '.join(printable(cell).replace('|', chr(92) + '|') for cell in cells)} |"
