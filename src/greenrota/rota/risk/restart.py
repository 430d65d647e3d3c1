"""Restart: emptied vessels get an inoculum, in the order of the rota: living donors, back-up, held-back starter.

All vessels of all seasons that wait are served together, in the order season, strain, vessel. Where several ask one
source, they are served in that order for as long as it holds enough, and the rest asks again in the next round.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from greenrota.rota.donor import SETTLED_DAYS, THIN_START
from greenrota.rota.risk.places import Floats
from greenrota.rota.risk.rack import CLEAN, LONG_AGO, NEVER, Rack, Where
from greenrota.rota.seeding import DONOR_SHARE

SAME_START = 1e-6  # relative: a restart this close to the planned density is the planned one; our choice
DONOR_Z = 1.0 / DONOR_SHARE - 1.0
FORGIVEN_ML = 1e-6  # a rest that is rounding is none; our choice, as in `deed`
_RESEED_RANK = 100_000  # more days than any batch is old: fewer re-seeds come first, then the older batch
_LAST = 2**31 - 1


def restart_waiting(rack: Rack, day: int) -> None:
    """Restart what waits and finds a source; the rest goes on waiting, unless its strain is lost."""
    at = rack.waiting
    if not at.size:
        return
    at = _from_living(rack, _in_turn(rack, [at]), day)
    if at.size:
        at = _from_backup(rack, at, day)
    for place in range(len(rack.plan.starters)):
        if at.size:
            at = _from_starter(rack, at, place, day)
    rack.waiting = at
    if at.size:
        row, season = rack.split(at)
        strain = rack.plan.places.strain[row]
        rack.check_lost(strain, season, day)
        rack.waiting = at[rack.lost_on[strain, season] == NEVER]


def _in_turn(rack: Rack, parts: list[Where]) -> Where:
    """Vessels in the order in which they are served: by season, strain and vessel."""
    at = np.concatenate(parts)
    if at.size < 2:
        return at
    row, season = rack.split(at)
    return at[np.argsort(season * rack.size[0] + rack.turn[row])]


def leave_missed(rack: Rack, day: int) -> None:
    """Vessels whose planned restart did not come about leave the planned dates."""
    for row in rack.plan.restart_rows[day]:
        rack.off[row] |= np.isinf(rack.z[row])


class _Share(NamedTuple):
    """What each taker gets from its source: whether its turn has come, whether it is served, and how much.

    `apart`: no two takers ask the same source.
    """

    settled: NDArray[np.bool_]
    served: NDArray[np.bool_]
    volume_ml: Floats
    apart: bool


def _share(rack: Rack, row: Where, source: Where, held_ml: Floats, per_ml: Floats, least: float) -> _Share:
    """Share sources out; takers of one source stand side by side. `least` is the part of the least inoculum that will
    do."""
    with np.errstate(divide="ignore"):
        wanted_ml = np.minimum(rack.goal_cells[row] / per_ml, rack.most_ml[row])
    need = least * rack.least_cells[row]
    other = source[1:] != source[:-1]
    if other.all():
        volume_ml = np.minimum(held_ml, wanted_ml)
        return _Share(np.ones(row.size, bool), volume_ml * per_ml >= need, volume_ml, True)
    opens = np.concatenate([[True], other])
    group, start = np.cumsum(opens) - 1, np.flatnonzero(opens)
    before = np.cumsum(wanted_ml) - wanted_ml
    left_ml = held_ml - (before - before[start][group])
    short = left_ml < wanted_ml
    shorts = np.cumsum(short) - short
    settled = shorts == shorts[start][group]  # up to the first that does not get all it wants
    volume_ml = np.minimum(left_ml, wanted_ml)
    served = settled & (volume_ml * per_ml >= need)
    if rack.equal_needs:  # what was too little for that one is too little for all who come after
        settled = np.ones(row.size, bool)
    return _Share(settled, served, volume_ml, False)


def _from_living(rack: Rack, at: Where, day: int) -> Where:
    """The best ranked donor is asked, then the next, until one bears it or none is left; returns who found none."""
    row, season = rack.split(at)
    rank = _ranks(rack, row, season, day)
    column = np.arange(at.size)
    refused = [at[:0]]
    given = rack.given_ml.ravel()
    while at.size:
        giver = rank[:, column].argmin(axis=0)
        asks = rank[giver, column] != _LAST
        if not asks.all():
            refused.append(at[~asks])
            at, row, season, column, giver = (x[asks] for x in (at, row, season, column, giver))
            if not at.size:
                break
        source = giver * rack.seasons + season
        per_ml = rack.per_ml(source, giver)
        share = _share(rack, row, source, rack.spare_of[giver] - given[source], per_ml, 1.0)
        rank[giver[share.settled], column[share.settled]] = _LAST
        _pour(rack, at, share, per_ml, None, day)
        donor, taker = source[share.served], at[share.served]
        if share.apart:
            given[donor] += share.volume_ml[share.served]
        else:
            np.add.at(given, donor, share.volume_ml[share.served])
        _pass_on(rack, taker, rack.outbreak.ravel()[donor], rack.seen_on.ravel()[donor] != NEVER, day)
        left = ~share.served
        at, row, season, column = (x[left] for x in (at, row, season, column))
    return _in_turn(rack, refused)


def _ranks(rack: Rack, row: Where, season: Where, day: int) -> NDArray[np.int32]:
    """(vessel, taker): lower is asked first, `_LAST` never: too thin, just filled, suspect, or of another strain."""
    since = rack.since.take(season, axis=1)
    bears = rack.z.take(season, axis=1) <= DONOR_Z
    bears &= since < day - SETTLED_DAYS
    bears &= ~rack.suspect.take(season, axis=1)
    bears &= rack.given_ml.take(season, axis=1) < rack.spare_ml[:, None]
    if len(rack.plan.strains.names) > 1:
        bears &= rack.plan.places.strain[:, None] == rack.plan.places.strain[row]
    rank = rack.reseeds.take(season, axis=1).astype(np.int32)
    rank *= _RESEED_RANK
    rank += since
    rank[~bears] = _LAST
    return rank


def _from_backup(rack: Rack, at: Where, day: int) -> Where:
    """Restart from the fridge back-up of the strain; returns who found none that will do."""
    bottle_ml, bottle_day = rack.bottle_ml.ravel(), rack.bottle_day.ravel()
    refused = [at[:0]]
    while at.size:
        row, season = rack.split(at)
        strain = rack.plan.places.strain[row]
        source = strain.astype(np.intp) * rack.seasons + season
        age = day - bottle_day[source]
        per_ml = rack.bottle_per_ml.ravel()[source] * rack.alive(strain, age)
        share = _share(rack, row, source, bottle_ml[source], per_ml, THIN_START)
        outbreak = rack.bottle_outbreak.ravel()[source[share.served]]
        _pour(rack, at, share, per_ml, rack.lag_days(strain, age), day)
        _pass_on(rack, at[share.served], outbreak, outbreak != CLEAN, day)
        emptied = _draw(bottle_ml, source, share)
        bottle_day[emptied] = LONG_AGO
        refused.append(at[share.settled & ~share.served])
        at = at[~share.settled]
    return _in_turn(rack, refused)


def _from_starter(rack: Rack, at: Where, place: int, day: int) -> Where:
    """Restart from what is held back of a starter; returns who found it wanting."""
    stock = rack.plan.starters[place]
    if day < stock.filled:
        return at
    row, _ = rack.split(at)
    mine = rack.plan.places.strain[row] == stock.strain
    refused, at = [at[~mine]], at[mine]
    age = day - stock.filled
    while at.size:
        row, season = rack.split(at)
        strain, ages = rack.plan.places.strain[row], np.full(at.size, age)
        per_ml = stock.density_per_ml * rack.alive(strain, ages)
        share = _share(rack, row, season, rack.starter_ml[place, season], per_ml, THIN_START)
        _pour(rack, at, share, per_ml, rack.lag_days(strain, ages), day)
        _draw(rack.starter_ml[place], season, share)
        refused.append(at[share.settled & ~share.served])
        at = at[~share.settled]
    return _in_turn(rack, refused)


def _draw(held_ml: Floats, source: Where, share: _Share) -> Where:
    """Take what was served out of bottles; returns those that are empty now."""
    drawn = source[share.served]
    if share.apart:
        held_ml[drawn] -= share.volume_ml[share.served]
    else:
        np.subtract.at(held_ml, drawn, share.volume_ml[share.served])
    emptied = drawn[held_ml[drawn] <= FORGIVEN_ML]
    held_ml[emptied] = 0.0
    return emptied


def _pass_on(
    rack: Rack, taker: Where, outbreak: NDArray[np.int16], sick: NDArray[np.bool_], day: int
) -> None:
    """A contamination that nobody has seen yet goes with the inoculum."""
    if sick.any():
        rack.outbreak.ravel()[taker[sick]] = outbreak[sick]
        rack.carry(taker[sick], day)


def _pour(rack: Rack, at: Where, share: _Share, per_ml: Floats, lag_days: Floats | None, day: int) -> None:
    """Fill the vessels that are served; a restart other than the planned one leaves the planned dates."""
    served, places = share.served, rack.plan.places
    at = at[served]
    if not at.size:
        return
    row, _ = rack.split(at)
    start_per_ml = share.volume_ml[served] * per_ml[served] / rack.fill_ml[row]
    off = rack.off.ravel()
    if rack.plan.restart_rows[day]:
        planned = rack.plan.restart_per_ml[day, row]
        off[at] |= ~(np.abs(start_per_ml - planned) <= SAME_START * planned)
    else:
        off[at] = True
    z = rack.top_per_ml[row] / start_per_ml - 1.0
    if lag_days is not None:
        z *= np.exp(places.rate_per_day[row] * lag_days[served])
    rack.z.ravel()[at] = z
    rack.since.ravel()[at] = rack.cleaned.ravel()[at] = day
    rack.reseeds.ravel()[at] = 0
    rack.given_ml.ravel()[at] = 0.0
