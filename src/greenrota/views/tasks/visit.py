"""Visits: the tasks of a day by vessel, each as a short line with its amounts first.

A day begins with one line for all the salt water that is mixed and one for all vessels that are cleaned. Then come the
vessels in working order: what gives stands before what receives.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from greenrota.rota.kinds import CLEANING, MIXED_FOR
from greenrota.rota.rota import Rota
from greenrota.rota.tasks.measured import poured
from greenrota.rota.tasks.task import Task, served
from greenrota.views.tasks import care
from greenrota.views.tasks.pour import done
from greenrota.views.text import amount
from greenrota.views.text.day import day_text, short_day


@dataclass(frozen=True, slots=True)
class Line:
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


@dataclass(frozen=True, slots=True)
class Day:
    """A day of tasks: what is made ready, then a group of lines for every vessel, in working order."""

    on: date
    ready: tuple[Line, ...]
    vessels: tuple[tuple[Line, ...], ...]

    @property
    def lines(self) -> tuple[Line, ...]:
        """All lines of the day, in working order."""
        return (*self.ready, *(line for of_vessel in self.vessels for line in of_vessel))


def days(rota: Rota, tasks: Sequence[Task]) -> list[Day]:
    """Tasks of a rota, given in the order of its calendar, as days with their visits."""
    poured_on = {prepare: task.on for prepare, task in served(rota.tasks).items()}
    return [
        _day(rota, on, list(of_day), poured_on) for on, of_day in groupby(tasks, key=lambda task: task.on)
    ]


def _day(rota: Rota, on: date, tasks: Sequence[Task], poured_on: Mapping[str, date]) -> Day:
    prepares = [task for task in tasks if task.kind == "prepare"]
    by_vessel: dict[str, list[Task]] = {}
    for task in tasks:
        if task.kind != "prepare":
            by_vessel.setdefault(task.vessel, []).append(task)
    visits = tuple(tuple(_visit(rota, of_vessel)) for of_vessel in by_vessel.values())
    return Day(on, tuple(_ready(rota, prepares, poured_on)), visits)


def _ready(rota: Rota, prepares: Sequence[Task], poured_on: Mapping[str, date]) -> Iterable[Line]:
    """A line for the vessels that are cleaned and one for the salt water that is mixed."""
    cleaned = [task for task in prepares if is_cleaning(task)]
    if cleaned:
        names = ", ".join(task.vessel for task in cleaned)
        late = _overdue(rota, cleaned)
        yield Line("", f"{late}clean {names}", None, "", care.words(cleaned), tuple(cleaned))
    if prepares:
        yield Line(
            "", f"{_overdue(rota, prepares)}{_mix(rota, prepares, poured_on)}", None, "", "", tuple(prepares)
        )


def is_cleaning(task: Task) -> bool:
    """True for a prepare task in which the vessel is cleaned too."""
    return task.kind == "prepare" and CLEANING[0] in task.cautions


def _mix(rota: Rota, prepares: Sequence[Task], poured_on: Mapping[str, date]) -> str:
    """How much is mixed in all, and for which vessel on which day; how much goes where stands at its filling."""
    volume, salt = mixed(rota, prepares)
    by_day: dict[date, list[str]] = {}
    for task in prepares:
        by_day.setdefault(poured_on.get(task.id, task.on), []).append(task.vessel)
    same_day = list(by_day) == [prepares[0].on]
    parts = [", ".join(names) + ("" if same_day else f" on {short_day(on)}") for on, names in by_day.items()]
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
        words = [word for word in care.words([task]).split(", ") if word and word not in said]
        said.update(words)
        density = task.density_after_per_ml if task.kind in MIXED_FOR else task.density_before_per_ml
        text = f"{_overdue(rota, [task])}{done(task, rota.plan.units)}"
        yield Line(task.vessel, text, density, task.batch.rpartition("/")[2], ", ".join(words), (task,))


def _overdue(rota: Rota, tasks: Iterable[Task]) -> str:
    since = [rota.overdue[task.id] for task in tasks if task.id in rota.overdue]
    return f"OVERDUE since {day_text(min(since))}: " if since else ""


def _volume(rota: Rota, volume_ml: float | None) -> str:
    return amount.volume(volume_ml or 0.0, rota.plan.units)
