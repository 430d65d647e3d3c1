"""Luck: the random numbers of the seasons, one stream for every cell of seasons and every place on the shelf.

A cell is a fixed number of seasons with its own spawned seed, so a season meets the same luck however many cells are
played at once. Inside a cell the shelf and every vessel have a stream of their own, so a vessel keeps its luck
when another is added, and the numbers are drawn whether the vessel lives or not.

The numbers are whole, 0 to 2**32 - 1, two from each 64 bits: half the drawing and half the memory of floats.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

CELL = 5000  # seasons, even; our choice: large enough that drawing costs more than asking for it
NUMBERS = 2**32  # so many different ones, all equally likely

Draws = NDArray[np.uint32]


class Luck:
    """Numbers for the seasons `first_cell * CELL` and following, day after day."""

    def __init__(self, seed: int, first_cell: int, seasons: int, vessels: int) -> None:
        cells = range(first_cell, first_cell - (-seasons // CELL))
        seeds = [_seed(seed, cell).spawn(vessels + 1) for cell in cells]
        self._streams = [np.random.SFC64(its[place]) for place in range(vessels + 1) for its in seeds]
        self._drawn = np.empty(len(self._streams) * CELL // 2, "<u8")
        self._lots = self._drawn.view("<u4").reshape(vessels + 1, -1)[:, :seasons]

    def draw(self) -> tuple[Draws, Draws]:
        """The numbers of the next day: of the shelf (season,) and of the vessels (vessel, season).

        They hold until the next draw. A cell is drawn whole even where fewer of its seasons are played, so that more of
        them do not change these.
        """
        np.concatenate([stream.random_raw(CELL // 2) for stream in self._streams], out=self._drawn)
        draws = np.ascontiguousarray(self._lots)
        return draws[0], draws[1:]


def share(draws: Draws) -> NDArray[np.float64]:
    """The numbers as uniform ones from 0 up to 1.

    >>> share(np.array([0, 2**31], np.uint32)).tolist()
    [0.0, 0.5]
    """
    uniform: NDArray[np.float64] = draws * np.float64(1.0 / NUMBERS)
    return uniform


def draw_below(chance: float) -> np.uint32:
    """The number that none whose share is below the chance (0 or more) passes.

    >>> int(draw_below(0.5)), int(draw_below(1.5))
    (2147483648, 4294967295)
    """
    return np.uint32(min(int(chance * NUMBERS), NUMBERS - 1))


def _seed(seed: int, cell: int) -> np.random.SeedSequence:
    """What `SeedSequence(seed).spawn(n)[cell]` gives, without making the others."""
    return np.random.SeedSequence(seed, spawn_key=(cell,))
