"""Pantry: feed on hand in every season, oldest fed first, gone when it has stood too long."""

from __future__ import annotations

import numpy as np

from greenrota.rota.ledger import SHORT_ML
from greenrota.rota.risk.places import Floats, Shorts
from greenrota.rota.risk.timetable import Timetable


class Pantry:
    """Two running sums a season: what has come, and what has gone; exact, because the oldest always goes first.

    Source: derived by hand; the same rule as `larder.balance`.
    """

    def __init__(self, plan: Timetable, seasons: int) -> None:
        self._keeps = plan.keeps_days
        self._ration_ml = plan.ration_ml
        self._first_feed = plan.first_feed
        self._come_by = np.zeros((plan.keeps_days + 1, seasons))
        self._come, self._gone = np.zeros(seasons), np.zeros(seasons)
        self._left, self._is_short = np.empty(seasons), np.empty(seasons, bool)
        self.short_days: Shorts = np.zeros(seasons, np.int16)
        self._stock(plan)

    def _stock(self, plan: Timetable) -> None:
        """Put feed that is on hand on the first day where it would stand by its age."""
        for day in range(-plan.keeps_days, 0):
            self._come += sum(ml for on, ml in plan.lots_ml if on == day)
            self._come_by[day % len(self._come_by)] = self._come

    def feed(self, day: int, harvest_ml: Floats) -> None:
        """One day: throw away what is too old, put the harvest in, feed the ration, count who goes short."""
        place = day % len(self._come_by)
        np.maximum(self._gone, self._come_by[place], out=self._gone)  # stood one day longer than it keeps
        self._come += harvest_ml
        self._come_by[place] = self._come
        ration_ml = self._ration_ml[day]
        if ration_ml <= 0.0:
            return
        np.subtract(self._come, self._gone, out=self._left)
        if day >= self._first_feed:
            np.less(self._left, ration_ml - SHORT_ML, out=self._is_short)
            self.short_days += self._is_short
        np.minimum(self._left, ration_ml, out=self._left)
        self._gone += self._left
