"""Luck: the random numbers of the seasons, one stream for every cell of seasons and every place on the shelf.

A cell is a fixed number of seasons with its own spawned seed, so a season meets the same luck however many cells are
played at once. Inside a cell the shelf and every vessel have a stream of their own, so a vessel keeps its luck
when another is added, and the numbers are drawn whether the vessel lives or not.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

CELL = 2000  # seasons; our choice: large enough that drawing costs more than asking for it


class Luck:
    """Uniform numbers 0..1 for the seasons `first_cell * CELL` and following, day after day."""

    def __init__(self, seed: int, first_cell: int, seasons: int, vessels: int) -> None:
        self._seasons = seasons
        cells = -(-seasons // CELL)
        self._streams = [
            [np.random.Generator(np.random.SFC64(child)) for child in _seed(seed, cell).spawn(vessels + 1)]
            for cell in range(first_cell, first_cell + cells)
        ]
        self._spare = np.empty(CELL)

    def draw(self, shelf: NDArray[np.float64], vessels: NDArray[np.float64]) -> None:
        """Fill the numbers of a day: `shelf` (seasons,) and `vessels` (vessel, season), in place."""
        for number, streams in enumerate(self._streams):
            first, last = number * CELL, min((number + 1) * CELL, self._seasons)
            for stream, row in zip(streams, (shelf, *vessels), strict=True):
                if last - first == CELL:
                    stream.random(out=row[first:last])
                else:  # the last cell is drawn whole, so that more seasons do not change these
                    stream.random(out=self._spare)
                    row[first:last] = self._spare[: last - first]


def _seed(seed: int, cell: int) -> np.random.SeedSequence:
    """What `SeedSequence(seed).spawn(n)[cell]` gives, without making the others."""
    return np.random.SeedSequence(seed, spawn_key=(cell,))
