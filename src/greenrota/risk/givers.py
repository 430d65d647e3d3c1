"""Givers: which living vessels may give to an empty one, and how one source is shared out among several."""

from __future__ import annotations

from functools import cached_property
from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from greenrota.risk.places import Floats
from greenrota.risk.states import SeasonStates, Where
from greenrota.risk.timetable import StepKind
from greenrota.rota.state import donors
from greenrota.rota.state.donors import Source, Turn, suffices

FORGIVEN_ML = 1e-6  # a rest that is rounding is none; our choice, as in `rota.state.actions`
NEVER_ASKED = 2**30  # above every place in a line


class Givers:
    """The living vessels in the season of each taker (a vessel that waits). Arrays are (vessel, taker).

    z is ceiling / density - 1. `spare_ml` is what a vessel has
    above what it keeps for its own re-seed, before it gave anything.
    """

    def __init__(self, states: SeasonStates, season: Where, taker: Where, day: int) -> None:
        self._states, self.day = states, day
        self._season = season
        self.z = states.z.take(season, axis=1)
        self._age_days = day - states.since.take(season, axis=1).astype(np.int32)
        self._may = self.z < np.inf
        self._may &= ~states.suspect.take(season, axis=1)
        if states.mixed:
            self._may &= states.plan.places.strain[:, None] == states.plan.places.strain[taker]
        self._harvested = states.due.take(season, axis=1)
        self._reseeds = states.reseeds.take(season, axis=1).astype(np.int32)
        self.spare_ml = self._spare_ml()
        self._line: NDArray[np.int32] | None = None
        self._belong: dict[Source, NDArray[np.bool_]] = {}

    @cached_property
    def z_then(self) -> Floats:
        """z on the last open day for which a taker may wait."""
        plan = self._states.plan
        return self.z * plan.places.decay[:, None] ** plan.wait_days[self.day]

    def _spare_ml(self) -> Floats:
        """What each vessel can spare, in mL. Marks the planned harvests of the day as harvested on the way."""
        states, fill_ml = self._states, self._states.plan.places.fill_ml
        spare_ml: Floats = states.spare_ml[:, None].repeat(self._season.size, axis=1)
        row, taker = self._harvested.nonzero()
        renewing = (self._reseeds[row, taker] >= states.plan.places.renew_after[row]).nonzero()[0]
        spare_ml[row[renewing], taker[renewing]] = fill_ml[row[renewing]]
        for step in states.plan.planned[self.day]:
            if step.kind in (StepKind.HARVEST, StepKind.RENEW):
                on = (~states.off[step.row][self._season]).nonzero()[0]
                self._harvested[step.row, on] = True
                spare_ml[step.row, on] = fill_ml[step.row] - step.kept_ml
        return spare_ml

    def belong(self, source: Source) -> NDArray[np.bool_]:
        """Whether a vessel belongs to a source, by (vessel, taker)."""
        found = self._belong.get(source)
        if found is None:
            then = self.z_then if source is Source.RIPENING else self.z
            found = donors.may_give(source, self.z, then, self._age_days, self._harvested)
            found &= self._may
            self._belong[source] = found
        return found

    def have(self, source: Source, place: Where) -> Where:
        """Those of the takers at these places that have a vessel of this source in their season."""
        any_gives: NDArray[np.bool_] = np.logical_or.reduce(self.belong(source))
        return any_gives[place].nonzero()[0]

    def in_line(self, source: Source, place: Where) -> NDArray[np.int32]:
        """The rank of each vessel within a source, by (vessel, taker): the lowest is asked first.

        `NEVER_ASKED` for one that does not belong to the source. Rank modulo number of vessels is the vessel, by id.
        """
        if self._line is None:
            self._line = donors.seniority(self._reseeds, self._age_days)
            self._line *= self._states.size[0]
            self._line += self._states.place_of[:, None]
        line = self._line.take(place, axis=1)
        line[~self.belong(source).take(place, axis=1)] = NEVER_ASKED
        return line


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
    with np.errstate(divide="ignore"):  # an old bottle may hold no living cell
        volume_ml: Floats = np.minimum(states.goal_cells[row] / per_ml, states.most_ml[row])
    return volume_ml


def _since_opened(rising: NDArray[Any], again: NDArray[np.bool_]) -> NDArray[Any]:
    """The value of a running sum at the first member of each group; `again` marks all other members."""
    opened: NDArray[Any] = np.maximum.accumulate(rising * ~again)
    return opened


def draw_from_bottles(
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
