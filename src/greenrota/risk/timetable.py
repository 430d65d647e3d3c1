"""Timetable: a rota made ready for the seasons: what lives on the first day, and the planned steps of each day."""

from __future__ import annotations

import math
from datetime import timedelta
from enum import Enum
from typing import NamedTuple, assert_never

import numpy as np

from greenrota.culture.growth.broth import Broth
from greenrota.risk.feeding import Feeding, feeding
from greenrota.risk.places import (
    Floats,
    Places,
    Shorts,
    StoredBottle,
    Strains,
    places_of,
    shape,
    spread,
    starters_left,
    strains_of,
    youngest_bottles,
)
from greenrota.rota.feed.shortage import coming_days
from greenrota.rota.kinds import FILLING, TASK_KINDS
from greenrota.rota.rota import Rota
from greenrota.rota.simulate.events import Event
from greenrota.rota.state import backups, donors
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.opendays import OpenDays
from greenrota.rota.state.scale_up import is_filling
from greenrota.rota.state.state import Culture


class StepKind(Enum):
    """What the plan does to a vessel on a day."""

    START = "first filling from a starter"
    GIFT = "first filling from another vessel"
    FEED = "second dose"
    HARVEST = "harvest and re-seed"
    RENEW = "harvest whole and break down"


_OLDEST_DAYS = 3650  # our choice: ten years, far older than any rule asks about; keeps ages in two bytes


class Planned(NamedTuple):
    """A planned step in vessel `row`; `z` and the ceiling `top_per_ml` hold after it. A gift comes from `donor`.

    `kept_ml` stays in the vessel at a harvest. `z_before` is given where the batch grew under another light than usual.
    """

    kind: StepKind
    row: int
    z: float = math.inf
    top_per_ml: float = math.nan
    donor: int = -1
    gift_ml: float = 0.0
    kept_ml: float = 0.0
    z_before: float | None = None


class FirstDay(NamedTuple):
    """What lives in the vessels on the first day, by vessel: z (inf: nothing), its ceiling, age, re-seeds.

    `waiting` are the rows that stood before and wait for an inoculum; of them `broken_down` were emptied on plan;
    `idle` are those the plan never fills; `suspect` those that may not give.
    """

    z: Floats
    top_per_ml: Floats
    age_days: Shorts
    reseeds: Shorts
    waiting: tuple[int, ...]
    broken_down: tuple[int, ...]
    idle: tuple[int, ...]
    suspect: tuple[int, ...]


class Timetable(NamedTuple):
    """Everything a season needs. Days count from 0, the day the rota was planned on.

    `restart_per_ml` (day, vessel) is the planned density of a restart, NaN where there is none; `restart_rows` are
    the rows that have one, by day. `wait_days` is how far off the last open day is that a restart may wait for, by
    day (0: none). A back-up holds `most_backup_ml` at the most. Short days count from `first_feed`, the day of the
    first planned harvest. With `backup` False nothing is banked and nothing is held back.
    """

    days: int
    places: Places
    strains: Strains
    first_day: FirstDay
    is_open: tuple[bool, ...]
    wait_days: tuple[int, ...]
    planned: tuple[tuple[Planned, ...], ...]
    restart_per_ml: Floats
    restart_rows: tuple[tuple[int, ...], ...]
    starters: tuple[StoredBottle, ...]
    bottles: tuple[StoredBottle, ...]
    feeding: Feeding
    first_feed: int
    pinned_days: int | None
    backup: bool
    most_backup_ml: float


def timetable(rota: Rota, backup: bool = True, refresh_share: float = backups.REFRESH_SHARE) -> Timetable:
    """The timetable of a rota. `refresh_share` is the part of its fridge life after which a back-up is replaced."""
    strains = strains_of(rota, refresh_share)
    days = (rota.through - rota.as_of).days + 1
    open_days = OpenDays(rota.plan)
    is_open = tuple(open_days.is_open(rota.as_of + timedelta(days=n)) for n in range(days))
    restart_per_ml = _restarts(rota, days)
    planned = _planned(rota, days)
    return Timetable(
        days=days,
        places=places_of(rota, strains.names),
        strains=strains,
        first_day=_first_day(rota),
        is_open=is_open,
        wait_days=tuple(_wait_days(is_open, day) for day in range(days)),
        planned=planned,
        restart_per_ml=restart_per_ml,
        restart_rows=tuple(tuple(np.flatnonzero(~np.isnan(row)).tolist()) for row in restart_per_ml),
        starters=starters_left(rota, strains) if backup else (),
        bottles=youngest_bottles(rota, strains) if backup else (),
        feeding=feeding(rota, days),
        first_feed=_first_counted(rota, days),
        pinned_days=rota.plan.cycle.days,
        backup=backup,
        most_backup_ml=backups.most_backup_ml(rota.plan.cycle),
    )


def _wait_days(is_open: tuple[bool, ...], day: int) -> int:
    later = is_open[day + 1 : day + 1 + donors.WAIT_DAYS]
    return max((wait for wait, is_it in enumerate(later, 1) if is_it), default=0)


def _first_day(rota: Rota) -> FirstDay:
    living = {name: _living(rota, bench) for name, bench in rota.benches.items()}
    to_come = {event.batch.vessel for event in rota.simulation.events if event.kind == "start"}
    suspect = rota.start_state.suspect
    empty = [(row, name) for row, (name, first_day) in enumerate(living.items()) if first_day is None]
    return FirstDay(
        z=np.array([math.inf if s is None else shape(rota.benches[n], s.broth) for n, s in living.items()]),
        top_per_ml=np.array(
            [1.0 if s is None else rota.benches[n].ceiling(s.broth).per_ml for n, s in living.items()]
        ),
        age_days=np.array(
            [
                0 if s is None else min(_OLDEST_DAYS, (rota.as_of - s.batch.started).days)
                for s in living.values()
            ],
            np.int16,
        ),
        reseeds=np.array([0 if s is None else s.batch.reseeds for s in living.values()], np.int16),
        waiting=tuple(row for row, name in empty if name in rota.state.numbers),
        broken_down=tuple(row for row, name in empty if rota.start_state.is_broken_down(name)),
        idle=tuple(row for row, name in empty if name not in rota.state.numbers and name not in to_come),
        suspect=tuple(
            row for row, s in enumerate(living.values()) if s is not None and s.batch.id in suspect
        ),
    )


def _living(rota: Rota, bench: Bench) -> Culture | None:
    """What stands in a vessel on the first day; one that is being filled as if it was full."""
    culture = rota.state.at(bench, rota.as_of)
    if culture is None or not culture.filling:
        return culture
    return culture._replace(broth=spread(bench, culture.broth))


def _planned(rota: Rota, days: int) -> tuple[tuple[Planned, ...], ...]:
    """The steps of each day, in their order; a harvest is part of the re-seed or renewal that follows it."""
    by_day: list[list[Planned]] = [[] for _ in range(days)]
    stood = set(rota.state.numbers)
    dimmed: dict[str, bool] = {}
    for event in rota.simulation.events:
        name = event.batch.vessel
        step = _step(rota, event, name in stood, dimmed.get(name, False))
        if step is not None:
            by_day[(event.on - rota.as_of).days].append(step)
        stood.add(name)
        if event.kind in FILLING:
            dimmed[name] = event.light_h is not None
    return tuple(tuple(steps) for steps in by_day)


def _step(rota: Rota, event: Event, stood: bool, dimmed: bool) -> Planned | None:
    """None for what the seasons decide by themselves: restarts, back-ups, and the pouring of a harvest."""
    rows = list(rota.benches)
    row, bench = rows.index(event.batch.vessel), rota.benches[event.batch.vessel]
    z_before = shape(bench, event.before) if dimmed and event.before is not None else None
    part = TASK_KINDS[event.kind].season
    if part == "emptying":
        return Planned(StepKind.RENEW, row, z_before=z_before)
    if event.after is None:
        return None
    z, top = shape(bench, _whole(bench, event)), bench.ceiling(event.after).per_ml
    match part:
        case "none":  # a vessel that is filled in steps is one filled whole with its cells
            return None
        case "dose":
            return Planned(StepKind.FEED, row, z, top)
        case "harvest":
            return Planned(StepKind.HARVEST, row, z, top, kept_ml=event.volume_ml, z_before=z_before)
        case "filling":
            return None if stood else _first_filling(rota, event, row, z, top)
        case _:
            assert_never(part)


def _whole(bench: Bench, event: Event) -> Broth:
    """The broth after an event; that of a first fill as if the vessel had been filled whole."""
    assert event.after is not None
    partly = event.kind == "start" and is_filling(bench, event.after.volume_l)
    return spread(bench, event.after) if partly else event.after


def _first_filling(rota: Rota, event: Event, row: int, z: float, top: float) -> Planned:
    rows = list(rota.benches)
    giver = rota.simulation.state.batches.get(event.batch.parent)
    if giver is None:
        return Planned(StepKind.START, row, z, top)
    return Planned(StepKind.GIFT, row, z, top, rows.index(giver.vessel), event.volume_ml)


def _restarts(rota: Rota, days: int) -> Floats:
    rows = list(rota.benches)
    planned = np.full((days, len(rows)), math.nan)
    stood = set(rota.state.numbers)
    for event in rota.simulation.events:
        name = event.batch.vessel
        if event.kind == "start" and name in stood and event.after is not None:
            density_per_ml = _whole(rota.benches[name], event).density_per_ml
            planned[(event.on - rota.as_of).days, rows.index(name)] = density_per_ml
        stood.add(name)
    return planned


def _first_counted(rota: Rota, days: int) -> int:
    """The day from which a shortfall counts, as in `bottles`; the number of days if nothing is ever harvested."""
    counted = coming_days(rota.rations().days, rota.as_of)
    return (counted[0].on - rota.as_of).days if counted else days
