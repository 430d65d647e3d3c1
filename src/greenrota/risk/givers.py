"""Givers: the living vessels beside those that wait, season by season, and which may give in a turn."""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from greenrota.risk.places import Floats
from greenrota.risk.rack import Rack, Where
from greenrota.risk.timetable import StepKind
from greenrota.rota.state import donors
from greenrota.rota.state.donors import Source

NEVER_ASKED = 2**30  # above every place in a line


class Givers:
    """What lives on a day beside each vessel that waits. Arrays are (vessel, taker).

    z is ceiling / density - 1. `spare_ml` is what a vessel has
    above what it keeps for its own re-seed, before it gave anything.
    """

    def __init__(self, rack: Rack, season: Where, taker: Where, day: int) -> None:
        self._rack, self.day = rack, day
        self._season = season
        self.z = rack.z.take(season, axis=1)
        self._age_days = day - rack.since.take(season, axis=1).astype(np.int32)
        self._may = self.z < np.inf
        self._may &= ~rack.suspect.take(season, axis=1)
        if rack.mixed:
            self._may &= rack.plan.places.strain[:, None] == rack.plan.places.strain[taker]
        self._harvested = rack.due.take(season, axis=1)
        self._reseeds = rack.reseeds.take(season, axis=1).astype(np.int32)
        self.spare_ml = self._spare_ml()
        self._line: NDArray[np.int32] | None = None
        self._belong: dict[Source, NDArray[np.bool_]] = {}

    @cached_property
    def z_then(self) -> Floats:
        """z on the last open day worth waiting for."""
        plan = self._rack.plan
        return self.z * plan.places.decay[:, None] ** plan.wait_days[self.day]

    def _spare_ml(self) -> Floats:
        """Also marks what is harvested on the planned dates of the day."""
        rack, fill_ml = self._rack, self._rack.plan.places.fill_ml
        spare_ml: Floats = rack.spare_ml[:, None].repeat(self._season.size, axis=1)
        row, taker = self._harvested.nonzero()
        renewing = (self._reseeds[row, taker] >= rack.plan.places.renew_after[row]).nonzero()[0]
        spare_ml[row[renewing], taker[renewing]] = fill_ml[row[renewing]]
        for step in rack.plan.planned[self.day]:
            if step.kind in (StepKind.HARVEST, StepKind.RENEW):
                on = (~rack.off[step.row][self._season]).nonzero()[0]
                self._harvested[step.row, on] = True
                spare_ml[step.row, on] = fill_ml[step.row] - step.kept_ml
        return spare_ml

    def belong(self, source: Source) -> NDArray[np.bool_]:
        """(vessel, taker) whether a vessel may give in a turn of this source."""
        found = self._belong.get(source)
        if found is None:
            then = self.z_then if source is Source.RIPENING else self.z
            found = donors.may_give(source, self.z, then, self._age_days, self._harvested)
            found &= self._may
            self._belong[source] = found
        return found

    def have(self, source: Source, place: Where) -> Where:
        """Which of the takers at these places have a vessel of this source beside them."""
        any_gives: NDArray[np.bool_] = np.logical_or.reduce(self.belong(source))
        return any_gives[place].nonzero()[0]

    def in_line(self, source: Source, place: Where) -> NDArray[np.int32]:
        """(vessel, taker) the line of a source: lower is asked first, `NEVER_ASKED` is not in it.

        The rest of a place in the line by the number of vessels is the vessel itself, in order of id.
        """
        if self._line is None:
            self._line = donors.seniority(self._reseeds, self._age_days)
            self._line *= self._rack.size[0]
            self._line += self._rack.place_of[:, None]
        line = self._line.take(place, axis=1)
        line[~self.belong(source).take(place, axis=1)] = NEVER_ASKED
        return line
