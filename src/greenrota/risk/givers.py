"""Givers: which living vessels may give to an empty one, and how one source is shared out among several."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from greenrota.risk.places import Floats, Shorts
from greenrota.risk.states import SeasonStates, Where
from greenrota.risk.timetable import StepKind
from greenrota.rota.state import donors
from greenrota.rota.state.donors import Source, Turn, suffices

NEVER_ASKED = 2**62  # above every place in a line
_NEXT_TURN = 2**36  # above every seniority: re-seeds and ages are two bytes each


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

        `NEVER_ASKED` for one that is not asked; a taker that is not `broken_down` (taker,) asks after a loss. Rank
        modulo number of vessels is the vessel, by id, which is `place_of` (vessel,).
        """
        line: NDArray[np.int64] = donors.seniority(self.reseeds.astype(np.int64), self.age_days)
        line *= place_of.size
        line += place_of[:, None]
        rank = np.full(self.z.shape, NEVER_ASKED)
        for number, turn in enumerate(turns):
            if turn.after_loss:
                asked = self.belong(turn.source)
            elif broken_down.any():
                asked = self.belong(turn.source) & broken_down
            else:
                continue
            np.add(line, number * _NEXT_TURN * place_of.size, out=rank, where=asked)
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
