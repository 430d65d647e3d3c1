"""Bottles: restarts from fridge back-ups and from what is held back of starters."""

from __future__ import annotations

import numpy as np

from greenrota.risk.givers import share_out
from greenrota.risk.places import Floats
from greenrota.risk.states import CLEAN, LONG_AGO, SeasonStates, Where
from greenrota.risk.takers import Poured, Takers
from greenrota.rota.state.donors import Turn

FORGIVEN_ML = 1e-6  # a rest that is rounding is none; our choice, as in `rota.state.actions`


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
