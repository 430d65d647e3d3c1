"""Homes: in how many places each strain lives, day by day. One loss must not end a strain, so two are wanted.

A place counts only while the strain could be started again from it: a vessel that is not too thin and not nearly
empty, a bottle in which enough cells are alive for a restart.
"""

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from functools import lru_cache
from itertools import accumulate
from typing import NamedTuple

from greenrota.culture.bench import inoculum
from greenrota.culture.growth.broth import bench_ceiling_per_ml, days_to_share
from greenrota.rota.simulate.events import Event, Interval
from greenrota.rota.simulate.simulation import Simulation
from greenrota.rota.simulate.start import StartState
from greenrota.rota.state.backups import least_cells
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.donors import THIN_START
from greenrota.rota.state.opendays import DAY
from greenrota.rota.state.state import back_up_id

# What a place must hold to count; all our choice. The density is that of a thin start.
LEAST_DENSITY_SHARE = THIN_START * inoculum.MIN_START_SHARE  # of the bench ceiling, in a vessel
LEAST_VOLUME_SHARE = 0.1  # of the working volume, in a vessel
LEAST_CELLS_SHARE = (
    THIN_START  # alive in a bottle, of those that restart the least needy vessel of the strain
)


class Stay(NamedTuple):
    """A place in which a strain lives from a day to a day, both included: a vessel or a fridge bottle."""

    place: str
    strain: str
    first: date
    last: date


def homes(
    simulated: Simulation, start_state: StartState, benches: Mapping[str, Bench]
) -> dict[str, list[int]]:
    """Number of vessels and bottles in which each strain lives, for every day from `as_of` to the end of the horizon.

    The strains are those of the benches. A bottle counts until it is used up, replaced, too old, or too few of its
    cells are alive; what is suspect does not count.
    """
    days = (simulated.through - simulated.as_of).days + 1
    steps = {bench.strain.name: [0] * (days + 1) for bench in benches.values()}
    for stay in stays(simulated, start_state, benches):
        first = max(0, (stay.first - simulated.as_of).days)
        last = min(days - 1, (stay.last - simulated.as_of).days)
        if stay.strain in steps and first <= last:
            steps[stay.strain][first] += 1
            steps[stay.strain][last + 1] -= 1
    return {name: list(accumulate(changes))[:-1] for name, changes in steps.items()}


def stays(simulated: Simulation, start_state: StartState, benches: Mapping[str, Bench]) -> Iterator[Stay]:
    """Every stay in a vessel or bottle during the simulation, without those of what was suspect at its start."""
    yield from _vessel_stays(simulated, start_state.suspect, benches)
    for stay in _bottle_stays(simulated, start_state, benches):
        if stay.place not in start_state.suspect:
            yield stay


def _vessel_stays(
    simulated: Simulation, suspect: frozenset[str], benches: Mapping[str, Bench]
) -> Iterator[Stay]:
    """A stay for each undisturbed stretch; the day on which something is done belongs to what stands afterwards."""
    doubtful = set(suspect)
    living = {culture.batch.id for culture in simulated.state.cultures.values()}
    for interval in simulated.intervals:
        batch = interval.batch
        if batch.parent in doubtful and (batch.reseeds > 0 or interval.first == simulated.as_of):
            doubtful.add(batch.id)
        if batch.id in doubtful or batch.vessel not in benches:
            continue
        closing = interval.last == simulated.through and batch.id in living
        last = interval.last if closing else interval.last - DAY
        first = _first_day(interval, benches[batch.vessel])
        if first is not None and first <= last:
            yield Stay(batch.vessel, batch.strain, first, last)


def _first_day(interval: Interval, bench: Bench) -> date | None:
    """The first day of a stretch on which the vessel counts as a home; None if it does not come to it."""
    if interval.broth.volume_l < LEAST_VOLUME_SHARE * bench.vessel.fill_l:
        return None
    wanted_per_ml = LEAST_DENSITY_SHARE * bench_ceiling_per_ml(bench.strain, bench.vessel.fill_l)
    if interval.broth.density_per_ml >= wanted_per_ml:
        return interval.first
    place = bench.lit(interval.light_h)
    top = place.ceiling(interval.broth).per_ml
    days = (
        days_to_share(interval.broth, wanted_per_ml / top, top, place.rate_per_day) if top > 0.0 else math.inf
    )
    left = (interval.last - interval.first).days
    return interval.first + timedelta(days=math.ceil(days)) if days <= left else None


def _bottle_stays(
    simulated: Simulation, start_state: StartState, benches: Mapping[str, Bench]
) -> Iterator[Stay]:
    fillings = [event for event in simulated.events if event.kind == "bank"]
    bottles = [
        (b.id, b.strain, b.filled, b.volume_ml, b.density_per_ml, b.parent is not None)
        for b in start_state.state.bottles.values()
    ]
    bottles += [
        (back_up_id(e.batch.id), e.batch.strain, e.on, e.volume_ml, e.before.density_per_ml, True)
        for e in fillings
        if e.before is not None
    ]
    grown = {bench.strain.name: bench.strain for bench in benches.values()}
    least = {strain: LEAST_CELLS_SHARE * least_cells(benches, strain) for strain in grown}
    drawn: dict[str | None, list[Event]] = defaultdict(list)
    for event in simulated.events:
        if event.kind == "start":
            drawn[event.batch.parent].append(event)
    for bottle, strain, filled, volume_ml, density_per_ml, own in bottles:
        if strain not in grown:
            continue
        end = simulated.through
        replaced = [e.on for e in fillings if own and e.batch.strain == strain and e.on > filled]
        if replaced:
            end = min(end, min(replaced) - DAY)
        since = max(filled, simulated.as_of)
        for until, left_ml in _volumes(volume_ml, drawn.get(bottle, ()), end):
            keeps = _days_alive(left_ml * density_per_ml, least[strain], grown[strain].fridge_days)
            if keeps >= 0:
                yield Stay(bottle, strain, since, min(until, filled + timedelta(days=keeps)))
            since = until + DAY


def _volumes(volume_ml: float, drawn: Sequence[Event], end: date) -> Iterator[tuple[date, float]]:
    """What is in a bottle, in mL, each with the last day on which it is so; a draw counts from the day after it.

    `drawn` are the starts from it.
    """
    left_ml = volume_ml
    for event in drawn:
        if event.on <= end:
            yield event.on, left_ml
            left_ml -= event.volume_ml
    yield end, left_ml


@lru_cache(maxsize=4096)
def _days_alive(cells: float, least: float, fridge_days: float) -> int:
    """The last day of age on which so many cells are alive in a bottle that is not too old; -1 if there is none."""
    last = int(fridge_days)
    while last >= 0 and cells * inoculum.fridge_share_alive(float(last), fridge_days) < least:
        last -= 1
    return last
