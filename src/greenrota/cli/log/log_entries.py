"""New entries of `greenrota log`: what the words and options of the command line say was done."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING, assert_never

from greenrota.cli.log.entry_values import entry_from, with_defaults
from greenrota.cli.options.vessel_name import known_consumer, known_subject, known_vessel
from greenrota.cli.system import out
from greenrota.errors import Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from greenrota.logbook.entry import Entry
    from greenrota.logbook.vocabulary import LogKind
    from greenrota.rota.rota import Rota
    from greenrota.rota.tasks.task import Task


def new_entries(
    rota: Rota, kind: str, subjects: list[str], day: date, given: Mapping[str, str]
) -> list[Entry]:
    """One entry a subject, with the amounts of the task it fulfils where none are given.

    `rota` is the rota of the day, `given` the options by key. Raises ProblemsFound (status 2).
    """
    from greenrota.logbook import fault
    from greenrota.logbook.entry import NO_VESSEL
    from greenrota.logbook.vocabulary import KINDS, is_kind
    from greenrota.rota.tasks.fulfilment import bucket_shares, planned_values, task_fulfilled

    if not is_kind(kind):
        raise ProblemsFound([fault.unknown_kind(Place("KIND"), kind)], status=2)
    if not subjects and KINDS[kind].subject_free:
        subjects = [NO_VESSEL]
    if not subjects and kind == "skipped" and "task" in given:
        subjects = [_vessel_of_task(given["task"])]
    if not subjects:
        raise ProblemsFound([fault.bad_subject(Place("VESSEL"), kind)], status=2)
    entries = []
    known = list(dict.fromkeys(_known(rota, kind, subject) for subject in subjects))
    for subject in known:
        own = given
        if kind == "skipped" and "task" not in given:
            own = {"task": _open_task(rota, subject, day), **given}
        entry = entry_from(day, kind, subject, own)
        task = task_fulfilled(rota.tasks, kind, subject, day)
        if task is not None:
            planned = planned_values(task)
            if task.fills:
                planned = (("volume", bucket_shares(task, known)[subject]),)
            entry, taken = with_defaults(entry, planned)
            if taken:
                out.note(f"{', '.join(taken)} of {subject}: {_as_planned(task, known)}")
        entries.append(entry)
    return entries


def _as_planned(task: Task, named: list[str]) -> str:
    """Where planned amounts come from; of a bucket for more vessels than are named, that it is written down whole."""
    text = f"as planned for {task.id} on {task.on}"
    others = [name for name in task.vessels if name not in named]
    if not task.fills or not others:
        return text
    return f"the whole bucket, {text}; what is in it is on hand for {', '.join(others)} as well"


def _known(rota: Rota, kind: LogKind, subject: str) -> str:
    from greenrota.logbook.entry import NO_VESSEL
    from greenrota.logbook.vocabulary import KINDS

    whom = KINDS[kind].subject
    match whom:
        case "vessel":
            return known_vessel(rota.plan, subject, "VESSEL")
        case "consumer":
            return known_consumer(rota.plan, subject, "NAME")
        case "anything":
            return known_subject(rota, subject, "VESSEL")
        case "anything or nobody":
            return subject if subject == NO_VESSEL else known_subject(rota, subject, "VESSEL")
        case _:
            assert_never(whom)


def _vessel_of_task(task: str) -> str:
    """The vessel that a task id begins with; a vessel is named where it has none.

    >>> _vessel_of_task("north/2/feed")
    'north'
    """
    return task.rsplit("/", 2)[0]


def _open_task(rota: Rota, vessel: str, day: date) -> str:
    """The one task of a vessel that is due by a day: what a skip without --task means."""
    due = [task.id for task in rota.tasks if task.vessel == vessel and task.on <= day]
    if len(due) == 1:
        return due[0]
    what = f"{len(due) or 'no'} tasks of {vessel} are due by {day}"
    hint = f"name one with --task: {', '.join(due)}" if due else "name it with --task"
    raise ProblemsFound([Problem("skip-which", Place("--task"), what, hint)], status=2)


def done_as_planned(rota: Rota, vessels: list[str], through: date, given: Mapping[str, str]) -> list[Entry]:
    """Every task of a rota through a day, recorded as done as planned on its day; of these vessels where any are named.

    Raises ProblemsFound (status 2) for options, which `done` does not take.
    """
    from greenrota.rota.tasks.fulfilment import planned_entries

    if given:
        what = f"done takes no --{next(iter(given))}: every amount is as planned"
        hint = "log what went otherwise first, each with its own kind"
        raise ProblemsFound([Problem("log-key", Place(f"--{next(iter(given))}"), what, hint)], status=2)
    wanted = [known_vessel(rota.plan, vessel, "VESSEL") for vessel in vessels]
    return [
        entry
        for task in rota.tasks
        if task.on <= through and (not wanted or not set(wanted).isdisjoint(task.vessels))
        for entry in planned_entries(task, wanted)
    ]
