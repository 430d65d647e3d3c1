"""Restart: emptied vessels get an inoculum, in the order of `rota.state.donors`.

All vessels of all seasons that wait are served together, turn by turn, in the order season, strain, least need. Where
several ask one source, they are served in that order for as long as it holds enough, and the rest asks again in the
next round.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby, pairwise
from typing import assert_never

import numpy as np

from greenrota.risk.givers import (
    NEVER_ASKED,
    Givers,
    Spare,
    from_backup,
    from_starter,
    givers_for,
)
from greenrota.risk.states import CLEAN, NEVER, SeasonStates, Where
from greenrota.risk.takers import Poured, Takers, share_out, wanted_ml
from greenrota.rota.state import donors
from greenrota.rota.state.donors import Source, Turn

SAME_START = 1e-6  # relative: a restart this close to the planned density is the planned one; our choice
AT_ONCE = 3000  # vessels served at once; our choice, as `season.GROUP_PLACES`
_LIVING = (Source.HARVEST, Source.RIPE, Source.UNRIPE)


def _passes() -> tuple[tuple[Turn, ...], ...]:
    """The order of donors, with turns of living vessels that follow each other and must give as much taken as one.

    In such a pass a taker moves on to the next turn once its own is exhausted, without waiting for the others. That
    comes to the same: of two that ask one source, the first leaves it no later than the second, so nobody overtakes.
    """
    grouped = groupby(donors.ORDER, lambda turn: turn.least_share if turn.source in _LIVING else turn)
    return tuple(tuple(turns) for _, turns in grouped)


_PASSES = _passes()


def restart_waiting(states: SeasonStates, day: int) -> None:
    """Restart the vessels that wait and find a source; the others wait on, unless their strain is lost."""
    if states.waiting.size:
        spare = Spare(states, day)
        waiting = [_restart(states, takers, spare, day) for takers in _in_turn(states, states.waiting)]
        states.waiting = np.concatenate([at for parts in waiting for at in parts])


def _restart(states: SeasonStates, takers: Takers, spare: Spare, day: int) -> tuple[Where, Where]:
    """Serve all takers of some seasons; those that found nothing, and those that wait for a vessel that ripens."""
    poured = Poured()
    patient = takers.at[:0]
    givers = givers_for(states, takers.season, takers.row, day)
    for turns in _PASSES:
        if not takers.at.size:
            break
        match turns[0].source:
            case Source.RIPENING:
                takers, patient = _who_waits(states, givers, spare, takers, turns[0], day)
            case Source.BACKUP:
                takers = from_backup(states, takers, turns[0], day, poured)
            case Source.STARTER:
                for place in range(len(states.plan.starters)):
                    takers = from_starter(states, takers, place, turns[0], day, poured)
            case Source.HARVEST | Source.RIPE | Source.UNRIPE:
                takers = _from_living(states, givers, spare, takers, turns, poured)
            case _:
                assert_never(turns[0].source)
    _pour(states, poured, day)
    return _not_lost(states, takers, day), patient


def _not_lost(states: SeasonStates, takers: Takers, day: int) -> Where:
    """Those of the takers that found nothing whose strain is not lost."""
    if not takers.at.size:
        return takers.at
    strain = states.plan.places.strain[takers.row]
    states.check_lost(strain, takers.season, day)
    kept: Where = takers.at[states.lost_on[strain, takers.season] == NEVER]
    return kept


def leave_missed(states: SeasonStates, day: int) -> None:
    """Vessels whose planned restart did not come about leave the planned dates."""
    for row in states.plan.restart_rows[day]:
        states.off[row] |= np.isinf(states.z[row])


def _in_turn(states: SeasonStates, at: Where) -> Iterator[Takers]:
    """Vessels in the order in which they are served: by season and strain, the least needy first.

    Some whole seasons at once, so that what is worked out for them fits the processor's cache.
    """
    row, season = states.split(at)
    order = np.argsort(season * states.size[0] + states.turn[row], kind="stable")  # quick on sorted runs
    at, row, season = at[order], row[order], season[order]
    cuts = np.searchsorted(season, season[AT_ONCE::AT_ONCE]).tolist()
    for first, end in pairwise((0, *cuts, at.size)):
        yield Takers(at[first:end], row[first:end], season[first:end], np.arange(end - first))


def _from_living(
    states: SeasonStates,
    givers: Givers,
    spare: Spare,
    takers: Takers,
    turns: tuple[Turn, ...],
    poured: Poured,
) -> Takers:
    """The first in line is asked, then the next, until one gives enough or none is left; returns who found none."""
    broken_down = states.broken_down.ravel()[takers.at]
    rank = givers.of(takers.place).in_line(turns, broken_down, states.place_of)
    place = np.arange(takers.at.size)  # of those that still ask, one for each column of `rank`
    found: list[Where] = []
    never = NEVER_ASKED * states.size[0]
    given = states.given_ml.ravel()
    while place.size:
        best = np.minimum.reduce(rank)
        asks = (best < never).nonzero()[0]
        if not asks.size:
            break
        place = place[asks]
        asking = takers.those(place)
        giver = states.by_id[best[asks] % states.size[0]]
        source = giver * states.seasons + asking.season
        per_ml = states.per_ml(source, giver)
        share = share_out(
            states, asking.row, source, spare.of(source, giver) - given[source], per_ml, turns[0]
        )
        served = share.served.nonzero()[0]
        donor, volume_ml = source[served], share.volume_ml[served]
        np.add.at(given, donor, volume_ml)
        cells = volume_ml * per_ml[served]
        poured.add(asking.at[served], cells, states.outbreak.ravel()[donor], np.zeros(served.size))
        found.append(place[served])
        left = (~share.served).nonzero()[0]
        place, rank = place[left], rank.take(asks[left], axis=1)
        refused = np.arange(left.size) if share.settled is None else share.settled[left].nonzero()[0]
        rank[giver[left[refused]], refused] = never
    return takers.without(np.concatenate(found)) if found else takers


def _who_waits(
    states: SeasonStates, givers: Givers, spare: Spare, takers: Takers, turn: Turn, day: int
) -> tuple[Takers, Where]:
    """Takers that ask on today, and the vessels that wait because one that ripens soon will give enough."""
    plan, those = states.plan, givers.of(takers.place)
    z_then = those.z * plan.places.decay[:, None] ** plan.wait_days[day]
    giver, taker = those.belong(turn.source, z_then).nonzero()
    if not taker.size:
        return takers, takers.at[:0]
    row = takers.row[taker]
    source = giver * states.seasons + takers.season[taker]
    per_ml = states.top_of(source, giver) / (1.0 + z_then[giver, taker])
    spare_ml = spare.of(source, giver) - states.given_ml.ravel()[source]
    volume_ml = np.minimum(spare_ml, wanted_ml(states, row, per_ml))
    waits = taker[donors.suffices(turn, volume_ml * per_ml, states.least_cells[row])]
    left = np.ones(takers.at.size, bool)
    left[waits] = False
    return takers.those(left.nonzero()[0]), takers.at[~left]


def _pour(states: SeasonStates, poured: Poured, day: int) -> None:
    """Fill the vessels that are served; a restart other than the planned one leaves the planned dates.

    A contamination that nobody has seen yet goes with the inoculum.
    """
    if not poured.at:
        return
    at, cells = np.concatenate(poured.at), np.concatenate(poured.cells)
    outbreak, lag_days = np.concatenate(poured.outbreak), np.concatenate(poured.lag_days)
    row, _ = states.split(at)
    start_per_ml = cells / states.fill_ml[row]
    off = states.off.ravel()
    if states.plan.restart_rows[day]:
        planned = states.plan.restart_per_ml[day, row]
        off[at] |= ~(np.abs(start_per_ml - planned) <= SAME_START * planned)
    else:
        off[at] = True
    z = states.top_per_ml[row] / start_per_ml - 1.0
    late = lag_days.nonzero()[0]
    z[late] *= np.exp(states.plan.places.rate_per_day[row[late]] * lag_days[late])
    states.z.ravel()[at] = z
    states.since.ravel()[at] = states.cleaned.ravel()[at] = day
    states.reseeds.ravel()[at] = 0
    states.given_ml.ravel()[at] = 0.0
    sick = (outbreak != CLEAN).nonzero()[0]
    if sick.size:
        states.outbreak.ravel()[at[sick]] = outbreak[sick]
        states.carry(at[sick], day)
