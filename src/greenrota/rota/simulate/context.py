"""Context: what all simulations of one plan share."""

from collections.abc import Hashable, Mapping
from datetime import date, timedelta
from typing import NamedTuple

from greenrota.rota.plan import Plan
from greenrota.rota.simulate.cache import ActionCache
from greenrota.rota.simulate.projection import Projection
from greenrota.rota.simulate.start import StartState
from greenrota.rota.state.backups import least_cells
from greenrota.rota.state.bench import Bench, benches
from greenrota.rota.state.cycle import Cycle, cycle_for
from greenrota.rota.state.opendays import OpenDays
from greenrota.rota.state.scale_up import TopUp
from greenrota.rota.state.sharing import Allotment
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


class CachedAllotments(NamedTuple):
    """How starters are shared out from a start state, which is kept so that its identity (`id`) is not used again."""

    start_state: StartState
    allotments: tuple[Allotment, ...]


class Settled(NamedTuple):
    """Days up to `through` for which a rota stands already: with harvest days for these batches, for others none."""

    through: date
    harvests: frozenset[str]

    def may_harvest(self, batch: str, on: date) -> bool:
        """Whether a harvest on a day adds nothing to what stands."""
        return on > self.through or batch in self.harvests


class Context(NamedTuple):
    """Plan, benches, cycles and open days, and caches of what was already worked out for them.

    `through` is the last day that is simulated, included; by strain, `least_cells` restart the least needy vessel, and
    `kin` are all vessels; `settled` are days that a rota is planned beyond.
    """

    plan: Plan
    through: date
    benches: Mapping[str, Bench]
    cycles: Mapping[str, Cycle]
    least_cells: Mapping[str, float]
    kin: Mapping[str, tuple[str, ...]]
    open_days: OpenDays
    projections: dict[Hashable, CachedProjection]
    allotments: dict[Hashable, CachedAllotments]
    cache: ActionCache
    settled: Settled | None = None

    def horizon(self, on: date) -> date:
        """The last day that a decision of a day looks ahead to: the end of the rota that stands already, if any."""
        return (
            self.settled.through if self.settled is not None and on <= self.settled.through else self.through
        )

    def forget(self) -> None:
        """Drop what was worked out for simulations: after a search, whose many rotas nobody asks for again."""
        self.projections.clear()
        self.allotments.clear()
        self.cache.forget()


def horizon_end(plan: Plan, as_of: date) -> date:
    """The last day of the horizon, included: the plan's number of days from a day on, or from its start if later."""
    return max(plan.start, as_of) + timedelta(days=plan.days - 1)


def context_for(plan: Plan) -> Context:
    """Benches, cycles and open days of a plan, up to the end of its first horizon."""
    on_benches = benches(plan)
    cycles = {name: cycle_for(bench, plan.cycle, plan.work.weekdays) for name, bench in on_benches.items()}
    strains = dict.fromkeys(bench.strain.name for bench in on_benches.values())
    least = {strain: least_cells(on_benches, strain) for strain in strains}
    kin = {
        strain: tuple(name for name, bench in on_benches.items() if bench.strain.name == strain)
        for strain in least
    }
    open_days, cache = OpenDays(plan), _cache_for(plan)
    return Context(plan, plan.through, on_benches, cycles, least, kin, open_days, {}, {}, cache)


def context_from(context: Context, as_of: date) -> Context:
    """The same place with its horizon counted from a day on; new caches where the horizon is another."""
    through = horizon_end(context.plan, as_of)
    return context if through == context.through else context_through(context, through)


def context_through(context: Context, through: date, settled: Settled | None = None) -> Context:
    """The same place with its horizon up to a day, included, and new caches."""
    cache = _cache_for(context.plan)
    return context._replace(through=through, projections={}, allotments={}, cache=cache, settled=settled)


def _cache_for(plan: Plan) -> ActionCache:
    return ActionCache(keeps=len(plan.vessels) * plan.days <= SIMULATED_ONCE)
