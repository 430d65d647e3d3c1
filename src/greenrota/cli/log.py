"""`greenrota log`: write down what was done, in seconds, and see what comes next."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from greenrota.cli import completion, out
from greenrota.cli.entry_values import entry_from, with_defaults
from greenrota.cli.options import AsJson, iso_day
from greenrota.cli.plan_path import find_plan
from greenrota.cli.record import record, recorded_json, tell_care_in_cleaning, tell_recorded
from greenrota.cli.rota_at import Papers, read_papers, tell
from greenrota.cli.vessel_name import known_subject, known_vessel
from greenrota.errors import Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from greenrota.logbook.entry import Entry
    from greenrota.rota.rota import Rota

_DONE = "done"
_LOST = ("crashed", "condemned")  # kinds after which something is emptied out and cleaned
_WHOLE_SHELF = ("void", "note")  # kinds that may concern no vessel at all
_OF_ANYTHING = (
    "cleared",
    "condemned",
    "discarded",
    "note",
    "void",
)  # kinds that may name a batch or a bottle


def _key(name: str, help_text: str, known: Any = None) -> Any:
    return typer.Option(
        f"--{name}", metavar="VALUE", help=help_text, show_default=False, autocompletion=known
    )


def _day(option: str, help_text: str) -> Any:
    return typer.Option(
        option,
        parser=lambda text: iso_day(text, option),
        metavar="DATE",
        help=help_text,
        show_default=False,
    )


Text = str | None


def log(
    kind: Annotated[
        str, typer.Argument(metavar="KIND", help="What was done; see below.", autocompletion=completion.kinds)
    ],
    names: Annotated[
        list[str] | None,
        typer.Argument(
            metavar="[VESSEL]... [PLAN]",
            help="One vessel or several; a .toml file is the plan.",
            autocompletion=completion.vessels,
        ),
    ] = None,
    on: Annotated[date | None, _day("--on", "The day it was done; default: today.")] = None,
    plan: Annotated[
        Path | None, typer.Option("--plan", metavar="PLAN", help="Plan file.", show_default=False)
    ] = None,
    source: Annotated[Text, _key("from", "started: what the inoculum came from.", completion.sources)] = None,
    inoculum: Annotated[Text, _key("inoculum", "started, reseeded: culture that went in or stayed.")] = None,
    volume: Annotated[
        Text, _key("volume", "harvested, banked, discarded: culture taken out; started, reseeded: filled to.")
    ] = None,
    keep: Annotated[Text, _key("keep", "harvested: culture that stayed.")] = None,
    density: Annotated[
        Text, _key("density", "started, harvested, banked, counted: such as 9.1e5/mL.")
    ] = None,
    cells: Annotated[Text, _key("cells", "counted: cells seen, instead of --density.")] = None,
    squares: Annotated[Text, _key("squares", "counted: large squares they were seen in.")] = None,
    dilution: Annotated[Text, _key("dilution", "counted: 1 undiluted, 2 one part made up to two.")] = None,
    cause: Annotated[
        Text, _key("cause", "crashed: contamination, overheating, ..., unknown.", completion.causes)
    ] = None,
    since: Annotated[Text, _key("since", "crashed: first day on which it may have gone wrong.")] = None,
    dose: Annotated[Text, _key("dose", "fed: in label doses.")] = None,
    nutrient: Annotated[
        Text, _key("nutrient", "started, fed, reseeded: volume poured from the nutrient bottle.")
    ] = None,
    light: Annotated[Text, _key("light", "reseeded: hours of light a day, where not the usual ones.")] = None,
    task: Annotated[Text, _key("task", "skipped: the task, such as north/2/feed.")] = None,
    entry: Annotated[Text, _key("entry", "void: number of the entry that is taken back.")] = None,
    reason: Annotated[Text, _key("reason", "Why.")] = None,
    text: Annotated[Text, _key("text", "note: what is to be remembered.")] = None,
    through: Annotated[date | None, _day("--through", "done: last day; default: the day it is.")] = None,
    force: Annotated[
        bool, typer.Option("--force", help="Record an entry that does not fit the state all the same.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Write down what was done; amounts default to those of the task.

    KIND is prepared, started, fed, harvested, reseeded, counted, crashed, banked, discarded, skipped, cleared,
    condemned, note or void. "done" records every task through a day as done as planned."""
    options = {
        "from": source,
        "inoculum": inoculum,
        "volume": volume,
        "keep": keep,
        "nutrient": nutrient,
        "light": light,
        "density": density,
        "cells": cells,
        "squares": squares,
        "dilution": dilution,
        "dose": dose,
        "cause": cause,
        "since": since,
        "task": task,
        "entry": entry,
        "reason": reason,
        "text": text,
    }
    given = {key: value for key, value in options.items() if value is not None}
    subjects, path = _subjects_and_plan(names or [], plan)
    papers = read_papers(find_plan(path, Path.cwd()))
    day = papers.day(on)
    if kind == _DONE:
        entries = _done_as_planned(papers, subjects, through or day, given)
    else:
        entries = _told(papers, kind, subjects, day, given)
    if not entries:
        out.note("nothing to record: no task is open through that day")
        if as_json:
            out.write(recorded_json([], papers.rota(day), day))
        return
    after, written = record(papers, entries, force)
    last = max(day, max(each.on for each in entries))
    rota = after.rota(last)
    tell(after.problems(rota))
    if as_json:
        out.write(recorded_json(written, rota, last))
    else:
        tell_recorded(written, rota, last)
    if kind in _LOST:
        tell_care_in_cleaning(subjects)
    if kind == "crashed":
        out.note("greenrota changes shows what became of the rota")


def _subjects_and_plan(names: Sequence[str], plan: Path | None) -> tuple[list[str], Path | None]:
    """The vessels and the plan: a last word that is named like a plan file is one."""
    if plan is None and names and names[-1].lower().endswith(".toml"):
        return list(names[:-1]), Path(names[-1])
    return list(names), plan


def _told(papers: Papers, kind: str, subjects: list[str], day: date, given: dict[str, str]) -> list[Entry]:
    """One entry a subject, with the amounts of the task it fulfils where none are given."""
    from greenrota.logbook.entry import NO_VESSEL
    from greenrota.rota.tasks.fulfilment import planned_values, task_fulfilled

    if not subjects and kind in _WHOLE_SHELF:
        subjects = [NO_VESSEL]
    if not subjects:
        _refuse_nobody(kind)
    rota = papers.rota(day)
    entries = []
    for subject in dict.fromkeys(_known(rota, kind, subject) for subject in subjects):
        own = given
        if kind == "skipped" and "task" not in given:
            own = {"task": _open_task(rota, subject, day), **given}
        entry = entry_from(day, kind, subject, own)
        task = task_fulfilled(rota.tasks, kind, subject, day)
        if task is not None:
            entry, taken = with_defaults(entry, planned_values(task))
            if taken:
                out.note(f"{', '.join(taken)} of {subject}: as planned for {task.id} on {task.on}")
        entries.append(entry)
    return entries


def _refuse_nobody(kind: str) -> None:
    from greenrota.logbook import fault
    from greenrota.logbook.vocabulary import KINDS

    place = Place("KIND") if kind not in KINDS else Place("VESSEL")
    problem = fault.unknown_kind(place, kind) if kind not in KINDS else fault.bad_subject(place, kind)
    raise ProblemsFound([problem], status=2)


def _known(rota: Rota, kind: str, subject: str) -> str:
    from greenrota.logbook import fault
    from greenrota.logbook.entry import NO_VESSEL
    from greenrota.logbook.vocabulary import KINDS

    if kind not in KINDS:
        raise ProblemsFound([fault.unknown_kind(Place("KIND"), kind)], status=2)
    if subject == NO_VESSEL and kind in _WHOLE_SHELF:
        return subject
    if kind in _OF_ANYTHING:
        return known_subject(rota, subject, "VESSEL")
    return known_vessel(rota.plan, subject, "VESSEL")


def _open_task(rota: Rota, vessel: str, day: date) -> str:
    """The one task of a vessel that is due by a day: what a skip without --task means."""
    due = [task.id for task in rota.tasks if task.vessel == vessel and task.on <= day]
    if len(due) == 1:
        return due[0]
    what = f"{len(due) or 'no'} tasks of {vessel} are due by {day}"
    hint = f"name one with --task: {', '.join(due)}" if due else "name it with --task"
    raise ProblemsFound([Problem("skip-which", Place("--task"), what, hint)], status=2)


def _done_as_planned(papers: Papers, vessels: list[str], through: date, given: dict[str, str]) -> list[Entry]:
    """Every task through a day as the rota stood after the newest entry, told as done on its day."""
    from greenrota.rota.tasks.fulfilment import planned_entry

    if given:
        what = f"done takes no --{next(iter(given))}: every amount is as planned"
        hint = "log what went otherwise first, each with its own kind"
        raise ProblemsFound([Problem("log-key", Place(f"--{next(iter(given))}"), what, hint)], status=2)
    wanted = {known_vessel(papers.plan, vessel, "VESSEL") for vessel in vessels}
    newest = max((entry.on for entry in papers.entries), default=papers.plan.start)
    rota = papers.rota(min(newest, through))
    return [
        planned_entry(task)
        for task in rota.tasks
        if task.on <= through and (not wanted or task.vessel in wanted)
    ]
