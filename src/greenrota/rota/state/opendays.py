"""Open days: on which days somebody is there to do the work."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from datetime import date, timedelta

from greenrota.rota.plan import Plan

DAY = timedelta(days=1)
EVE_DAYS = (
    4  # before a start or re-seed, in which its seawater may be mixed and its vessel cleaned; our choice
)


_AHEAD_DAYS = 60  # listed beyond what was asked for, so that the list is seldom made again; our choice


class OpenDays:
    """The days on which a task may be put: working weekdays that are not away days."""

    def __init__(self, plan: Plan) -> None:
        self._weekdays = plan.work.weekdays
        self._away = tuple((away.first, away.last) for away in plan.away)
        self._known: dict[date, bool] = {}
        self._listed: list[date] = []  # the open days from the ordinal `_begin` to `_end`, both included
        self._begin = self._end = plan.start.toordinal()

    def is_open(self, day: date) -> bool:
        """True when somebody is there to work."""
        known = self._known.get(day)
        if known is None:
            known = day.weekday() in self._weekdays and not self.is_away(day)
            self._known[day] = known
        return known

    def is_away(self, day: date) -> bool:
        """True when nobody is at home."""
        return any(first <= day <= last for first, last in self._away)

    def on_or_after(self, day: date, last: date) -> date | None:
        """The first open day from `day` to `last`, both included; None if there is none."""
        while day <= last:
            if self.is_open(day):
                return day
            day += DAY
        return None

    def on_or_before(self, day: date, first: date) -> date | None:
        """The last open day from `day` back to `first`, both included; None if there is none."""
        while day >= first:
            if self.is_open(day):
                return day
            day -= DAY
        return None

    def eve(self, day: date, first: date) -> date:
        """The open day on which seawater and vessel are prepared: the last of the days before, else the day itself."""
        earliest = max(first, day - timedelta(days=EVE_DAYS))
        return self.on_or_before(day - DAY, earliest) or day

    def between(self, first: date, last: date) -> list[date]:
        """All open days from first to last, both included."""
        begin, end = first.toordinal(), last.toordinal()
        if not self._listed or begin < self._begin or end > self._end:
            self._begin = max(1, min(self._begin, begin - _AHEAD_DAYS))
            self._end = min(date.max.toordinal(), max(self._end, end + _AHEAD_DAYS))
            days = map(date.fromordinal, range(self._begin, self._end + 1))
            self._listed = [day for day in days if self.is_open(day)]
        return self._listed[bisect_left(self._listed, first) : bisect_right(self._listed, last)]
