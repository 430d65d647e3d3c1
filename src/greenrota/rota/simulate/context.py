"""Context: what all simulations of one plan share."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from greenrota.rota.plan import Plan
from greenrota.rota.simulate.cache import ActionCache
from greenrota.rota.simulate.projection import Projection
from greenrota.rota.state.bench import Bench, benches
from greenrota.rota.state.cycle import Cycle, cycle_for
from greenrota.rota.state.opendays import OpenDays
from greenrota.rota.state.scale_up import TopUp
from greenrota.rota.state.state import Culture

SIMULATED_ONCE = (
    20_000  # vessel-days: some fifty vessels for a year; a larger plan is not searched; our choice
)


class CachedProjection(NamedTuple):
    """The projection of a batch when it opens, the days on which it may be harvested, and its top-ups before.

    `culture` is the record it was made from, kept so that its identity (`id`) is not used again.
    """

    culture: Culture
    projection: Projection
    options: tuple[date, ...]
    topups: tuple[TopUp, ...] = ()


@dataclass(frozen=True, slots=True)
class Context:
    """Plan, benches, cycles and open days, and caches of what was already worked out for them."""

    plan: Plan
    benches: Mapping[str, Bench]
    cycles: Mapping[str, Cycle]
    open_days: OpenDays
    projections: dict[tuple[int, date, bool], CachedProjection]
    cache: ActionCache


def context_for(plan: Plan) -> Context:
    """Benches, cycles and open days of a plan."""
    on_benches = benches(plan)
    cycles = {name: cycle_for(bench, plan.cycle, plan.work.weekdays) for name, bench in on_benches.items()}
    keeps = len(plan.vessels) * plan.days <= SIMULATED_ONCE
    return Context(plan, on_benches, cycles, OpenDays(plan), {}, ActionCache(keeps))
