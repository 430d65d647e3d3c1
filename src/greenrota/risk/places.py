"""Places: the vessels, strains and bottles of a rota as arrays of numbers, for the seasons.

The state of a culture is one number, z = ceiling / density - 1. In it a day of logistic growth is one
multiplication by exp(-rate), and a culture that is poured away is z = inf; see `docs/model.md`.
"""

from __future__ import annotations

import math
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from greenrota.culture.growth.broth import ML_PER_L, Broth, seawater
from greenrota.rota.rota import Rota
from greenrota.rota.state import backups, seeding
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.cycle import FEED_GAIN, GRACE_DAYS, STATIONARY_SHARE, Cycle

Floats = NDArray[np.float64]
Shorts = NDArray[np.int16]


class Column:
    """One figure for each vessel, looked up by row; a single number where all are equal, which is quicker.

    >>> Column(np.array([4.0, 4.0]))[np.array([1, 0, 1])]
    4.0
    """

    def __init__(self, figures: NDArray[Any]) -> None:
        self.all = figures
        self._one = figures[0].item() if figures.size and (figures == figures[0]).all() else None

    def __getitem__(self, row: NDArray[np.intp]) -> Any:
        return self.all[row] if self._one is None else self._one


class Places(NamedTuple):
    """One entry for each vessel, in plan order. Volumes in mL, densities in cells per mL.

    `decay` is exp(-rate): what a day does to z. `over_z`: below it a culture counts as over-ripe. `top_per_ml` is the
    ceiling of a fresh filling; a restart needs `least_cells`, aims at `goal_cells` and takes at most `most_ml`.
    `strain` is an index into `Strains`; `feeds` is False for a standby vessel.
    """

    names: tuple[str, ...]
    decay: Floats
    rate_per_day: Floats
    over_z: Floats
    fill_ml: Floats
    keep_share: Floats
    top_per_ml: Floats
    least_cells: Floats
    goal_cells: Floats
    most_ml: Floats
    renew_after: Shorts
    strain: Shorts
    feeds: tuple[bool, ...]


class Strains(NamedTuple):
    """One entry for each strain: how long a fridge bottle lasts and at which age it is replaced.

    `least_cells` restart the vessel of the strain that needs least.
    """

    names: tuple[str, ...]
    fridge_days: tuple[float, ...]
    refresh_days: tuple[float, ...]
    least_cells: tuple[float, ...]


def places_of(rota: Rota, strains: tuple[str, ...]) -> Places:
    """The vessels of a rota; `strains` names the strains in the order of the index."""
    both = [(bench, rota.cycles[name]) for name, bench in rota.benches.items()]
    rates = np.array([bench.rate_per_day for bench, _ in both])
    return Places(
        names=tuple(rota.benches),
        decay=np.exp(-rates),
        rate_per_day=rates,
        over_z=(1.0 / STATIONARY_SHARE - 1.0) * np.exp(-rates * GRACE_DAYS),
        fill_ml=np.array([_fill_ml(bench) for bench, _ in both]),
        keep_share=np.array([cycle.keep_share for _, cycle in both]),
        top_per_ml=np.array([_top_per_ml(bench, cycle) for bench, cycle in both]),
        least_cells=np.array([bench.least_cells for bench, _ in both]),
        goal_cells=np.array([_fill_ml(b) * seeding.reseed_density_per_ml(b, c) for b, c in both]),
        most_ml=np.array([seeding.most_inoculum_ml(bench, cycle) for bench, cycle in both]),
        renew_after=np.array([cycle.renew_after for _, cycle in both], np.int16),
        strain=np.array([strains.index(bench.strain.name) for bench, _ in both], np.int16),
        feeds=tuple(bench.vessel.role != "standby" for bench, _ in both),
    )


def strains_of(rota: Rota, refresh_share: float) -> Strains:
    """The strains that grow in the vessels of a rota; a back-up is replaced at `refresh_share` of its fridge life."""
    names = tuple(sorted({bench.strain.name for bench in rota.benches.values()}))
    fridge_days = tuple(rota.plan.strains[name].fridge_days for name in names)
    return Strains(
        names,
        fridge_days,
        tuple(refresh_share * days for days in fridge_days),
        tuple(backups.least_cells(rota.benches, name) for name in names),
    )


def shape(bench: Bench, broth: Broth) -> float:
    """z of a broth in a vessel: ceiling / density - 1, a lag included; inf for a broth without cells."""
    if broth.density_per_ml <= 0.0:
        return math.inf
    z = bench.ceiling(broth).per_ml / broth.density_per_ml - 1.0
    return z * math.exp(bench.rate_per_day * broth.lag_days)


def spread(bench: Bench, broth: Broth) -> Broth:
    """The cells of a vessel that is being filled, in its whole working volume.

    In the exponential phase they grow alike, which is how the seasons take a vessel that is topped up.
    """
    whole_l = bench.vessel.fill_l
    return broth._replace(volume_l=whole_l, density_per_ml=broth.density_per_ml * broth.volume_l / whole_l)


def _fill_ml(bench: Bench) -> float:
    return bench.vessel.fill_l * ML_PER_L


def _top_per_ml(bench: Bench, cycle: Cycle) -> float:
    """Ceiling of a fresh filling, with the second dose where the rota would give one."""
    fresh = bench.dosed(seawater(bench.vessel.fill_l, bench.salinity_psu), bench.vessel.fill_l)
    low = bench.ceiling(fresh).per_ml
    high = bench.ceiling(bench.dosed(fresh, bench.vessel.fill_l * cycle.feed_dose)).per_ml
    return high if cycle.feed_day is not None or high >= (1.0 + FEED_GAIN) * low else low


class StoredBottle(NamedTuple):
    """A bottle on the first day: `strain` is an index into `Strains`, `filled` a day counted from the first.

    `drawn`: something was taken out of it already.
    """

    strain: int
    filled: int
    volume_ml: float
    density_per_ml: float
    drawn: bool = False


def starters_left(rota: Rota, strains: Strains) -> tuple[StoredBottle, ...]:
    """What is left of the starters, youngest first, once every vessel has had its first filling from them."""
    stood = set(rota.state.numbers)
    spoken_for: dict[str, float] = {}
    for event in rota.simulation.events:
        if event.kind == "start" and event.batch.vessel not in stood:
            parent = event.batch.parent
            spoken_for[parent] = spoken_for.get(parent, 0.0) + event.volume_ml
        stood.add(event.batch.vessel)
    bottles = [
        bottle
        for bottle in rota.state.bottles.values()
        if bottle.parent is None
        and bottle.strain in strains.names
        and bottle.id not in rota.start_state.suspect
    ]
    return tuple(
        StoredBottle(
            strains.names.index(bottle.strain),
            (bottle.filled - rota.as_of).days,
            max(0.0, bottle.volume_ml - spoken_for.get(bottle.id, 0.0)),
            bottle.density_per_ml,
        )
        for bottle in sorted(bottles, key=lambda b: ((rota.as_of - b.filled).days, b.id))
    )


def youngest_bottles(rota: Rota, strains: Strains) -> tuple[StoredBottle, ...]:
    """The youngest fridge back-up of each strain."""
    youngest: dict[int, StoredBottle] = {}
    barred = rota.start_state.suspect
    for bottle in rota.state.bottles.values():
        if bottle.parent is not None and bottle.strain in strains.names and bottle.id not in barred:
            strain, filled = strains.names.index(bottle.strain), (bottle.filled - rota.as_of).days
            if strain not in youngest or filled > youngest[strain].filled:
                drawn = backups.is_drawn(rota.state, bottle)
                youngest[strain] = StoredBottle(
                    strain, filled, bottle.volume_ml, bottle.density_per_ml, drawn
                )
    return tuple(youngest.values())
