"""Schedule: from a plan to a rota. The same pure function plans the first month and replans after a crash."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from greenrota.rota.bench import benches
from greenrota.rota.cycle import cycle_for
from greenrota.rota.fitness import fitness
from greenrota.rota.forecast import Setting, forecast
from greenrota.rota.foresight import foresight
from greenrota.rota.opendays import OpenDays
from greenrota.rota.plan import Plan
from greenrota.rota.rota import Rota
from greenrota.rota.shelf import Shelf, first_shelf
from greenrota.rota.task import tasks_from
from greenrota.rota.visit import Wishes


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
    rota = Rota(setting.plan, as_of, walked.through, setting.benches, setting.cycles, shelf, walked, tasks)
    return replace(rota, caveats=(*fitness(setting.benches, setting.cycles), *foresight(rota)))
