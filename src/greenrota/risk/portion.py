"""Portion: a source of inoculum shared among those who ask it, in their order, for as long as it holds enough."""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from greenrota.risk.places import Floats
from greenrota.risk.rack import Rack, Where
from greenrota.rota.state.donors import Turn, suffices


class Portions(NamedTuple):
    """What each taker gets from its source: whether it is settled that it is served or refused, and how much.

    `settled` None: all are. Who is not asks the same source again, after the others.
    """

    settled: NDArray[np.bool_] | None
    served: NDArray[np.bool_]
    volume_ml: Floats


def share_out(rack: Rack, row: Where, source: Where, held_ml: Floats, per_ml: Floats, turn: Turn) -> Portions:
    """Share sources out; takers of one source stand side by side.

    One entry a taker: its vessel `row`, and its source's number, mL held and cells per mL. What will do is the turn's.
    """
    wants_ml = wanted_ml(rack, row, per_ml)
    again = np.zeros(row.size, bool)  # asks the source of the one before
    np.equal(source[1:], source[:-1], out=again[1:])
    before = np.zeros(row.size)
    np.add.accumulate(wants_ml[:-1], out=before[1:])
    left_ml = held_ml - (before - _since_opened(before, again))
    volume_ml = np.minimum(left_ml, wants_ml)
    served: NDArray[np.bool_] = suffices(turn, volume_ml * per_ml, rack.least_cells[row])
    if rack.equal_needs:  # what is too little for one is too little for all who come after
        return Portions(None, served, volume_ml)
    short = left_ml < wants_ml
    shorts = np.cumsum(short) - short
    settled = shorts == _since_opened(shorts, again)  # up to the first that does not get all it wants
    return Portions(settled, served & settled, volume_ml)


def wanted_ml(rack: Rack, row: Where, per_ml: Floats) -> Floats:
    """Culture of this density that brings vessels to the density of their own re-seeds, or the most they take."""
    with np.errstate(divide="ignore"):  # an old bottle may hold no living cell
        volume_ml: Floats = np.minimum(rack.goal_cells[row] / per_ml, rack.most_ml[row])
    return volume_ml


def _since_opened(rising: NDArray[Any], again: NDArray[np.bool_]) -> NDArray[Any]:
    """What a running sum was when its group opened."""
    opened: NDArray[Any] = np.maximum.accumulate(rising * ~again)
    return opened
