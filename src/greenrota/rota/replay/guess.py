"""Guesses: what a logbook entry leaves unsaid, filled in the likeliest way."""

from __future__ import annotations

from datetime import date

from greenrota.culture import inoculum
from greenrota.culture.broth import ML_PER_L, Broth, bench_ceiling_per_ml
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.state import State

INOCULUM_SHARE = 0.20  # of the fill, where a start does not say how much; our choice
BANK_SHARE = 0.10  # of the fill, where a back-up does not say how much; our choice
UNKNOWN_SOURCE = "starter:unknown"


def source(state: State, bench: Bench, on: date) -> str:
    """The oldest bottle of the strain that was on hand, for a start that does not say where it came from."""
    fitting = [b for b in state.bottles.values() if b.strain == bench.strain.name and b.filled <= on]
    return min(fitting, key=lambda b: (b.filled, b.id)).id if fitting else UNKNOWN_SOURCE


def inoculum_ml(bench: Bench) -> float:
    """The usual inoculum of a vessel in mL."""
    return INOCULUM_SHARE * bench.vessel.fill_l * ML_PER_L


def bank_ml(bench: Bench) -> float:
    """The usual back-up bottle of a vessel in mL."""
    return BANK_SHARE * bench.vessel.fill_l * ML_PER_L


def seed(bench: Bench, volume_ml: float, on: date) -> Broth:
    """An inoculum of unknown density, taken to start the vessel at the least share of its ceiling."""
    fill_l = bench.vessel.fill_l
    start_per_ml = inoculum.MIN_START_SHARE * bench_ceiling_per_ml(bench.strain, fill_l)
    density = start_per_ml * fill_l * ML_PER_L / max(volume_ml, 1.0)
    return bench.bottled(volume_ml / ML_PER_L, density, on, on)
