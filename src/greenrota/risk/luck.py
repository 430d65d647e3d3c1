"""Luck: the random numbers of the seasons, from one stream for every cell of seasons and every vessel.

A cell is a fixed number of seasons with its own seed, so a season gets the same numbers however many cells are played
at once. Inside a cell every vessel has its own stream, and one more is for events that hit all vessels. So a vessel
keeps its numbers when another is added; they are drawn whether it lives or not.

The numbers are integers, 0 to 2**32 - 1, two from each 64 random bits: half the time and half the memory of floats.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

CELL = 5000  # seasons, even; our choice: large enough that the calls cost less than the drawing
NUMBERS = 2**32  # how many different numbers there are, all equally likely

Draws = NDArray[np.uint32]


class Luck:
    """Random numbers day after day, for so many seasons from number `first_cell * CELL` on."""

    def __init__(self, seed: int, first_cell: int, seasons: int, vessels: int) -> None:
        cells = range(first_cell, first_cell - (-seasons // CELL))
        seeds = [_seed(seed, cell).spawn(vessels + 1) for cell in cells]
        self._streams = [np.random.SFC64(its[place]) for place in range(vessels + 1) for its in seeds]
        self._drawn = np.empty((len(self._streams), CELL // 2), "<u8")
        self._numbers = self._drawn.view("<u4").reshape(vessels + 1, -1)[:, :seasons]

    def draw(self) -> tuple[Draws, Draws]:
        """The numbers of the next day: for events that hit all vessels (season,), and by vessel (vessel, season).

        The arrays are overwritten by the next draw. A cell is always drawn whole, so that the numbers of a season do
        not depend on how many seasons are played.
        """
        for stream, drawn in zip(self._streams, self._drawn, strict=True):
            drawn[:] = stream.random_raw(CELL // 2)
        draws = np.ascontiguousarray(self._numbers)
        return draws[0], draws[1:]


def share(draws: Draws) -> NDArray[np.float64]:
    """The numbers as floats, uniform from 0 (included) to 1 (excluded).

    >>> share(np.array([0, 2**31], np.uint32)).tolist()
    [0.0, 0.5]
    """
    uniform: NDArray[np.float64] = draws * np.float64(1.0 / NUMBERS)
    return uniform


def draw_below(chance: float) -> np.uint32:
    """Integer threshold: a draw at or below it is an event of this probability (0 or more), to within 2**-32.

    >>> int(draw_below(0.5)), int(draw_below(1.5))
    (2147483648, 4294967295)
    """
    return np.uint32(min(int(chance * NUMBERS), NUMBERS - 1))


def _seed(seed: int, cell: int) -> np.random.SeedSequence:
    """What `SeedSequence(seed).spawn(n)[cell]` gives, without making the others."""
    return np.random.SeedSequence(seed, spawn_key=(cell,))
