"""`greenrota calendar`: the tasks for the phone."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from greenrota.cli.options.options import OnDay, PlanFile
from greenrota.cli.system import clock, out
from greenrota.cli.system.paper import Force, exported_path, may_write, write_paper
from greenrota.cli.system.plan_path import find_plan
from greenrota.cli.system.rota_at import read_papers, rota_of
from greenrota.errors import Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from greenrota.views.calendar.appointment import Appointment, Renewal

_ADVICE = (
    "Importing again updates entries only where the calendar program goes by their identity; some skip what they "
    "know, some make copies. Safest: a calendar of its own that you empty before each import, or one that "
    "subscribes to the file."
)


def calendar(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Where to write the calendar (.ics).")],
    plan: PlanFile = None,
    alarm: Annotated[
        bool, typer.Option("--alarm", help="With an alarm a day: at 08:00, or 15 min before the plan's hour.")
    ] = False,
    on: OnDay = None,
    force: Force = False,
) -> None:
    """The tasks as a calendar file (iCalendar).

    An entry for each visit to a vessel, all day, or at [output] hour of the plan. An entry keeps its identity for life:
    one that moves or changes comes with a higher number, one that is withdrawn as cancelled. What was exported is
    remembered in .calendar.json beside the plan. Entries are left out 60 days after their day.

    Not every calendar program updates on a second import. A calendar of its own that is emptied before each import, or
    a subscription to the file, is safe."""
    from greenrota.views.calendar.appointment import renewed
    from greenrota.views.calendar.calendar import PRODID, calendar_bytes
    from greenrota.views.calendar.exported import exported_text
    from greenrota.views.text.lettering import hanging

    path = find_plan(plan, Path.cwd())
    papers = read_papers(path)
    cache = exported_path(path)
    may_write(file, PRODID, force, path)
    renewal = renewed(_remembered(cache), rota_of(papers, on), alarm, papers.day(on), clock.now())
    if not renewal.appointments:
        raise ProblemsFound(
            [Problem("no-tasks", Place(str(path)), "there is nothing to enter", "give the plan more days")]
        )
    _remember(cache, exported_text(renewal.appointments))
    write_paper(file, calendar_bytes(papers.plan.name, renewal.appointments), PRODID, force, path)
    out.note("\n".join([_count(renewal), *hanging("", _ADVICE, out.aside_width())]))


def _remembered(cache: Path) -> dict[str, Appointment]:
    from greenrota.views.calendar.exported import read_exported

    if not cache.exists():
        return {}
    try:
        return read_exported(cache.read_text(encoding="utf-8"))
    except OSError as error:
        error.filename = str(cache)
        raise
    except ValueError as error:
        hint = "put back an older copy; or take the file away, then all entries begin anew"
        raise ProblemsFound([Problem("calendar-memory", Place(str(cache)), str(error), hint)]) from None


def _remember(cache: Path, text: str) -> None:
    """Before the calendar itself: a number once given must never stand for two different entries."""
    from greenrota.logbook.swap import write_beside_and_swap

    write_beside_and_swap(cache, text.encode())


def _count(renewal: Renewal) -> str:
    from greenrota.rota.wording import numbered

    return (
        f"{numbered(len(renewal.appointments), 'entry', 'entries')}: {renewal.new} new, {renewal.changed} changed, "
        f"{renewal.withdrawn} withdrawn"
    )
