"""What the pages of a week hold: the visits of each day, the ration of every day and consumer, and room for counts."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from typing import NamedTuple

from greenrota.rota.answers.contents import before_work
from greenrota.rota.feed.daily import RationDay
from greenrota.rota.feed.pouring import SHORT_ML
from greenrota.rota.rota import Rota
from greenrota.rota.tasks.task import Task
from greenrota.views.tasks import visit
from greenrota.views.text import amount
from greenrota.views.text.day import short_day, week_of

_WEEK = timedelta(days=7)
NO_FEED = "no feed there"


class Ration(NamedTuple):
    """What one consumer is to get on a day: the amount and, in `beside`, from which bottles and what is lacking.

    `day` is the day as text, with "away" on a day away.
    """

    on: date
    day: str
    consumer: str
    amount: str
    beside: str


class Week(NamedTuple):
    """A week of a sheet, from its Monday; `dates` are those of its days that the sheet is for.

    `expected` is, for every vessel, the density on each of the dates before any work is done, in million cells/mL;
    "" while it is empty. `tasks` are all that the days hold.
    """

    monday: date
    dates: tuple[date, ...]
    days: tuple[visit.Day, ...]
    tasks: tuple[Task, ...]
    rations: tuple[Ration, ...]
    expected: tuple[tuple[str, tuple[str, ...]], ...]


def weeks_of(rota: Rota, tasks: Sequence[Task], first: date, last: date) -> Iterator[Week]:
    """The weeks from the first day to the last, both included; one in which nothing is done or fed is left out."""
    fed = {day.on: day for day in rota.rations().days}
    monday = week_of(first)
    while monday <= last:
        dates = [monday + timedelta(days=n) for n in range(7)]
        dates = [on for on in dates if first <= on <= last]
        due = [task for task in tasks if task.on in dates]
        rations = [each for on in dates if on in fed for each in _rations(rota, fed[on])]
        if due or any(each.amount != NO_FEED for each in rations):
            yield Week(
                monday,
                tuple(dates),
                tuple(visit.days(rota, due)),
                tuple(due),
                tuple(rations),
                tuple((name, tuple(_expected(rota, name, on) for on in dates)) for name in rota.benches),
            )
        monday += _WEEK


def _rations(rota: Rota, day: RationDay) -> Iterator[Ration]:
    units = rota.plan.units
    away = any(each.first <= day.on <= each.last for each in rota.plan.away)
    label = f"{short_day(day.on)}, away" if away else short_day(day.on)
    for serving in day.servings:
        poured = [each for each in day.portions if each.consumer == serving.consumer]
        bottles = ", ".join(dict.fromkeys(f"harvest {each.harvest.id.partition(':')[2]}" for each in poured))
        short = poured and serving.short_ml > SHORT_ML
        lacking = f"{amount.ration(serving.short_ml, units)} short" if short else ""
        given = amount.ration(serving.fed_ml, units) if poured else NO_FEED
        yield Ration(
            day.on, label, serving.consumer, given, "; ".join(part for part in (bottles, lacking) if part)
        )


def _expected(rota: Rota, vessel: str, on: date) -> str:
    found = before_work(rota, vessel, on)
    return "" if found is None else amount.millions(found[1].density_per_ml)
