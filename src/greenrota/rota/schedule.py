"""Schedule: from a plan to a rota. The same pure function plans the first month and replans after a crash."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from greenrota.rota.bench import Bench, benches
from greenrota.rota.cycle import Cycle, cycle_for
from greenrota.rota.forecast import Forecast, Setting, forecast
from greenrota.rota.opendays import OpenDays
from greenrota.rota.plan import Plan
from greenrota.rota.shelf import Shelf, first_shelf
from greenrota.rota.task import Task, tasks_from
from greenrota.rota.visit import Wishes


@dataclass(frozen=True, slots=True)
class Rota:
    """A plan turned into dates. `shelf` is the state it was planned from, `forecast` the walk behind the tasks."""

    plan: Plan
    as_of: date
    through: date
    benches: Mapping[str, Bench]
    cycles: Mapping[str, Cycle]
    shelf: Shelf
    forecast: Forecast
    tasks: tuple[Task, ...]


def setting_for(plan: Plan) -> Setting:
    """Benches, cycles and open days of a plan: what every walk over it shares."""
    on_benches = benches(plan)
    cycles = {name: cycle_for(bench, plan.cycle, plan.work.weekdays) for name, bench in on_benches.items()}
    return Setting(plan, on_benches, cycles, OpenDays(plan), {})


def schedule(plan: Plan) -> Rota:
    """The rota of a plan from its first day, with the starters on hand and empty vessels."""
    setting = setting_for(plan)
    return rota_from(setting, first_shelf(plan), plan.start, Wishes(), frozenset())


def rota_from(setting: Setting, shelf: Shelf, as_of: date, wishes: Wishes, suspect: frozenset[str]) -> Rota:
    """The rota that follows from a shelf on a day."""
    walked = forecast(setting, shelf, as_of, wishes, suspect)
    tasks = tasks_from(setting.benches, walked.visits, as_of, setting.open_days)
    return Rota(setting.plan, as_of, walked.through, setting.benches, setting.cycles, shelf, walked, tasks)
