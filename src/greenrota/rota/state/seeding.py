"""Seeding: how much culture starts a vessel."""

from __future__ import annotations

from greenrota.culture.growth.broth import ML_PER_L, bench_ceiling_per_ml
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.cycle import Cycle

MOST_INOCULUM_SHARE = 0.5  # of the fill: more than half is a move, not a seeding; our choice


def least_inoculum_ml(bench: Bench, density_per_ml: float) -> float:
    """Culture of this density that starts the bench's vessel at the lowest share of its ceiling worth starting at."""
    return bench.least_cells / density_per_ml if density_per_ml > 0.0 else float("inf")


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
