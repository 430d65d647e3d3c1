"""Restart: emptied vessels get an inoculum, in the order of the rota: living donors, back-up, held-back starter.

All vessels of all seasons that wait are served together, in the order season, strain, vessel. Where several ask one
source, they are served in that order for as long as it holds enough, and the rest asks again in the next round.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from greenrota.risk.places import Floats
from greenrota.risk.portion import share_out
from greenrota.risk.rack import CLEAN, LONG_AGO, NEVER, Rack, Where
from greenrota.rota.state.donors import SETTLED_DAYS, THIN_START
from greenrota.rota.state.seeding import DONOR_SHARE

SAME_START = 1e-6  # relative: a restart this close to the planned density is the planned one; our choice
DONOR_Z = 1.0 / DONOR_SHARE - 1.0
FORGIVEN_ML = 1e-6  # a rest that is rounding is none; our choice, as in `deed`
_RESEED_RANK = 2**14  # more days than any batch is old: fewer re-seeds come first, then the older batch
_NEVER_ASKED = 2**30  # above every rank that is asked


class _Takers(NamedTuple):
    """Vessels that ask for an inoculum, in the order in which they are served; flat place, row and season of each."""

    at: Where
    row: Where
    season: Where

    def those(self, which: Where) -> _Takers:
        """Some of them, in the same order."""
        return _Takers(self.at[which], self.row[which], self.season[which])

    def without(self, which: Where) -> _Takers:
        """All but some of them, in the same order."""
        left = np.ones(self.at.size, bool)
        left[which] = False
        return self.those(left.nonzero()[0])


def restart_waiting(rack: Rack, day: int) -> None:
    """Restart what waits and finds a source; the rest goes on waiting, unless its strain is lost."""
    if not rack.waiting.size:
        return
    poured = _Poured()
    takers = _from_living(rack, _in_turn(rack, rack.waiting), day, poured)
    if takers.at.size:
        takers = _from_backup(rack, takers, day, poured)
    for place in range(len(rack.plan.starters)):
        if takers.at.size:
            takers = _from_starter(rack, takers, place, day, poured)
    _pour(rack, poured, day)
    rack.waiting = takers.at
    if takers.at.size:
        strain = rack.plan.places.strain[takers.row]
        rack.check_lost(strain, takers.season, day)
        rack.waiting = takers.at[rack.lost_on[strain, takers.season] == NEVER]


def leave_missed(rack: Rack, day: int) -> None:
    """Vessels whose planned restart did not come about leave the planned dates."""
    for row in rack.plan.restart_rows[day]:
        rack.off[row] |= np.isinf(rack.z[row])


def _in_turn(rack: Rack, at: Where) -> _Takers:
    """Vessels in the order in which they are served: by season, strain and vessel."""
    row, season = rack.split(at)
    return _Takers(at, row, season).those(np.argsort(season * rack.size[0] + rack.turn[row]))


class _Poured:
    """What the vessels of a day are restarted with; none of them gives that day, so all are filled last."""

    def __init__(self) -> None:
        self.at: list[Where] = []
        self.cells: list[Floats] = []
        self.outbreak: list[NDArray[np.int16]] = []
        self.lag_days: list[Floats] = []

    def add(self, at: Where, cells: Floats, outbreak: NDArray[np.int16], lag_days: Floats) -> None:
        """Note vessels and what each is given."""
        self.at.append(at)
        self.cells.append(cells)
        self.outbreak.append(outbreak)
        self.lag_days.append(lag_days)


def _from_living(rack: Rack, takers: _Takers, day: int, poured: _Poured) -> _Takers:
    """The best ranked donor is asked, then the next, until one bears it or none is left; returns who found none."""
    rank = _ranks(rack, takers, day)
    place, asking = np.arange(takers.at.size), takers
    found: list[Where] = []
    given = rack.given_ml.ravel()
    while True:
        best = rank.min(axis=0)
        asks = (best < _NEVER_ASKED).nonzero()[0]
        if asks.size < best.size:
            best, place, asking, rank = best[asks], place[asks], asking.those(asks), rank.take(asks, axis=1)
        if not asks.size:
            break
        giver = best % rack.size[0]
        source = giver * rack.seasons + asking.season
        per_ml = rack.per_ml(source, giver)
        share = share_out(rack, asking.row, source, rack.spare_of[giver] - given[source], per_ml, 1.0)
        served = share.served.nonzero()[0]
        donor, volume_ml = source[served], share.volume_ml[served]
        np.add.at(given, donor, volume_ml)
        cells = volume_ml * per_ml[served]
        poured.add(asking.at[served], cells, rack.outbreak.ravel()[donor], np.zeros(served.size))
        found.append(place[served])
        left = (~share.served).nonzero()[0]
        if not left.size:
            break
        place, asking, rank = place[left], asking.those(left), rank.take(left, axis=1)
        refused = np.arange(left.size) if share.settled is None else share.settled[left].nonzero()[0]
        rank[giver[left[refused]], refused] = _NEVER_ASKED
    return takers.without(np.concatenate(found)) if found else takers


def _ranks(rack: Rack, takers: _Takers, day: int) -> NDArray[np.int32]:
    """(vessel, taker): lower is asked first; never asked are too thin, just filled, suspect, or of another strain.

    The rest of a rank by the number of vessels is the vessel itself.
    """
    season, vessels = takers.season, rack.size[0]
    since = rack.since.take(season, axis=1)
    refuses = rack.z.take(season, axis=1) > DONOR_Z
    refuses |= since >= day - SETTLED_DAYS
    refuses |= rack.suspect.take(season, axis=1)
    refuses |= rack.given_ml.take(season, axis=1) >= rack.spare_ml[:, None]
    if rack.mixed:
        refuses |= rack.plan.places.strain[:, None] != rack.plan.places.strain[takers.row]
    rank = np.multiply(rack.reseeds.take(season, axis=1), _RESEED_RANK, dtype=np.int32)
    rank += since
    rank *= vessels
    rank += rack.rows
    rank += np.multiply(refuses, _NEVER_ASKED, dtype=np.int32)
    return rank


def _from_backup(rack: Rack, takers: _Takers, day: int, poured: _Poured) -> _Takers:
    """Restart from the fridge back-up of the strain; returns who found none that will do."""
    held_ml, filled = rack.bottle_ml.ravel(), rack.bottle_day.ravel()
    source = rack.bottle_row[takers.row] + takers.season
    asks = held_ml[source].nonzero()[0]
    if not asks.size:
        return takers
    source, strain = source[asks], rack.plan.places.strain[takers.row[asks]]
    age = day - filled[source]
    per_ml = rack.bottle_per_ml.ravel()[source] * rack.alive(strain, age)
    cells = _draw(rack, takers.row[asks], source, held_ml, per_ml)
    served = cells.nonzero()[0]
    drawn = source[served]
    filled[drawn[held_ml[drawn] == 0.0]] = LONG_AGO
    outbreak, lag_days = rack.bottle_outbreak.ravel()[drawn], rack.lag_days(strain, age)[served]
    poured.add(takers.at[asks[served]], cells[served], outbreak, lag_days)
    return takers.without(asks[served])


def _from_starter(rack: Rack, takers: _Takers, place: int, day: int, poured: _Poured) -> _Takers:
    """Restart from what is held back of a starter; returns who found it wanting."""
    stock, held_ml = rack.plan.starters[place], rack.starter_ml[place]
    strain, age = np.array([stock.strain], np.int16), np.array([day - stock.filled])
    per_ml = stock.density_per_ml * rack.alive(strain, np.maximum(age, 0))
    if day < stock.filled or not per_ml[0]:
        return takers
    mine = rack.plan.places.strain[takers.row] == stock.strain
    asks = (mine & (held_ml[takers.season] > 0.0)).nonzero()[0]
    cells = _draw(rack, takers.row[asks], takers.season[asks], held_ml, per_ml.repeat(asks.size))
    served = cells.nonzero()[0]
    clean, lag_days = np.full(served.size, CLEAN, np.int16), rack.lag_days(strain, age).repeat(served.size)
    poured.add(takers.at[asks[served]], cells[served], clean, lag_days)
    return takers.without(asks[served])


def _draw(rack: Rack, row: Where, source: Where, held_ml: Floats, per_ml: Floats) -> Floats:
    """Draw from bottles that hold `held_ml`, by `source`, as long as they have enough; the cells each vessel gets."""
    cells, turn = np.zeros(source.size), np.arange(source.size)
    while turn.size:
        bottle = source[turn]
        share = share_out(rack, row[turn], bottle, held_ml[bottle], per_ml[turn], THIN_START)
        drawn, volume_ml = bottle[share.served], share.volume_ml[share.served]
        cells[turn[share.served]] = volume_ml * per_ml[turn[share.served]]
        np.subtract.at(held_ml, drawn, volume_ml)
        held_ml[drawn[held_ml[drawn] <= FORGIVEN_ML]] = 0.0
        if share.settled is None:
            break
        turn = turn[~share.settled]
    return cells


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
    late = lag_days.nonzero()[0]
    z[late] *= np.exp(rack.plan.places.rate_per_day[row[late]] * lag_days[late])
    rack.z.ravel()[at] = z
    rack.since.ravel()[at] = rack.cleaned.ravel()[at] = day
    rack.reseeds.ravel()[at] = 0
    rack.given_ml.ravel()[at] = 0.0
    sick = (outbreak != CLEAN).nonzero()[0]
    if sick.size:
        rack.outbreak.ravel()[at[sick]] = outbreak[sick]
        rack.carry(at[sick], day)
