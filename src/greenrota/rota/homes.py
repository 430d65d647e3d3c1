"""Homes: in how many places each strain lives, day by day. Two is the least for a good night's sleep."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import accumulate

from greenrota.culture.strain import Strain
from greenrota.rota.forecast import Forecast
from greenrota.rota.shelf import Shelf
from greenrota.rota.standpoint import Standpoint


@dataclass(frozen=True, slots=True)
class Stay:
    """A place in which a strain lives from a day to a day, both included: a vessel or a fridge bottle."""

    place: str
    strain: str
    first: date
    last: date


def homes(walked: Forecast, standpoint: Standpoint, strains: Mapping[str, Strain]) -> dict[str, list[int]]:
    """Number of living homes per strain for every day from `as_of` to the end of the horizon.

    A bottle counts until it is used up, replaced or too old; what is suspect does not count.
    """
    days = (walked.through - walked.as_of).days + 1
    steps = {name: [0] * (days + 1) for name in strains}
    for stay in stays(walked, standpoint, strains):
        first = max(0, (stay.first - walked.as_of).days)
        last = min(days - 1, (stay.last - walked.as_of).days)
        if stay.strain in steps and first <= last:
            steps[stay.strain][first] += 1
            steps[stay.strain][last + 1] -= 1
    return {name: list(accumulate(changes))[:-1] for name, changes in steps.items()}


def stays(walked: Forecast, standpoint: Standpoint, strains: Mapping[str, Strain]) -> Iterator[Stay]:
    """Every stay in a vessel or bottle that the forecast knows of, but for what was suspect when it set out."""
    yield from _vessel_stays(walked, standpoint.suspect)
    for stay in _bottle_stays(walked, standpoint.shelf, strains):
        if stay.place not in standpoint.suspect:
            yield stay


def _vessel_stays(walked: Forecast, suspect: frozenset[str]) -> Iterator[Stay]:
    since: dict[str, tuple[str, date]] = {}
    for span in walked.spans:
        if span.first == walked.as_of and not suspect & {span.batch.id, span.batch.parent}:
            since.setdefault(span.batch.vessel, (span.batch.strain, span.first))
    for visit in walked.visits:
        vessel = visit.batch.vessel
        if visit.kind == "start":
            since[vessel] = (visit.batch.strain, visit.on)
        elif visit.kind == "renew" and vessel in since:
            strain, first = since.pop(vessel)
            yield Stay(vessel, strain, first, visit.on - timedelta(days=1))
    for vessel, (strain, first) in since.items():
        yield Stay(vessel, strain, first, walked.through)


def _bottle_stays(walked: Forecast, shelf: Shelf, strains: Mapping[str, Strain]) -> Iterator[Stay]:
    last_use = {visit.batch.parent: visit.on for visit in walked.visits if visit.kind == "start"}
    fillings = [(visit.on, visit.batch) for visit in walked.visits if visit.kind == "bank"]
    bottles = [(b.id, b.strain, b.filled, b.parent is not None) for b in shelf.bottles.values()]
    bottles += [(f"fridge:{batch.id}", batch.strain, on, True) for on, batch in fillings]
    for bottle, strain, filled, own in bottles:
        last = walked.through
        if strain in strains:
            last = min(last, filled + timedelta(days=int(strains[strain].fridge_days)))
        replaced = [on for on, batch in fillings if own and batch.strain == strain and on > filled]
        if replaced:
            last = min(last, min(replaced) - timedelta(days=1))
        if bottle not in walked.shelf.bottles and bottle in last_use:
            last = min(last, last_use[bottle])
        yield Stay(bottle, strain, max(filled, walked.as_of), last)
