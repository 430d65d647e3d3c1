"""The coming month: the rota planned so far that the whole of it can be seen, whatever the horizon of the plan."""

from calendar import monthrange
from datetime import date, timedelta
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from greenrota.cli.system.rota_at import Papers, read_papers, rota_at, show_problems
from greenrota.errors import Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from greenrota.rota.rota import Rota


class NextMonth(NamedTuple):
    """A calendar month, both days included, and a rota that goes through the week of its last day."""

    rota: "Rota"
    first: date
    last: date


def next_month(path: Path, on: date | None) -> NextMonth:
    """The calendar month after the day it is, or after the plan's first day if that is later.

    All dates of the rota stay as they are; those after its horizon are added, and remembered beside the logbook. What
    is wrong with the logbook is written to stderr. Raises ProblemsFound: "rota-ended" where nothing is logged and the
    day lies after the horizon, for nobody knows what stands in the vessels then.
    """
    papers = read_papers(path)
    day = papers.day(on)
    if not papers.entries and day > papers.plan.through:
        raise _ended(papers, day)
    first, last = month_after(max(day, papers.plan.start))
    rota = papers.rota_through(day, last + timedelta(days=6 - last.weekday()))
    show_problems(papers.problems(rota))
    return NextMonth(rota, first, last)


def shown_days(
    path: Path, on: date | None, from_day: date | None, days: int | None, coming: bool
) -> "tuple[Rota, date | None, date | None]":
    """The rota of a plan file, and the first and last day to show of it (None: no limit).

    Those of the coming month, or as many days as are asked for from a day on, by default from that of the rota.
    """
    if coming:
        ahead = next_month(path, on)
        return ahead.rota, ahead.first, ahead.last
    rota = rota_at(path, on)
    return rota, from_day, None if days is None else (from_day or rota.as_of) + timedelta(days=days - 1)


def month_after(day: date) -> tuple[date, date]:
    """First and last day of the calendar month after that of a day.

    >>> month_after(date(2027, 12, 31))
    (datetime.date(2028, 1, 1), datetime.date(2028, 1, 31))
    """
    year, month = (day.year + 1, 1) if day.month == 12 else (day.year, day.month + 1)
    return date(year, month, 1), date(year, month, monthrange(year, month)[1])


def _ended(papers: Papers, day: date) -> ProblemsFound:
    what = f"the rota ended on {papers.plan.through}, today is {day}, and nothing is logged"
    hint = "log what stands in the vessels (greenrota log started ...), and the rota goes on from there; or set start"
    return ProblemsFound([Problem("rota-ended", Place(str(papers.path)), what, hint)])
