"""Timetable: a rota made ready for the seasons: what stands, what is planned on each day, what is in stock."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import timedelta
from enum import Enum

import numpy as np

from greenrota.rota import donor
from greenrota.rota.opendays import OpenDays
from greenrota.rota.risk.feeding import Feeding, feeding, first_feed
from greenrota.rota.risk.places import Floats, Places, Shorts, Strains, places_of, shape, strains_of
from greenrota.rota.risk.stock import Stock, starters_left, youngest_bottles
from greenrota.rota.rota import Rota
from greenrota.rota.visit import Visit


class Deed(Enum):
    """What the plan does to a vessel on a day."""

    START = "first filling from a starter"
    GIFT = "first filling from another vessel"
    FEED = "second dose"
    HARVEST = "harvest and re-seed"
    RENEW = "harvest whole and break down"


_OLDEST_DAYS = 3650  # our choice: ten years, far older than any rule asks about; keeps ages in two bytes


@dataclass(frozen=True, slots=True)
class Planned:
    """A planned deed in vessel `row`; `z` and the ceiling `top_per_ml` hold after it. A gift comes from `donor`.

    `kept_ml` stays in the vessel at a harvest. `z_before` is given where the batch grew under another light than usual.
    """

    deed: Deed
    row: int
    z: float = math.inf
    top_per_ml: float = math.nan
    donor: int = -1
    gift_ml: float = 0.0
    kept_ml: float = 0.0
    z_before: float | None = None


@dataclass(frozen=True, slots=True)
class Standing:
    """What stands in the vessels on the first day, one entry a vessel: z (inf: nothing), its ceiling, age, re-seeds.

    `waiting` are the rows that stood before and wait for an inoculum; `idle` those the plan never fills; `suspect`
    those that may not give.
    """

    z: Floats
    top_per_ml: Floats
    age_days: Shorts
    reseeds: Shorts
    waiting: tuple[int, ...]
    idle: tuple[int, ...]
    suspect: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Timetable:
    """Everything a season needs. Days count from 0, the day the rota was planned on.

    `restart_per_ml` (day, vessel) is the planned density of a restart, NaN where there is none; `restart_rows` are the
    rows that have one, by day. Short days count from `first_feed`, the day of the first planned feed. With `backup`
    False nothing is banked and nothing is held back.
    """

    days: int
    places: Places
    strains: Strains
    standing: Standing
    is_open: tuple[bool, ...]
    planned: tuple[tuple[Planned, ...], ...]
    restart_per_ml: Floats
    restart_rows: tuple[tuple[int, ...], ...]
    starters: tuple[Stock, ...]
    bottles: tuple[Stock, ...]
    feeding: Feeding
    first_feed: int
    pinned_days: int | None
    backup: bool


def timetable(
    rota: Rota, backup: bool = True, refresh_share: float = donor.REFRESH_SHARE, settled: bool = False
) -> Timetable:
    """The timetable of a rota. `refresh_share` is the part of its fridge life after which a back-up is replaced.

    `settled` True counts short days only from the day every vessel has given its first planned harvest.
    """
    strains = strains_of(rota, refresh_share)
    days = (rota.through - rota.as_of).days + 1
    open_days = OpenDays(rota.plan)
    restart_per_ml = _restarts(rota, days)
    planned = _planned(rota, days)
    return Timetable(
        days=days,
        places=places_of(rota, strains.names),
        strains=strains,
        standing=_standing(rota),
        is_open=tuple(open_days.is_open(rota.as_of + timedelta(days=n)) for n in range(days)),
        planned=planned,
        restart_per_ml=restart_per_ml,
        restart_rows=tuple(tuple(np.flatnonzero(~np.isnan(row)).tolist()) for row in restart_per_ml),
        starters=starters_left(rota, strains) if backup else (),
        bottles=youngest_bottles(rota, strains) if backup else (),
        feeding=feeding(rota, days),
        first_feed=_all_give(rota, planned, days) if settled else first_feed(rota, days),
        pinned_days=rota.plan.cycle.days,
        backup=backup,
    )


def _standing(rota: Rota) -> Standing:
    stands = {name: rota.shelf.at(bench, rota.as_of) for name, bench in rota.benches.items()}
    to_come = {visit.batch.vessel for visit in rota.forecast.visits if visit.kind == "start"}
    empty = [(row, name) for row, (name, standing) in enumerate(stands.items()) if standing is None]
    return Standing(
        z=np.array([math.inf if s is None else shape(rota.benches[n], s.broth) for n, s in stands.items()]),
        top_per_ml=np.array(
            [1.0 if s is None else rota.benches[n].ceiling(s.broth).per_ml for n, s in stands.items()]
        ),
        age_days=np.array(
            [
                0 if s is None else min(_OLDEST_DAYS, (rota.as_of - s.batch.started).days)
                for s in stands.values()
            ],
            np.int16,
        ),
        reseeds=np.array([0 if s is None else s.batch.reseeds for s in stands.values()], np.int16),
        waiting=tuple(row for row, name in empty if name in rota.shelf.numbers),
        idle=tuple(row for row, name in empty if name not in rota.shelf.numbers and name not in to_come),
        suspect=tuple(
            row
            for row, s in enumerate(stands.values())
            if s is not None and s.batch.id in rota.standpoint.suspect
        ),
    )


def _planned(rota: Rota, days: int) -> tuple[tuple[Planned, ...], ...]:
    """The deeds of each day, in their order; a harvest is told by the re-seed or the renewal that follows it."""
    by_day: list[list[Planned]] = [[] for _ in range(days)]
    stood = set(rota.shelf.numbers)
    dimmed: dict[str, bool] = {}
    for visit in rota.forecast.visits:
        name = visit.batch.vessel
        deed = _deed(rota, visit, name in stood, dimmed.get(name, False))
        if deed is not None:
            by_day[(visit.on - rota.as_of).days].append(deed)
        stood.add(name)
        if visit.kind in ("start", "reseed"):
            dimmed[name] = visit.light_h is not None
    return tuple(tuple(deeds) for deeds in by_day)


def _deed(rota: Rota, visit: Visit, stood: bool, dimmed: bool) -> Planned | None:
    """None for what the seasons decide by themselves: restarts, back-ups, and the pouring of a harvest."""
    rows = list(rota.benches)
    row, bench = rows.index(visit.batch.vessel), rota.benches[visit.batch.vessel]
    z_before = shape(bench, visit.before) if dimmed and visit.before is not None else None
    if visit.kind == "renew":
        return Planned(Deed.RENEW, row, z_before=z_before)
    if (
        visit.after is None
        or visit.kind not in ("start", "feed", "reseed")
        or (visit.kind == "start" and stood)
    ):
        return None
    z, top = shape(bench, visit.after), bench.ceiling(visit.after).per_ml
    if visit.kind == "feed":
        return Planned(Deed.FEED, row, z, top)
    if visit.kind == "reseed":
        return Planned(Deed.HARVEST, row, z, top, kept_ml=visit.volume_ml, z_before=z_before)
    giver = rota.forecast.shelf.batches.get(visit.batch.parent)
    if giver is None:
        return Planned(Deed.START, row, z, top)
    return Planned(Deed.GIFT, row, z, top, rows.index(giver.vessel), visit.volume_ml)


def _restarts(rota: Rota, days: int) -> Floats:
    rows = list(rota.benches)
    planned = np.full((days, len(rows)), math.nan)
    stood = set(rota.shelf.numbers)
    for visit in rota.forecast.visits:
        name = visit.batch.vessel
        if visit.kind == "start" and name in stood and visit.after is not None:
            planned[(visit.on - rota.as_of).days, rows.index(name)] = visit.after.density_per_ml
        stood.add(name)
    return planned


def _all_give(rota: Rota, planned: tuple[tuple[Planned, ...], ...], days: int) -> int:
    """The day by which every vessel that feeds has been harvested once; the number of days if one never is."""
    left = {row for row, bench in enumerate(rota.benches.values()) if bench.vessel.role != "standby"}
    for day, deeds in enumerate(planned):
        left -= {deed.row for deed in deeds if deed.deed in (Deed.HARVEST, Deed.RENEW)}
        if not left:
            return day
    return days
