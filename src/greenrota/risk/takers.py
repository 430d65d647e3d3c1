"""Takers: the vessels that wait for an inoculum, how one source is shared out among them, and what they get."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from greenrota.risk.places import Floats
from greenrota.risk.states import SeasonStates, Where
from greenrota.rota.state.donors import Turn, suffices


class Takers(NamedTuple):
    """Vessels that ask for an inoculum, in the order in which they are served.

    Flat place, row and season of each, and its place among all that ask that day.
    """

    at: Where
    row: Where
    season: Where
    place: Where

    def those(self, which: Where) -> Takers:
        """The takers at these indices."""
        return Takers(self.at[which], self.row[which], self.season[which], self.place[which])

    def without(self, which: Where) -> Takers:
        """All takers without those at these indices."""
        left = np.ones(self.at.size, bool)
        left[which] = False
        return self.those(left.nonzero()[0])


class Poured:
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


class Portions(NamedTuple):
    """What each taker gets from its source.

    `settled`: it is decided whether the taker is served (None: for all); one that is not settled asks the same source
    again in the next round. `volume_ml` is what a served one gets.
    """

    settled: NDArray[np.bool_] | None
    served: NDArray[np.bool_]
    volume_ml: Floats


def share_out(
    states: SeasonStates, row: Where, source: Where, held_ml: Floats, per_ml: Floats, turn: Turn
) -> Portions:
    """Share sources out among takers, in their order, for as long as each holds enough.

    One entry for each taker: its vessel `row`, and the number, mL held and cells per mL of its source; takers of one
    source stand side by side. The turn says how many cells are enough.
    """
    wants_ml = wanted_ml(states, row, per_ml)
    again = np.zeros(row.size, bool)  # asks the source of the one before
    np.equal(source[1:], source[:-1], out=again[1:])
    if not again.any():
        volume_ml = np.minimum(held_ml, wants_ml)
        return Portions(None, suffices(turn, volume_ml * per_ml, states.least_cells[row]), volume_ml)
    before = np.zeros(row.size)
    np.add.accumulate(wants_ml[:-1], out=before[1:])
    left_ml = held_ml - (before - _since_opened(before, again))
    volume_ml = np.minimum(left_ml, wants_ml)
    served: NDArray[np.bool_] = suffices(turn, volume_ml * per_ml, states.least_cells[row])
    if states.equal_needs:  # what is too little for one is too little for all who come after
        return Portions(None, served, volume_ml)
    short = left_ml < wants_ml
    shorts = np.cumsum(short) - short
    settled = shorts == _since_opened(shorts, again)  # up to the first that does not get all it wants
    return Portions(settled, served & settled, volume_ml)


def wanted_ml(states: SeasonStates, row: Where, per_ml: Floats) -> Floats:
    """Culture of this density that brings vessels to the density of their own re-seeds, or the most they take."""
    volume_ml: Floats = np.minimum(states.goal_cells[row] / per_ml, states.most_ml[row])
    return volume_ml


def _since_opened(rising: NDArray[Any], again: NDArray[np.bool_]) -> NDArray[Any]:
    """The value of a running sum at the first member of each group; `again` marks all other members."""
    opened: NDArray[Any] = np.maximum.accumulate(rising * ~again)
    return opened
