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
    poured = _Poured()
    at = _from_living(rack, _in_turn(rack, [at]), day, poured)
    if at.size:
        at = _from_backup(rack, at, day, poured)
    for place in range(len(rack.plan.starters)):
        if at.size:
            at = _from_starter(rack, at, place, day, poured)
    _pour(rack, poured, day)
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


class _Poured:
    """What the vessels of a day are restarted with; none of them gives that day, so all are filled last."""

    def __init__(self) -> None:
        self.at: list[Where] = []
        self.cells: list[Floats] = []
        self.outbreak: list[NDArray[np.int16]] = []
        self.lag_days: list[Floats] = []

    def add(
        self,
        at: Where,
        share: _Share,
        per_ml: Floats,
        outbreak: NDArray[np.int16] | None,
        lag_days: Floats | None,
    ) -> None:
        """Note who is served of those who asked. `outbreak` is by vessel served; None: clean, and no lag."""
        taker = at[share.served]
        if taker.size:
            self.at.append(taker)
            self.cells.append(share.volume_ml[share.served] * per_ml[share.served])
            self.outbreak.append(np.full(taker.size, CLEAN, np.int16) if outbreak is None else outbreak)
            self.lag_days.append(np.zeros(taker.size) if lag_days is None else lag_days[share.served])


def _from_living(rack: Rack, at: Where, day: int, poured: _Poured) -> Where:
    """The best ranked donor is asked, then the next, until one bears it or none is left; returns who found none."""
    row, season = rack.split(at)
    rank = _ranks(rack, row, season, day)
    column = np.arange(at.size)
    refused = [at[:0]]
    given = rack.given_ml.ravel()
    while at.size:
        giver = (rank if column.size == rank.shape[1] else rank[:, column]).argmin(axis=0)
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
        donor, volume_ml = source[share.served], share.volume_ml[share.served]
        if share.apart:
            given[donor] += volume_ml
        else:
            np.add.at(given, donor, volume_ml)
        poured.add(at, share, per_ml, rack.outbreak.ravel()[donor], None)
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
    return np.where(bears, rank, _LAST)


def _from_backup(rack: Rack, at: Where, day: int, poured: _Poured) -> Where:
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
        poured.add(at, share, per_ml, outbreak, rack.lag_days(strain, age))
        emptied = _draw(bottle_ml, source, share)
        bottle_day[emptied] = LONG_AGO
        refused.append(at[share.settled & ~share.served])
        at = at[~share.settled]
    return _in_turn(rack, refused)


def _from_starter(rack: Rack, at: Where, place: int, day: int, poured: _Poured) -> Where:
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
        poured.add(at, share, per_ml, None, rack.lag_days(strain, ages))
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


def _pour(rack: Rack, poured: _Poured, day: int) -> None:
    """Fill the vessels that are served; a restart other than the planned one leaves the planned dates.

    A contamination that nobody has seen yet goes with the inoculum.
    """
    if not poured.at:
        return
    at, cells = np.concatenate(poured.at), np.concatenate(poured.cells)
    outbreak, lag_days = np.concatenate(poured.outbreak), np.concatenate(poured.lag_days)
    row, _ = rack.split(at)
    start_per_ml = cells / rack.fill_ml[row]
    off = rack.off.ravel()
    if rack.plan.restart_rows[day]:
        planned = rack.plan.restart_per_ml[day, row]
        off[at] |= ~(np.abs(start_per_ml - planned) <= SAME_START * planned)
    else:
        off[at] = True
    z = rack.top_per_ml[row] / start_per_ml - 1.0
    late = np.flatnonzero(lag_days)
    z[late] *= np.exp(rack.plan.places.rate_per_day[row[late]] * lag_days[late])
    rack.z.ravel()[at] = z
    rack.since.ravel()[at] = rack.cleaned.ravel()[at] = day
    rack.reseeds.ravel()[at] = 0
    rack.given_ml.ravel()[at] = 0.0
    sick = np.flatnonzero(outbreak != CLEAN)
    if sick.size:
        rack.outbreak.ravel()[at[sick]] = outbreak[sick]
        rack.carry(at[sick], day)
