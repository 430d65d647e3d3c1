"""Days away: what is done before them, how each vessel stands meanwhile and on return, and what is fed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from greenrota.rota.answers.contents import after_work, choice_of, grown
from greenrota.rota.feed.bottles import BottleRecord
from greenrota.rota.feed.daily import RationDay
from greenrota.rota.feed.pouring import SHORT_ML
from greenrota.rota.feed.rations import given_to_animals, keeps_days
from greenrota.rota.plan import Away, Plan
from greenrota.rota.rota import Rota
from greenrota.rota.state.opendays import DAY
from greenrota.rota.tasks.task import Task

MeasureKind = Literal["early", "thinned", "dimmed", "parked"]
LAST_DAYS = 4  # before leaving, whose tasks are shown with the departure; our choice


@dataclass(frozen=True, slots=True)
class Measure:
    """A task that is done otherwise than usual because of the days away.

    `kind` is early (harvested before it is ripe), thinned (less is carried over), dimmed (less light until the next
    harvest) or parked (the vessel is emptied, the strain waits in the fridge).
    """

    kind: MeasureKind
    task: Task


@dataclass(frozen=True, slots=True)
class Left:
    """A vessel that is left alone. Densities in cells per mL; `back_share` of its ceiling.

    `ripe_on` and `over_on` as the batch is projected. An empty vessel has no batch, and `restart_on` where one is
    planned; `light_h` is a photoperiod other than the usual one.
    """

    vessel: str
    batch: str | None = None
    leaving_per_ml: float = 0.0
    back_per_ml: float = 0.0
    back_share: float = 0.0
    ripe_on: date | None = None
    over_on: date | None = None
    light_h: float | None = None
    restart_on: date | None = None


@dataclass(frozen=True, slots=True)
class Departure:
    """Days away in a row, both included, as the rota meets them.

    `tasks` are those of the last days before and every measure; `days` the rations of the days away within the
    horizon; `usable_through` the last day on which the newest bottle filled before leaving is young enough;
    `withheld` the bottles of which nobody may be given anything.
    """

    first: date
    last: date
    measures: tuple[Measure, ...]
    tasks: tuple[Task, ...]
    vessels: tuple[Left, ...]
    days: tuple[RationDay, ...]
    keeps_days: int
    usable_through: date | None
    withheld: tuple[BottleRecord, ...] = ()

    @property
    def back_on(self) -> date:
        """The first day on which somebody is at home again."""
        return self.last + DAY

    @property
    def short_days(self) -> tuple[RationDay, ...]:
        """The days away on which somebody gets less than the ration."""
        return tuple(day for day in self.days if day.short_ml > SHORT_ML)


def windows(plan: Plan) -> list[Away]:
    """The days away of a plan, earliest first; those that touch or overlap are one.

    >>> from types import SimpleNamespace as Shape
    >>> two = (Away(date(2027, 2, 5), date(2027, 2, 9)), Away(date(2027, 2, 3), date(2027, 2, 4)))
    >>> [(str(gone.first), str(gone.last)) for gone in windows(Shape(away=two))]
    [('2027-02-03', '2027-02-09')]
    """
    joined: list[Away] = []
    for gone in sorted(plan.away, key=lambda each: (each.first, each.last)):
        if joined and gone.first <= joined[-1].last + DAY:
            joined[-1] = Away(joined[-1].first, max(joined[-1].last, gone.last))
        else:
            joined.append(gone)
    return joined


def departures(rota: Rota) -> tuple[Departure, ...]:
    """Every stretch of days away that is still to come or has begun, within the horizon."""
    coming = (gone for gone in windows(rota.plan) if gone.last >= rota.as_of and gone.first <= rota.through)
    return tuple(_departure(rota, gone) for gone in coming)


def _departure(rota: Rota, gone: Away) -> Departure:
    measures = tuple(_measures(rota, gone))
    theirs = {measure.task.id for measure in measures}
    since = gone.first - timedelta(days=LAST_DAYS)
    tasks = [task for task in rota.tasks if task.on < gone.first and (task.on >= since or task.id in theirs)]
    book = rota.rations()
    return Departure(
        gone.first,
        gone.last,
        measures,
        tuple(tasks),
        tuple(_left(rota, name, gone) for name in rota.benches),
        tuple(day for day in book.days if gone.first <= day.on <= gone.last),
        book.keeps_days,
        _usable_through(rota, gone),
        rota.withheld,
    )


def _measures(rota: Rota, gone: Away) -> Iterator[Measure]:
    theirs = {
        f"{event.batch.id}/{event.kind}"
        for event in rota.simulation.events
        if event.away is not None and gone.first <= event.away.first <= gone.last
    }
    for task in rota.tasks:
        if task.on >= gone.first:
            continue
        if task.id in theirs:
            dimmed: MeasureKind = "thinned" if task.light_h is None else "dimmed"
            yield Measure("parked" if task.kind == "renew" else dimmed, task)
        elif task.kind == "harvest" and _is_early(rota, task, gone):
            yield Measure("early", task)


def _is_early(rota: Rota, task: Task, gone: Away) -> bool:
    """True for a harvest before leaving that would have been ripe only after leaving."""
    choice = choice_of(rota, task.batch)
    due = None if choice is None else choice.projection.pinned_on or choice.projection.ripe_on
    return due is not None and gone.first <= due <= gone.last


def _left(rota: Rota, vessel: str, gone: Away) -> Left:
    found = after_work(rota, vessel, max(gone.first - DAY, rota.as_of))
    if found is None:
        starts = (task.on for task in rota.tasks if task.kind == "start" and task.vessel == vessel)
        return Left(vessel, restart_on=next((on for on in starts if on > gone.last), None))
    interval, leaving = found
    back = grown(rota, interval, gone.last + DAY)
    choice = choice_of(rota, interval.batch.id)

    return Left(
        vessel,
        interval.batch.id,
        leaving.density_per_ml,
        back.density_per_ml,
        back.density_per_ml / rota.benches[vessel].ceiling(back).per_ml,
        None if choice is None else choice.projection.ripe_on,
        None if choice is None else choice.projection.over_on,
        interval.light_h,
    )


def _usable_through(rota: Rota, gone: Away) -> date | None:
    days = (
        harvest.on
        for harvest in given_to_animals(rota.plan, rota.simulation.state.harvests)
        if harvest.on < gone.first
    )
    newest = max(days, default=None)
    return None if newest is None else newest + timedelta(days=keeps_days(rota.plan))
