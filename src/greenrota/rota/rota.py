"""Rota: the result of scheduling, with everything a view or a check may want to know."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from greenrota.errors import Problem
from greenrota.rota.bench import Bench
from greenrota.rota.caveat import Caveat
from greenrota.rota.cycle import Cycle
from greenrota.rota.forecast import Forecast
from greenrota.rota.history import Crash
from greenrota.rota.lineage import Suspicion
from greenrota.rota.look import Look
from greenrota.rota.plan import Plan
from greenrota.rota.shelf import Shelf
from greenrota.rota.standpoint import Standpoint
from greenrota.rota.task import Task
from greenrota.rota.visit import Span


@dataclass(frozen=True, slots=True)
class Rota:
    """A plan turned into dates.

    `standpoint` is the state it was planned from, `forecast` the walk behind the tasks, `caveats` what to know before
    trusting it. The rest comes from the logbook: the stretches of past batches, crashes, suspicions and what is to
    be looked at, the day on which overdue tasks were due (by task id), and problems of its entries.
    """

    plan: Plan
    as_of: date
    through: date
    benches: Mapping[str, Bench]
    cycles: Mapping[str, Cycle]
    standpoint: Standpoint
    forecast: Forecast
    tasks: tuple[Task, ...]
    caveats: tuple[Caveat, ...] = ()
    history: tuple[Span, ...] = ()
    crashes: tuple[Crash, ...] = ()
    suspects: Mapping[str, Suspicion] = field(default_factory=dict)
    looks: tuple[Look, ...] = ()
    overdue: Mapping[str, date] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()

    @property
    def shelf(self) -> Shelf:
        """The shelf the rota was planned from."""
        return self.standpoint.shelf
