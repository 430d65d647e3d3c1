"""Visits: everything that is done at one vessel on one day, in working order, with the day's salt water as one visit."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from greenrota.rota.measuring import poured
from greenrota.rota.task import Task
from greenrota.views import amount
from greenrota.views.pour import pour_text

SALT_WATER = "salt water"  # what the visit is called in which the day's seawater is mixed
_WORDS = {"reseed": "re-seed", "feed": "second dose"}  # kinds of task that a page says otherwise
# The task that stands for a visit: it keeps its identity when others join or leave. Order: our choice.
_LEADING = ("harvest", "reseed", "start", "renew", "feed", "bank", "prepare")


@dataclass(frozen=True, slots=True)
class VesselVisit:
    """The tasks of one vessel on one day; `vessel` is None for the mixing of the day's salt water."""

    on: date
    vessel: str | None
    tasks: tuple[Task, ...]

    @property
    def title(self) -> str:
        """The vessel's name, or what the mixing is called."""
        return SALT_WATER if self.vessel is None else self.vessel

    @property
    def leading(self) -> Task:
        """The task that stands for the visit."""
        return min(self.tasks, key=lambda task: _LEADING.index(task.kind))


def vessel_visits(tasks: Iterable[Task]) -> list[VesselVisit]:
    """The visits of dated tasks, which come in the order of the calendar; those of a day in working order.

    Salt water is mixed first, for all. The vessels follow in the order of their first tasks, so that what gives comes
    before what receives.
    """
    visits: list[VesselVisit] = []
    for on, of_day in groupby(tasks, key=lambda task: task.on):
        together: dict[str | None, list[Task]] = {}
        for task in sorted(of_day, key=lambda task: task.kind != "prepare"):
            together.setdefault(None if task.kind == "prepare" else task.vessel, []).append(task)
        visits += [VesselVisit(on, vessel, tuple(done)) for vessel, done in together.items()]
    return visits


def kind_word(kind: str) -> str:
    """A kind of task as pages say it.

    >>> kind_word("reseed"), kind_word("harvest")
    ('re-seed', 'harvest')
    """
    return _WORDS.get(kind, kind)


def head(visit: VesselVisit) -> str:
    """What a visit is about in a few words: "north: harvest, re-seed"."""
    if visit.vessel is None:
        return visit.title
    return f"{visit.title}: {', '.join(kind_word(task.kind) for task in visit.tasks)}"


def visit_lines(visit: VesselVisit, units: str) -> list[tuple[str, str]]:
    """The steps of a visit: what is done, and its amounts; a first line with the total where several mix."""
    if visit.vessel is not None:
        return [(kind_word(task.kind), pour_text(task, units)) for task in visit.tasks]
    lines = [(f"{_cleaning(task)}for {task.vessel}", pour_text(task, units)) for task in visit.tasks]
    return lines if len(lines) == 1 else [("in all", mixed_text(visit.tasks, units)), *lines]


def _cleaning(task: Task) -> str:
    return "clean, mix " if "bleach" in task.cautions else "mix "


def mixed_text(tasks: Sequence[Task], units: str) -> str:
    """The salt water that the prepare tasks among these mix in all, and its dry salt; "" where none does."""
    mixed = [poured(task) for task in tasks if task.kind == "prepare"]
    if not mixed:
        return ""
    seawater_ml = sum(each.seawater_ml or 0.0 for each in mixed)
    salt_g = sum(each.salt_g or 0.0 for each in mixed)
    return f"{amount.volume(seawater_ml, units)} with {amount.mass(salt_g, units)} dry salt"
