"""Pantry: feed on hand in every season, oldest fed first, gone when it has stood too long."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from greenrota.risk.feeding import Feeding
from greenrota.risk.places import Floats, Shorts
from greenrota.risk.timetable import Timetable
from greenrota.rota.feed.pouring import SHORT_ML


class RationBook:
    """Feed of every kind; a day is short when any kind is."""

    def __init__(self, plan: Timetable, seasons: int) -> None:
        self._first_feed = plan.first_feed
        self._kinds = [_Kind(plan.feeding, kind, seasons) for kind in range(len(plan.feeding.ration_ml))]
        self.short_days: Shorts = np.zeros(seasons, np.int16)

    def feed(self, day: int, harvest_ml: Floats) -> None:
        """One day: the harvest (kind, season) comes in, the rations are fed, and who goes short is counted."""
        lacks = [kind.feed(day, came_ml) for kind, came_ml in zip(self._kinds, harvest_ml, strict=True)]
        if day >= self._first_feed:
            self.short_days += lacks[0] if len(lacks) == 1 else np.logical_or.reduce(lacks)


class _Kind:
    """Two running sums a season: what has come, and what has gone; exact, because the oldest always goes first.

    Source: derived by hand; the same rule as `larder.balance`.
    """

    def __init__(self, feeding: Feeding, kind: int, seasons: int) -> None:
        self._ration_ml = feeding.ration_ml[kind]
        self._come_by = np.zeros((feeding.keeps_days + 1, seasons))
        self._come, self._gone, self._left = np.zeros((3, seasons))
        self._lacks = np.zeros(seasons, bool)
        for day in range(-feeding.keeps_days, 0):  # what is on hand stands where it would by its age
            self._come += sum(ml for its, on, ml in feeding.lots_ml if its == kind and on == day)
            self._come_by[day % len(self._come_by)] = self._come

    def feed(self, day: int, harvest_ml: Floats) -> NDArray[np.bool_]:
        """One day: throw away what is too old, put the harvest in, feed the ration; which seasons lack of it."""
        place = day % len(self._come_by)
        np.maximum(self._gone, self._come_by[place], out=self._gone)  # stood one day longer than it keeps
        self._come += harvest_ml
        self._come_by[place] = self._come
        ration_ml = self._ration_ml[day]
        np.subtract(self._come, self._gone, out=self._left)
        np.less(self._left, ration_ml - SHORT_ML, out=self._lacks)
        np.minimum(self._left, ration_ml, out=self._left)
        self._gone += self._left
        return self._lacks
