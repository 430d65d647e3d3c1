"""Homes: in how many places each strain lives, day by day. One loss must not end a strain, so two are wanted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import accumulate

from greenrota.culture.data.strain import Strain
from greenrota.rota.simulate.simulation import Simulation
from greenrota.rota.simulate.start import StartState
from greenrota.rota.state.state import State


@dataclass(frozen=True, slots=True)
class Stay:
    """A place in which a strain lives from a day to a day, both included: a vessel or a fridge bottle."""

    place: str
    strain: str
    first: date
    last: date


def homes(
    simulated: Simulation, start_state: StartState, strains: Mapping[str, Strain]
) -> dict[str, list[int]]:
    """Number of vessels and bottles in which each strain lives, for every day from `as_of` to the end of the horizon.

    A bottle counts until it is used up, replaced or too old; what is suspect does not count.
    """
    days = (simulated.through - simulated.as_of).days + 1
    steps = {name: [0] * (days + 1) for name in strains}
    for stay in stays(simulated, start_state, strains):
        first = max(0, (stay.first - simulated.as_of).days)
        last = min(days - 1, (stay.last - simulated.as_of).days)
        if stay.strain in steps and first <= last:
            steps[stay.strain][first] += 1
            steps[stay.strain][last + 1] -= 1
    return {name: list(accumulate(changes))[:-1] for name, changes in steps.items()}


def stays(simulated: Simulation, start_state: StartState, strains: Mapping[str, Strain]) -> Iterator[Stay]:
    """Every stay in a vessel or bottle during the simulation, without those of what was suspect at its start."""
    yield from _vessel_stays(simulated, start_state.suspect)
    for stay in _bottle_stays(simulated, start_state.state, strains):
        if stay.place not in start_state.suspect:
            yield stay


def _vessel_stays(simulated: Simulation, suspect: frozenset[str]) -> Iterator[Stay]:
    since: dict[str, tuple[str, date]] = {}
    for interval in simulated.intervals:
        if interval.first == simulated.as_of and not suspect & {interval.batch.id, interval.batch.parent}:
            since.setdefault(interval.batch.vessel, (interval.batch.strain, interval.first))
    for event in simulated.events:
        vessel = event.batch.vessel
        if event.kind == "start":
            since[vessel] = (event.batch.strain, event.on)
        elif event.kind == "renew" and vessel in since:
            strain, first = since.pop(vessel)
            yield Stay(vessel, strain, first, event.on - timedelta(days=1))
    for vessel, (strain, first) in since.items():
        yield Stay(vessel, strain, first, simulated.through)


def _bottle_stays(simulated: Simulation, state: State, strains: Mapping[str, Strain]) -> Iterator[Stay]:
    last_use = {event.batch.parent: event.on for event in simulated.events if event.kind == "start"}
    fillings = [(event.on, event.batch) for event in simulated.events if event.kind == "bank"]
    bottles = [(b.id, b.strain, b.filled, b.parent is not None) for b in state.bottles.values()]
    bottles += [(f"fridge:{batch.id}", batch.strain, on, True) for on, batch in fillings]
    for bottle, strain, filled, own in bottles:
        last = simulated.through
        if strain in strains:
            last = min(last, filled + timedelta(days=int(strains[strain].fridge_days)))
        replaced = [on for on, batch in fillings if own and batch.strain == strain and on > filled]
        if replaced:
            last = min(last, min(replaced) - timedelta(days=1))
        if bottle not in simulated.state.bottles and bottle in last_use:
            last = min(last, last_use[bottle])
        yield Stay(bottle, strain, max(filled, simulated.as_of), last)
