"""Seeding: which empty vessel gets its inoculum from where, and how much of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from greenrota.culture.bench import inoculum
from greenrota.culture.growth.broth import ML_PER_L, bench_ceiling_per_ml
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.cycle import Cycle
from greenrota.rota.state.state import FridgeBottle, State

SPILT_SHARE = 0.002  # of a bottle by which a share may fall short of what was promised; our choice
MOST_INOCULUM_SHARE = 0.5  # of the fill: more than half is a move, not a seeding; our choice


@dataclass(frozen=True, slots=True)
class StarterShare:
    """A part of a bottle set aside to start a vessel.

    It can be used from `least_on` to `last_on`, when the bottle is too old; `first_on` spreads the harvests of the
    strain over the cycle.
    """

    vessel: str
    source: str
    volume_ml: float
    least_on: date
    first_on: date
    last_on: date


def least_inoculum_ml(bench: Bench, density_per_ml: float) -> float:
    """Culture of this density that starts the bench's vessel at the lowest share of its ceiling worth starting at."""
    vessel = bench.vessel
    goal_per_ml = inoculum.MIN_START_SHARE * bench_ceiling_per_ml(bench.strain, vessel.fill_l)
    return vessel.fill_l * ML_PER_L * goal_per_ml / density_per_ml if density_per_ml > 0.0 else float("inf")


def allot(
    state: State,
    benches: Mapping[str, Bench],
    cycles: Mapping[str, Cycle],
    empty: Sequence[str],
    on: date,
    opened: date,
) -> list[StarterShare]:
    """Share the starters' free part out over empty vessels, in plan order, starts spread over the cycle.

    Each strain's starters seed as many of its vessels as start above the least share of the ceiling; one at least. All
    of them start at the same share of their ceilings, so that what one takes leaves enough for the others.
    How far a starter reaches is judged by its age on the day the rota `opened`, so that a share once promised is not
    given to another vessel because the bottle has aged since. A bottle that has gone too old seeds nothing, and no
    vessel gets more than it can take in as a seeding.
    """
    allotments: list[StarterShare] = []
    waiting = list(empty)
    for bottle in _starters(state, on):
        takers = [name for name in waiting if benches[name].strain.name == bottle.strain]
        if not takers:
            continue
        seeded = _reach(bottle, [benches[name] for name in takers], on, opened)
        family = sum(bench.strain.name == bottle.strain for bench in benches.values())
        needs = {name: least_inoculum_ml(benches[name], bottle.density_per_ml) for name in takers[:seeded]}
        free_ml = bottle.volume_ml - bottle.held_ml
        for place, (name, least_ml) in enumerate(needs.items()):
            share = least_ml / sum(needs.values())
            least_on = max(on, bottle.filled)
            wait = timedelta(days=round(place * cycles[name].days / family))
            volume_ml = min(free_ml * share, most_inoculum_ml(benches[name], cycles[name]))
            last_on = bottle.filled + timedelta(days=int(benches[name].strain.fridge_days))
            allotments.append(StarterShare(name, bottle.id, volume_ml, least_on, least_on + wait, last_on))
            waiting.remove(name)
    return allotments


def _starters(state: State, on: date) -> list[FridgeBottle]:
    """Starters with something free in them, oldest first."""
    bottles = [b for b in state.bottles.values() if b.parent is None and b.volume_ml - b.held_ml > 0.0]
    return sorted(bottles, key=lambda bottle: (bottle.filled, bottle.id))


def _reach(bottle: FridgeBottle, takers: Sequence[Bench], on: date, opened: date) -> int:
    """How many of the takers, in order, the free part of the bottle starts well; at least one while it lives."""
    fridge_days = takers[0].strain.fridge_days
    if inoculum.too_old(float(max(0, (on - bottle.filled).days)), fridge_days):
        return 0
    age_days = float(max(0, (min(on, opened) - bottle.filled).days))
    alive_per_ml = bottle.density_per_ml * inoculum.fridge_share_alive(age_days, fridge_days)
    left_ml = bottle.volume_ml - bottle.held_ml
    reach = 0
    for bench in takers:
        left_ml -= least_inoculum_ml(bench, alive_per_ml)
        if left_ml < -SPILT_SHARE * bottle.volume_ml:
            break
        reach += 1
    return max(1, reach)


def inoculum_ml(bench: Bench, cycle: Cycle, density_per_ml: float, goal_per_ml: float) -> float:
    """Culture that starts the vessel at the density its own re-seed would have, never more than half the fill."""
    wanted_l = bench.vessel.fill_l * goal_per_ml / density_per_ml if density_per_ml > 0.0 else float("inf")
    return min(wanted_l * ML_PER_L, most_inoculum_ml(bench, cycle))


def most_inoculum_ml(bench: Bench, cycle: Cycle) -> float:
    """The most culture that starts a vessel: half its fill, or its usual carry-over if that is more."""
    return max(MOST_INOCULUM_SHARE, cycle.keep_share) * bench.vessel.fill_l * ML_PER_L


def reseed_density_per_ml(bench: Bench, cycle: Cycle) -> float:
    """The density a re-seed of this vessel starts from in steady state: keep-back share of the peak."""
    peak = max(cycle.peak_share, 0.5) * bench_ceiling_per_ml(bench.strain, bench.vessel.fill_l)
    return cycle.keep_share * peak
