"""Visits: the tasks of a day by vessel, each as a short line with its amounts first.

A day begins with one line for all vessels that are cleaned and one for every bucket of salt water that is mixed. Then
come the vessels in working order: what gives stands before what receives.
"""

from collections.abc import Iterable, Sequence
from datetime import date
from itertools import groupby
from typing import NamedTuple

from greenrota.rota.kinds import CLEANING, MIXED_FOR
from greenrota.rota.rota import Rota
from greenrota.rota.tasks.measured import poured
from greenrota.rota.tasks.task import Task
from greenrota.views.tasks import care
from greenrota.views.tasks.pour import done
from greenrota.views.text import amount
from greenrota.views.text.day import day_text, weekday

_CLEAN, _CLEAN_ONE = "clean ", "clean the vessel"


class Line(NamedTuple):
    """One thing that is done on a day.

    `vessel` and `batch` (its number) are empty for a line about several vessels; `density_per_ml` (cells per mL) is
    that of the harvest, or after a filling or top-up, None where there is none. `care` are the words of its cautions,
    `tasks` what the line stands for.
    """

    vessel: str
    text: str
    density_per_ml: float | None
    batch: str
    care: str
    tasks: tuple[Task, ...]

    @property
    def whole(self) -> str:
        """The text with the words of its cautions."""
        return f"{self.text}; care: {self.care}" if self.care else self.text


class Day(NamedTuple):
    """A day of tasks: what is made ready, then a group of lines for every vessel, in working order."""

    on: date
    ready: tuple[Line, ...]
    vessels: tuple[tuple[Line, ...], ...]

    @property
    def lines(self) -> tuple[Line, ...]:
        """All lines of the day, in working order."""
        return (*self.ready, *(line for of_vessel in self.vessels for line in of_vessel))


def cleaned_together(day: Day) -> Day:
    """The day with one line for all vessels that are cleaned, where it has one and visits that clean theirs as well.

    For lists that are read from top to bottom; a vessel's own line stays where a visit stands alone.
    """
    first = day.ready[0] if day.ready and day.ready[0].care else None
    own = [line for of_vessel in day.vessels for line in of_vessel if line.text == _CLEAN_ONE]
    if first is None or not own:
        return day
    names = ", ".join(sorted({name for line in (first, *own) for task in line.tasks for name in task.cleans}))
    text = f"{first.text.partition(_CLEAN)[0]}{_CLEAN}{names}"
    joined = first._replace(text=text, tasks=(*first.tasks, *(task for line in own for task in line.tasks)))
    vessels = tuple(tuple(line for line in lines if line not in own) for lines in day.vessels)
    return Day(day.on, (joined, *day.ready[1:]), vessels)


def days(rota: Rota, tasks: Sequence[Task]) -> list[Day]:
    """Tasks of a rota, given in the order of its calendar, as days with their visits."""
    return [_day(rota, on, list(of_day)) for on, of_day in groupby(tasks, key=lambda task: task.on)]


def _day(rota: Rota, on: date, tasks: Sequence[Task]) -> Day:
    prepares = [task for task in tasks if task.kind == "prepare"]
    by_vessel: dict[str, list[Task]] = {}
    for task in tasks:
        if task.kind != "prepare":
            by_vessel.setdefault(task.vessel, []).append(task)
    visits = tuple(tuple(_visit(rota, of_vessel)) for of_vessel in by_vessel.values())
    return Day(on, tuple(_ready(rota, prepares)), visits)


def _ready(rota: Rota, prepares: Sequence[Task]) -> Iterable[Line]:
    """A line for the vessels that are cleaned and one for every bucket of salt water that is mixed."""
    cleaned = [task for task in prepares if task.cleans]
    if cleaned:
        names = ", ".join(name for task in cleaned for name in task.cleans)
        late = _overdue(rota, cleaned)
        yield Line("", f"{late}{_CLEAN}{names}", None, "", care.words_of(CLEANING), tuple(cleaned))
    for task in prepares:
        yield Line("", f"{_overdue(rota, [task])}{_mix(rota, task)}", None, "", "", (task,))


def _mix(rota: Rota, task: Task) -> str:
    """How much is mixed, and for which vessel on which day; how much goes where stands at its filling."""
    volume, salt = mixed(rota, [task])
    by_day: dict[date, list[str]] = {}
    for fill in task.fills:
        by_day.setdefault(fill.on, []).append(fill.vessel)
    same_day = list(by_day) == [task.on]
    parts = [
        ", ".join(names) + ("" if same_day else f" {weekday(on)} {on.day}") for on, names in by_day.items()
    ]
    return f"mix {volume} salt water, {salt} salt: {'; '.join(parts)}"


def mixed(rota: Rota, tasks: Iterable[Task]) -> tuple[str, str]:
    """All the salt water that prepare tasks mix, and its dry salt, as texts; "0 mL" and "0 g" for none."""
    read = [poured(task) for task in tasks if task.kind == "prepare"]
    salt = amount.mass(sum(each.salt_g or 0.0 for each in read), rota.plan.units)
    return _volume(rota, sum(each.seawater_ml or 0.0 for each in read)), salt


def _visit(rota: Rota, tasks: Sequence[Task]) -> Iterable[Line]:
    """A line for each task of a vessel; words of care stand at the first task that needs them."""
    said: set[str] = set()
    for task in tasks:
        number = task.batch.rpartition("/")[2]
        if task.cleans:
            cleaning = care.words_of(CLEANING)
            said.update(cleaning.split(", "))
            yield Line(task.vessel, _CLEAN_ONE, None, "", cleaning, (task,))
        words = [word for word in care.words([task]).split(", ") if word and word not in said]
        said.update(words)
        density = task.density_after_per_ml if task.kind in MIXED_FOR else task.density_before_per_ml
        text = f"{_overdue(rota, [task])}{done(task, rota.plan.units)}"
        yield Line(task.vessel, text, density, number, ", ".join(words), (task,))


def _overdue(rota: Rota, tasks: Iterable[Task]) -> str:
    since = [rota.overdue[task.id] for task in tasks if task.id in rota.overdue]
    return f"OVERDUE since {day_text(min(since))}: " if since else ""


def _volume(rota: Rota, volume_ml: float | None) -> str:
    return amount.volume(volume_ml or 0.0, rota.plan.units)
