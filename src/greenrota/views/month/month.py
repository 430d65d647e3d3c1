"""A month at a glance, as a record: weeks of days, what is done in each, and in which days a vessel is ripe."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from greenrota.rota.answers.contents import choice_of, vessel_intervals
from greenrota.rota.kinds import FILLING, TASK_KINDS
from greenrota.rota.rota import Rota
from greenrota.rota.state.opendays import DAY, OpenDays
from greenrota.rota.tasks.measured import poured
from greenrota.rota.tasks.task import Task
from greenrota.views.tasks import care, visit
from greenrota.views.tasks.visit import mixed
from greenrota.views.text import amount
from greenrota.views.text.day import week_of

WEEKS = 5  # our choice: at least 29 days from any first day
RIPE, OVER_RIPE = "ripe", "over-ripe"


@dataclass(frozen=True, slots=True)
class Entry:
    """What is done to one vessel on a day: words ("bank", "harvest"), the main amount, and the new salt water."""

    vessel: str
    words: tuple[str, ...]
    amount: str
    seawater: str = ""
    overdue: bool = False


@dataclass(frozen=True, slots=True)
class MonthDay:
    """A day. `kind` is "open", "off" (no working day), "away" or "outside" (before or after the rota).

    `ripe` holds `RIPE` or `OVER_RIPE` for every vessel that stands so and is not worked on. `clean` are the vessels
    that are cleaned, `mix` is the salt water of the day and `salt` its dry salt, "" for none. `care` are the words of
    care of everything that is done.
    """

    on: date
    kind: str
    entries: tuple[Entry, ...]
    ripe: Mapping[str, str]
    clean: tuple[str, ...]
    mix: str
    salt: str
    care: str


@dataclass(frozen=True, slots=True)
class Month:
    """Whole weeks of days, Monday first."""

    rota: Rota
    weeks: tuple[tuple[MonthDay, ...], ...]

    @property
    def first(self) -> date:
        """The first day, a Monday."""
        return self.weeks[0][0].on

    @property
    def last(self) -> date:
        """The last day, a Sunday."""
        return self.weeks[-1][-1].on

    @property
    def tasks(self) -> tuple[Task, ...]:
        """All tasks of the month."""
        return tuple(task for task in self.rota.tasks if self.first <= task.on <= self.last)


def month(rota: Rota, first: date | None = None, last: date | None = None) -> Month:
    """Whole weeks from the week of a day, by default the day the rota was planned on; fewer if it ends sooner.

    Through the week of the `last` day, or five.
    """
    monday = week_of(rota.as_of if first is None else first)
    weeks_wanted = WEEKS if last is None else (last - monday).days // 7 + 1
    ripe = {name: dict(_ripe(rota, name)) for name in rota.benches}
    open_days = OpenDays(rota.plan)
    tasks = [task for task in rota.tasks if task.on >= monday]
    by_day = {day.on: day for day in visit.days(rota, tasks)}
    weeks = []
    for n in range(weeks_wanted):
        begins = monday + timedelta(days=7 * n)
        if n == 0 or begins <= rota.through:
            on_days = [begins + timedelta(days=k) for k in range(7)]
            weeks.append(tuple(_day(rota, on, by_day.get(on), ripe, open_days) for on in on_days))
    return Month(rota, tuple(weeks))


def _day(
    rota: Rota,
    on: date,
    found: visit.Day | None,
    ripe: Mapping[str, Mapping[date, str]],
    open_days: OpenDays,
) -> MonthDay:
    lines = () if found is None else found.lines
    entries = () if found is None else tuple(_entry(rota, of_vessel) for of_vessel in found.vessels)
    worked = {entry.vessel for entry in entries}
    tasks = {task.id: task for line in lines for task in line.tasks}
    prepares = [task for task in tasks.values() if task.kind == "prepare"]
    water, salt = mixed(rota, prepares) if prepares else ("", "")
    return MonthDay(
        on,
        _kind(rota, on, open_days),
        entries,
        {name: days[on] for name, days in ripe.items() if on in days and name not in worked},
        tuple(name for task in tasks.values() for name in task.cleans),
        water,
        salt,
        care.words(tasks.values()),
    )


def _kind(rota: Rota, on: date, open_days: OpenDays) -> str:
    if open_days.is_away(on):
        return "away"
    if not min(rota.as_of, rota.plan.start) <= on <= rota.through:
        return "outside"
    return "open" if open_days.is_open(on) else "off"


def _entry(rota: Rota, lines: Sequence[visit.Line]) -> Entry:
    tasks = list({task.id: task for line in lines for task in line.tasks}.values())
    words = (TASK_KINDS[task.kind].month for task in tasks)
    return Entry(
        tasks[0].vessel,
        tuple(dict.fromkeys(word for word in words if word)) or ("re-seed",),
        next((text for text in (_amount(rota, task) for task in reversed(tasks)) if text), ""),
        _seawater(rota, tasks),
        any(task.id in rota.overdue for task in tasks),
    )


def _amount(rota: Rota, task: Task) -> str:
    """The amount that stands in the month: what is harvested, or what starts the vessel, or the dose."""
    name = TASK_KINDS[task.kind].month_amount
    taken_ml = None if name is None else poured(task).of(name)
    return amount.volume(taken_ml, rota.plan.units) if taken_ml else ""


def _seawater(rota: Rota, tasks: Sequence[Task]) -> str:
    """The new salt water that a vessel gets when it is started or re-seeded, "" for none."""
    poured_ml = sum(poured(task).seawater_ml or 0.0 for task in tasks if task.kind in FILLING)
    return amount.volume(poured_ml, rota.plan.units) if poured_ml else ""


def _ripe(rota: Rota, vessel: str) -> Iterator[tuple[date, str]]:
    """Every day on which the vessel stands ripe or over-ripe, up to its harvest or the end of the rota."""
    for batch in dict.fromkeys(interval.batch.id for interval in vessel_intervals(rota, vessel)):
        choice = choice_of(rota, batch)
        if choice is None or choice.projection.ripe_on is None:
            continue
        on, over_on = choice.projection.ripe_on, choice.projection.over_on
        last = rota.through if choice.taken is None else choice.taken
        while on <= last:
            yield on, RIPE if over_on is None or on < over_on else OVER_RIPE
            on += DAY
