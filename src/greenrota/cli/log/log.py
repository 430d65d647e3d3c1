"""`greenrota log`: write down what was done, in seconds, and see what comes next."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING, Annotated, Any

import typer

from greenrota.cli.log.key_options import Given, with_key_options
from greenrota.cli.log.log_entries import done_as_planned, new_entries
from greenrota.cli.log.record import (
    nothing_is_lost,
    record,
    recorded_json,
    show_cleaning_care,
    show_next,
    show_recorded,
)
from greenrota.cli.options import completion
from greenrota.cli.options.options import AsJson, iso_day
from greenrota.cli.system import clock, out
from greenrota.cli.system.plan_path import find_plan
from greenrota.cli.system.rota_at import Papers, read_papers, show_problems

if TYPE_CHECKING:
    from greenrota.logbook.entry import Entry
    from greenrota.logbook.vocabulary import LogKind
    from greenrota.rota.tasks.task import Task

# Words in the place of KIND that are no kinds.
_DONE, _LIST, _UNDO, _ARCHIVE = "done", "list", "undo", "archive"
_LISTED = 10  # entries that list shows; our choice: a day's work and the one before
_LOST: tuple[LogKind, ...] = (
    "crashed",
    "condemned",
)  # kinds after which something is emptied out and cleaned


def _day(option: str, help_text: str) -> Any:
    return typer.Option(
        option,
        parser=lambda text: iso_day(text, option),
        metavar="DATE",
        help=help_text,
        show_default=False,
    )


Kind = Annotated[
    str, typer.Argument(metavar="KIND", help="What was done; see below.", autocompletion=completion.kinds)
]
Names = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="[VESSEL]... [PLAN]",
        help="One vessel or several; a .toml file is the plan.",
        autocompletion=completion.vessels,
    ),
]
DoneOn = Annotated[date | None, _day("--on", "The day it was done; default: today.")]
NamedPlan = Annotated[
    Path | None, typer.Option("--plan", metavar="PLAN", help="Plan file.", show_default=False)
]
Through = Annotated[
    date | None, _day("--through", "done: last day; default: the day it is. archive: last day that goes.")
]
OnlyKind = Annotated[
    str | None,
    typer.Option(
        "--kind",
        metavar="VALUE",
        help="list: only entries of this kind.",
        show_default=False,
        autocompletion=completion.entry_kinds,
    ),
]
Last = Annotated[int, typer.Option("--last", min=1, max=100_000, metavar="N", help="list: how many entries.")]
Yes = Annotated[
    bool, typer.Option("--yes", help="Record it without asking, even where it does not fit the state.")
]


@with_key_options
def log(
    kind: Kind,
    names: Names = None,
    on: DoneOn = None,
    plan: NamedPlan = None,
    given: Given = MappingProxyType({}),
    through: Through = None,
    only: OnlyKind = None,
    last: Last = _LISTED,
    yes: Yes = False,
    as_json: AsJson = False,
) -> None:
    """Write down what was done; amounts default to those of the task.

    KIND is prepared, started, topped-up, fed, harvested, reseeded, counted, crashed, banked, discarded, skipped,
    suspected, cleared, condemned, note or void; of harvest bottles given (to the tank or another consumer), given-away,
    measured or discarded. "done" records every task through a day as planned. "list" shows the last entries, "undo"
    takes the newest one back. "archive" puts the entries through a day into a file of their own.

    An entry that is more likely a slip than the truth is asked about; where nobody can be asked it is refused, and
    --yes writes it."""
    subjects, path = _subjects_and_plan(names or [], plan)
    papers = read_papers(find_plan(path, Path.cwd()))
    if kind == _LIST:
        from greenrota.cli.log.log_list import list_entries

        list_entries(papers, subjects, only, last, as_json)
        return
    day = papers.day(on)
    if kind == _ARCHIVE:
        from greenrota.cli.log.log_archive import archive_entries

        archive_entries(papers, subjects, given, through, day, yes, as_json)
        return
    entries, tasks = _entries(papers, kind, subjects, day, through or day, given)
    if not entries:
        out.note("nothing to record: no task is open through that day")
        if as_json:
            out.write(recorded_json([], papers.rota(day), day))
        return
    written = record(papers, entries, tasks, _latest(papers, day, kind), yes)
    with nothing_is_lost(written):
        _show(papers, written, subjects, day, as_json)


def _show(papers: Papers, written: list[Entry], subjects: list[str], day: date, as_json: bool) -> None:
    """Print what is on the disk now, what comes next, and what a lost culture asks for."""
    if not as_json:
        show_recorded(written, papers.path)
    _show_what_follows(papers, written, day, as_json)
    kinds = {entry.kind for entry in written}
    if not kinds.isdisjoint(_LOST):
        show_cleaning_care(subjects)
    if "crashed" in kinds:
        out.note("greenrota changes shows what became of the rota")


def _entries(
    papers: Papers, kind: str, subjects: list[str], day: date, through: date, given: Given
) -> tuple[list[Entry], Sequence[Task]]:
    """The new entries, and the tasks that are open before them."""
    if kind == _UNDO:
        from greenrota.cli.log.log_list import undone

        return [undone(papers, subjects, day, given)], ()
    if kind == _DONE:
        newest = max((entry.on for entry in papers.entries), default=papers.plan.start)
        rota = papers.rota(min(newest, through))
        return done_as_planned(rota, subjects, through, given), rota.tasks
    rota = papers.rota(day)
    return new_entries(rota, kind, subjects, day, given), rota.tasks


def _latest(papers: Papers, day: date, kind: str) -> date:
    """The last day that can have come: today, or the day of the newest entry.

    Before the plan begins, days are tried out: then it is the plan's last day, and for `done` the day that is given.
    """
    if clock.today() >= papers.plan.start:
        return papers.day(None)
    return day if kind == _DONE else papers.plan.through


def _show_what_follows(before: Papers, written: list[Entry], day: date, as_json: bool) -> None:
    """What comes next, from the plan and the logbook read again; it rests on the dates that stood before."""
    papers = read_papers(before.path)
    papers.known.extend(before.known)
    last = max(day, max(each.on for each in written))
    rota = papers.rota(last)
    show_problems(papers.problems(rota))
    if as_json:
        out.write(recorded_json(written, rota, last))
    else:
        show_next(rota, last)


def _subjects_and_plan(names: Sequence[str], plan: Path | None) -> tuple[list[str], Path | None]:
    """The vessels and the plan: a last word that is named like a plan file is one."""
    if plan is None and names and names[-1].lower().endswith(".toml"):
        return list(names[:-1]), Path(names[-1])
    return list(names), plan
