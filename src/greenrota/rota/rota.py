"""Rota: the result of scheduling, with everything a view or a check may want to know."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from greenrota.errors import Problem
from greenrota.rota.bench import Bench
from greenrota.rota.caveat import Caveat
from greenrota.rota.cycle import Cycle
from greenrota.rota.elsewhere import Elsewhere
from greenrota.rota.forecast import Forecast
from greenrota.rota.history import Crash
from greenrota.rota.lineage import Suspicion
from greenrota.rota.look import Look
from greenrota.rota.plan import Plan
from greenrota.rota.search import Found
from greenrota.rota.setting import Setting
from greenrota.rota.shelf import Shelf
from greenrota.rota.standpoint import Standpoint
from greenrota.rota.task import Task
from greenrota.rota.visit import Span, Wishes


@dataclass(frozen=True, slots=True)
class Rota:
    """A plan turned into dates.

    `standpoint` is the state it was planned from, `standing` the dates it was to keep, `found` the search's result
    with its score, `caveats` what to know before trusting it. The rest comes from the logbook: the stretches of past
    batches, crashes, suspicions and what is to be looked at, the day on which overdue tasks were due (by task id),
    problems of its entries, the mL poured so far out of each nutrient bottle, and vessels that are not in the plan.
    """

    setting: Setting
    as_of: date
    standpoint: Standpoint
    standing: Wishes
    found: Found
    tasks: tuple[Task, ...]
    caveats: tuple[Caveat, ...] = ()
    history: tuple[Span, ...] = ()
    crashes: tuple[Crash, ...] = ()
    suspects: Mapping[str, Suspicion] = field(default_factory=dict)
    looks: tuple[Look, ...] = ()
    overdue: Mapping[str, date] = field(default_factory=dict)
    problems: tuple[Problem, ...] = ()
    poured: Mapping[str, float] = field(default_factory=dict)
    elsewhere: Elsewhere = field(default_factory=Elsewhere)

    @property
    def plan(self) -> Plan:
        """The plan behind it."""
        return self.setting.plan

    @property
    def through(self) -> date:
        """Last day of the horizon, included."""
        return self.setting.plan.through

    @property
    def benches(self) -> Mapping[str, Bench]:
        """The vessels' benches by name."""
        return self.setting.benches

    @property
    def cycles(self) -> Mapping[str, Cycle]:
        """How each vessel is worked, by name."""
        return self.setting.cycles

    @property
    def forecast(self) -> Forecast:
        """The walk behind the tasks."""
        return self.found.walked

    @property
    def shelf(self) -> Shelf:
        """The shelf the rota was planned from."""
        return self.standpoint.shelf
