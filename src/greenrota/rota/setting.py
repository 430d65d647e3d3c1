"""Setting: what every walk over one plan shares."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from greenrota.rota.bench import Bench, benches
from greenrota.rota.cycle import Cycle, cycle_for
from greenrota.rota.memory import Memory
from greenrota.rota.opendays import OpenDays
from greenrota.rota.outlook import Outlook
from greenrota.rota.plan import Plan
from greenrota.rota.shelf import Standing

WALKED_ONCE = 20_000  # vessel-days: some fifty vessels for a year; a larger plan is not searched; our choice


class Sight(NamedTuple):
    """What can be seen of a batch when it opens: its outlook and the days on which it may be harvested.

    `standing` is the record it was seen from, kept so that its identity stays its own.
    """

    standing: Standing
    ahead: Outlook
    options: tuple[date, ...]


@dataclass(frozen=True, slots=True)
class Setting:
    """What stays the same from walk to walk: plan, benches, cycles, open days, and what was already looked at."""

    plan: Plan
    benches: Mapping[str, Bench]
    cycles: Mapping[str, Cycle]
    open_days: OpenDays
    sights: dict[tuple[int, date, bool], Sight]
    memory: Memory


def setting_for(plan: Plan) -> Setting:
    """Benches, cycles and open days of a plan."""
    on_benches = benches(plan)
    cycles = {name: cycle_for(bench, plan.cycle, plan.work.weekdays) for name, bench in on_benches.items()}
    keeps = len(plan.vessels) * plan.days <= WALKED_ONCE
    return Setting(plan, on_benches, cycles, OpenDays(plan), {}, Memory(keeps))
