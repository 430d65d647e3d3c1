"""Givers: the living vessels and the bottles that may give to an empty vessel."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from greenrota.risk.places import Floats, Shorts
from greenrota.risk.states import CLEAN, LONG_AGO, SeasonStates, Where
from greenrota.risk.takers import Poured, Takers, share_out
from greenrota.risk.timetable import StepKind
from greenrota.rota.state import donors
from greenrota.rota.state.donors import Source, Turn

FORGIVEN_ML = 1e-6  # a rest that is rounding is none; our choice, as in `rota.state.actions`
NEVER_ASKED = 2**40  # times the number of vessels: above every rank of a vessel that is asked
_NEXT_TURN = 2**36  # above every seniority: re-seeds and ages are two bytes each
_NO_TURN = 32  # above the number of turns, and so large that its ranks are above `NEVER_ASKED`


class Givers(NamedTuple):
    """The vessels in the season of each taker (a vessel that waits). Arrays are (vessel, taker).

    z is ceiling / density - 1. `may`: lives, is of the taker's strain and not suspect. `harvested`: today, on the
    planned dates or off them.
    """

    z: Floats
    may: NDArray[np.bool_]
    harvested: NDArray[np.bool_]
    age_days: Shorts
    reseeds: Shorts

    def of(self, place: Where) -> Givers:
        """The same for the takers at these places alone (each once, rising)."""
        if place.size == self.z.shape[1]:
            return self
        return Givers(
            self.z.take(place, axis=1),
            self.may.take(place, axis=1),
            self.harvested.take(place, axis=1),
            self.age_days.take(place, axis=1),
            self.reseeds.take(place, axis=1),
        )

    def belong(self, source: Source, z_then: Any = None) -> NDArray[np.bool_]:
        """Whether a vessel belongs to a source; `z_then` as in `donors.may_give`."""
        found: NDArray[np.bool_] = donors.may_give(source, self.z, z_then, self.age_days, self.harvested)
        return found & self.may

    def in_line(
        self, turns: Sequence[Turn], broken_down: NDArray[np.bool_], place_of: NDArray[np.int64]
    ) -> NDArray[np.int64]:
        """The rank of each vessel in turns that are asked one after the other: the lowest is asked first.

        A vessel that is not asked has `NEVER_ASKED` times the number of vessels, or more. A taker that is not
        `broken_down` (taker,) asks after a loss. Rank modulo number of vessels is the vessel, by id, which is
        `place_of` (vessel,).
        """
        turn_of = np.full(self.z.shape, _NO_TURN, np.int8)  # sums of masks, which cost less than picking
        for number, turn in enumerate(turns):
            if turn.after_loss:
                turn_of -= self.belong(turn.source) * np.int8(_NO_TURN - number)
            elif broken_down.any():
                turn_of -= (self.belong(turn.source) & broken_down) * np.int8(_NO_TURN - number)
        rank: NDArray[np.int64] = donors.seniority(self.reseeds.astype(np.int64), self.age_days)
        rank += turn_of * np.int64(_NEXT_TURN)
        rank *= place_of.size
        rank += place_of[:, None]
        return rank


def givers_for(states: SeasonStates, season: Where, taker: Where, day: int) -> Givers:
    """The givers in these seasons, for takers in these rows."""
    z = states.z.take(season, axis=1)
    may = z < np.inf
    may &= ~states.suspect.take(season, axis=1)
    if states.mixed:
        may &= states.plan.places.strain[:, None] == states.plan.places.strain[taker]
    harvested = states.due.take(season, axis=1)
    for step in states.plan.planned[day]:
        if step.kind in (StepKind.HARVEST, StepKind.RENEW):
            harvested[step.row] |= ~states.off[step.row][season]
    age_days = day - states.since.take(season, axis=1)
    return Givers(z, may, harvested, age_days, states.reseeds.take(season, axis=1))


class Spare:
    """What vessels can spare today, in mL, beside what they keep for their own re-seed."""

    def __init__(self, states: SeasonStates, day: int) -> None:
        self._states = states
        self._on_plan_ml = states.spare_ml.copy()  # (vessel,) of those that are on the planned dates
        for step in states.plan.planned[day]:
            if step.kind in (StepKind.HARVEST, StepKind.RENEW):
                self._on_plan_ml[step.row] = states.plan.places.fill_ml[step.row] - step.kept_ml

    def of(self, at: Where, row: Where) -> Floats:
        """Of vessels at these flat places, in these rows, before they gave anything."""
        states = self._states
        ends = states.due.ravel()[at] & (states.reseeds.ravel()[at] >= states.renew_after[row])
        off_plan_ml = np.where(ends, states.fill_ml[row], states.spare_of[row])
        return np.where(states.off.ravel()[at], off_plan_ml, self._on_plan_ml[row])


def from_backup(states: SeasonStates, takers: Takers, turn: Turn, day: int, poured: Poured) -> Takers:
    """Restart from the fridge back-up of the strain; returns who found none that will do."""
    held_ml, filled = states.bottle_ml.ravel(), states.bottle_day.ravel()
    source = states.bottle_row[takers.row] + takers.season
    asks = held_ml[source].nonzero()[0]
    if not asks.size:
        return takers
    row, source = takers.row[asks], source[asks]
    strain, age = states.plan.places.strain[row], day - filled[source]
    per_ml = states.bottle_per_ml.ravel()[source] * states.alive(strain, age)
    cells = _draw(states, row, source, held_ml, per_ml, turn)
    served = cells.nonzero()[0]
    if not served.size:
        return takers
    drawn = source[served]
    left = held_ml[drawn] > 0.0
    states.bottle_drawn.ravel()[drawn] = left
    states.some_drawn |= bool(left.any())
    filled[drawn[~left]] = LONG_AGO
    outbreak, lag_days = states.bottle_outbreak.ravel()[drawn], states.lag_days(strain[served], age[served])
    poured.add(takers.at[asks[served]], cells[served], outbreak, lag_days)
    return takers.without(asks[served])


def from_starter(
    states: SeasonStates, takers: Takers, place: int, turn: Turn, day: int, poured: Poured
) -> Takers:
    """Restart from what is held back of a starter; returns the takers that it gave nothing."""
    stock, held_ml = states.plan.starters[place], states.starter_ml[place]
    per_ml, lag_days = states.starter_on(place, day)
    if not per_ml:
        return takers
    asks = held_ml[takers.season] > 0.0
    if states.mixed:
        asks &= states.plan.places.strain[takers.row] == stock.strain
    asking = asks.nonzero()[0]
    if not asking.size:
        return takers
    row, season = takers.row[asking], takers.season[asking]
    cells = _draw(states, row, season, held_ml, np.full(asking.size, per_ml), turn)
    served = cells.nonzero()[0]
    if not served.size:
        return takers
    clean, late = np.full(served.size, CLEAN, np.int16), np.full(served.size, lag_days)
    poured.add(takers.at[asking[served]], cells[served], clean, late)
    return takers.without(asking[served])


def _draw(
    states: SeasonStates, row: Where, source: Where, held_ml: Floats, per_ml: Floats, turn: Turn
) -> Floats:
    """Draw from bottles, `source`, as long as they have enough; the cells each vessel gets.

    `held_ml` is what every bottle holds, and is lowered by what is drawn.
    """
    cells, asks = np.zeros(source.size), np.arange(source.size)
    while asks.size:
        bottle = source[asks]
        share = share_out(states, row[asks], bottle, held_ml[bottle], per_ml[asks], turn)
        drawn, volume_ml = bottle[share.served], share.volume_ml[share.served]
        cells[asks[share.served]] = volume_ml * per_ml[asks[share.served]]
        np.subtract.at(held_ml, drawn, volume_ml)
        held_ml[drawn[held_ml[drawn] <= FORGIVEN_ML]] = 0.0
        if share.settled is None:
            break
        asks = asks[~share.settled]
    return cells
