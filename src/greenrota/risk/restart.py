"""Restart: emptied vessels get an inoculum, in the order of `rota.state.donors`.

All vessels of all seasons that wait are served together, turn by turn, in the order season, strain, least need. Where
several ask one source, they are served in that order for as long as it holds enough, and the rest asks again in the
next round.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from greenrota.risk.givers import NEVER_ASKED, Givers
from greenrota.risk.places import Floats
from greenrota.risk.portion import share_out, wanted_ml
from greenrota.risk.rack import CLEAN, LONG_AGO, NEVER, Rack, Where
from greenrota.rota.state import donors
from greenrota.rota.state.donors import Source, Turn

SAME_START = 1e-6  # relative: a restart this close to the planned density is the planned one; our choice
FORGIVEN_ML = 1e-6  # a rest that is rounding is none; our choice, as in `deed`


class _Takers(NamedTuple):
    """Vessels that ask for an inoculum, in the order in which they are served.

    Flat place, row and season of each, and its place among all that ask that day.
    """

    at: Where
    row: Where
    season: Where
    place: Where

    def those(self, which: Where) -> _Takers:
        """Some of them, in the same order."""
        return _Takers(self.at[which], self.row[which], self.season[which], self.place[which])

    def unless(self, asked: _Takers, left: _Takers) -> _Takers:
        """All but those who asked and are not left."""
        served = np.setdiff1d(asked.place, left.place)
        return self.without(np.isin(self.place, served).nonzero()[0])

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
    takers = _in_turn(rack, rack.waiting)
    givers = Givers(rack, takers.season, takers.row, day)
    patient: list[Where] = []
    for turn in donors.ORDER:
        asking = takers if turn.after_loss else takers.those(rack.broken_down.ravel()[takers.at].nonzero()[0])
        if not asking.at.size:
            continue
        if turn.source is Source.RIPENING:
            left, waits = _who_waits(rack, givers, asking, turn)
            patient.append(waits)
        else:
            left = _ask(rack, givers, asking, turn, poured)
        takers = left if turn.after_loss else takers.unless(asking, left)
    _pour(rack, poured, day)
    rack.waiting = takers.at
    if takers.at.size:
        strain = rack.plan.places.strain[takers.row]
        rack.check_lost(strain, takers.season, day)
        rack.waiting = takers.at[rack.lost_on[strain, takers.season] == NEVER]
    rack.waiting = np.concatenate([rack.waiting, *patient])


def _ask(rack: Rack, givers: Givers, takers: _Takers, turn: Turn, poured: _Poured) -> _Takers:
    """Restart from one source; returns who found nothing."""
    if turn.source is Source.BACKUP:
        return _from_backup(rack, takers, turn, givers.day, poured)
    if turn.source is Source.STARTER:
        for place in range(len(rack.plan.starters)):
            takers = _from_starter(rack, takers, place, turn, givers.day, poured)
        return takers
    return _from_living(rack, givers, takers, turn, poured)


def leave_missed(rack: Rack, day: int) -> None:
    """Vessels whose planned restart did not come about leave the planned dates."""
    for row in rack.plan.restart_rows[day]:
        rack.off[row] |= np.isinf(rack.z[row])


def _in_turn(rack: Rack, at: Where) -> _Takers:
    """Vessels in the order in which they are served: by season and strain, the least needy first."""
    row, season = rack.split(at)
    order = np.argsort(season * rack.size[0] + rack.turn[row])
    return _Takers(at[order], row[order], season[order], np.arange(at.size))


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


def _from_living(rack: Rack, givers: Givers, takers: _Takers, turn: Turn, poured: _Poured) -> _Takers:
    """The first in line is asked, then the next, until one gives enough or none is left; returns who found none."""
    place = givers.have(turn.source, takers.place)
    if not place.size:
        return takers
    asking = takers.those(place)
    rank = givers.in_line(turn.source, asking.place)
    found: list[Where] = []
    given = rack.given_ml.ravel()
    while True:
        best = rank.min(axis=0)
        asks = (best < NEVER_ASKED).nonzero()[0]
        if asks.size < best.size:
            best, place, asking, rank = best[asks], place[asks], asking.those(asks), rank.take(asks, axis=1)
        if not asks.size:
            break
        giver = rack.by_id[best % rack.size[0]]
        source = giver * rack.seasons + asking.season
        per_ml = rack.per_ml(source, giver)
        spare_ml = givers.spare_ml[giver, asking.place] - given[source]
        share = share_out(rack, asking.row, source, spare_ml, per_ml, turn)
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
        rank[giver[left[refused]], refused] = NEVER_ASKED
    return takers.without(np.concatenate(found)) if found else takers


def _who_waits(rack: Rack, givers: Givers, takers: _Takers, turn: Turn) -> tuple[_Takers, Where]:
    """Who goes on looking today, and the vessels that wait because one that ripens soon will start them well."""
    have = givers.have(turn.source, takers.place)
    if not have.size:
        return takers, takers.at[:0]
    giver, taker = givers.belong(turn.source).take(takers.place[have], axis=1).nonzero()
    taker = have[taker]
    row, season, place = takers.row[taker], takers.season[taker], takers.place[taker]
    source = giver * rack.seasons + season
    per_ml = rack.top_of(source, giver) / (1.0 + givers.z_then[giver, place])
    spare_ml = givers.spare_ml[giver, place] - rack.given_ml.ravel()[source]
    volume_ml = np.minimum(spare_ml, wanted_ml(rack, row, per_ml))
    waits = np.unique(taker[donors.suffices(turn, volume_ml * per_ml, rack.least_cells[row])])
    return takers.without(waits), takers.at[waits]


def _from_backup(rack: Rack, takers: _Takers, turn: Turn, day: int, poured: _Poured) -> _Takers:
    """Restart from the fridge back-up of the strain; returns who found none that will do."""
    held_ml, filled = rack.bottle_ml.ravel(), rack.bottle_day.ravel()
    source = rack.bottle_row[takers.row] + takers.season
    asks = held_ml[source].nonzero()[0]
    if not asks.size:
        return takers
    source, strain = source[asks], rack.plan.places.strain[takers.row[asks]]
    age = day - filled[source]
    per_ml = rack.bottle_per_ml.ravel()[source] * rack.alive(strain, age)
    cells = _draw(rack, takers.row[asks], source, held_ml, per_ml, turn)
    served = cells.nonzero()[0]
    drawn = source[served]
    left = held_ml[drawn] > 0.0
    rack.bottle_drawn.ravel()[drawn] = left
    rack.some_drawn |= bool(left.any())
    filled[drawn[held_ml[drawn] == 0.0]] = LONG_AGO
    outbreak, lag_days = rack.bottle_outbreak.ravel()[drawn], rack.lag_days(strain, age)[served]
    poured.add(takers.at[asks[served]], cells[served], outbreak, lag_days)
    return takers.without(asks[served])


def _from_starter(rack: Rack, takers: _Takers, place: int, turn: Turn, day: int, poured: _Poured) -> _Takers:
    """Restart from what is held back of a starter; returns who found it wanting."""
    stock, held_ml = rack.plan.starters[place], rack.starter_ml[place]
    strain, age = np.array([stock.strain], np.int16), np.array([day - stock.filled])
    per_ml = stock.density_per_ml * rack.alive(strain, np.maximum(age, 0))
    if day < stock.filled or not per_ml[0]:
        return takers
    mine = rack.plan.places.strain[takers.row] == stock.strain
    asks = (mine & (held_ml[takers.season] > 0.0)).nonzero()[0]
    cells = _draw(rack, takers.row[asks], takers.season[asks], held_ml, per_ml.repeat(asks.size), turn)
    served = cells.nonzero()[0]
    clean, lag_days = np.full(served.size, CLEAN, np.int16), rack.lag_days(strain, age).repeat(served.size)
    poured.add(takers.at[asks[served]], cells[served], clean, lag_days)
    return takers.without(asks[served])


def _draw(rack: Rack, row: Where, source: Where, held_ml: Floats, per_ml: Floats, turn: Turn) -> Floats:
    """Draw from bottles that hold `held_ml`, by `source`, as long as they have enough; the cells each vessel gets."""
    cells, asks = np.zeros(source.size), np.arange(source.size)
    while asks.size:
        bottle = source[asks]
        share = share_out(rack, row[asks], bottle, held_ml[bottle], per_ml[asks], turn)
        drawn, volume_ml = bottle[share.served], share.volume_ml[share.served]
        cells[asks[share.served]] = volume_ml * per_ml[asks[share.served]]
        np.subtract.at(held_ml, drawn, volume_ml)
        held_ml[drawn[held_ml[drawn] <= FORGIVEN_ML]] = 0.0
        if share.settled is None:
            break
        asks = asks[~share.settled]
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
