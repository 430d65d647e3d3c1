"""Rota: the result of scheduling, with everything a view or a check may want to know."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from greenrota.rota.bench import Bench
from greenrota.rota.caveat import Caveat
from greenrota.rota.cycle import Cycle
from greenrota.rota.forecast import Forecast
from greenrota.rota.plan import Plan
from greenrota.rota.shelf import Shelf
from greenrota.rota.task import Task


@dataclass(frozen=True, slots=True)
class Rota:
    """A plan turned into dates.

    `shelf` is the state it was planned from, `forecast` the walk behind the tasks, `caveats` what to know before
    trusting it.
    """

    plan: Plan
    as_of: date
    through: date
    benches: Mapping[str, Bench]
    cycles: Mapping[str, Cycle]
    shelf: Shelf
    forecast: Forecast
    tasks: tuple[Task, ...]
    caveats: tuple[Caveat, ...] = ()
