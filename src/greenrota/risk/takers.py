"""Takers: the vessels that wait for an inoculum, and what they are restarted with."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from greenrota.risk.places import Floats
from greenrota.risk.states import Where


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
