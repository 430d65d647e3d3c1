"""Salt water: on which days it is mixed, for which fillings, and what of it is on hand.

A bucket is mixed for all the fillings that it can serve: those of the days in which it keeps, as far as its size goes.
"""

from collections.abc import Collection, Iterable, Sequence
from datetime import date
from operator import itemgetter
from typing import NamedTuple

from greenrota.rota.state.opendays import OpenDays
from greenrota.rota.state.state import vessel_of

KEEPS_DAYS = 7  # mixed salt water that stands covered; our choice, no published figure found
ENOUGH_ML, ENOUGH_SHARE = 20.0, 0.02  # seawater that may be missing before more is mixed; our choice
_BY_DAY = itemgetter(0, 1)
_ROUNDING_ML = 1e-6  # a bucket that is filled to the brim by a sum of floats is not too small


class Fill(NamedTuple):
    """Seawater that a task pours, in mL. `fresh`: it goes into a vessel that is cleaned before.

    `prepare` is the id of the task that mixes it, where it is the first that the bucket serves. A tuple, for the
    search makes many; its first two fields order fillings by day.
    """

    on: date
    task: str
    prepare: str
    batch: str
    seawater_ml: float
    fresh: bool = False

    @property
    def vessel(self) -> str:
        """The vessel that is filled."""
        return vessel_of(self.batch)


class MixedWater(NamedTuple):
    """Salt water that was mixed on a day: `left_ml` of it is not poured yet.

    `prepare` is the id of the task that it fulfilled. None left: enough for what that task is named after, and nothing
    for others.
    """

    prepare: str
    on: date
    left_ml: float | None

    @property
    def batch(self) -> str:
        """The batch that the task was named after."""
        return self.prepare.rpartition("/")[0]

    def keeps(self, on: date) -> bool:
        """True on the days on which it may still be poured."""
        return 0 <= (on - self.on).days <= KEEPS_DAYS


class Bucket(NamedTuple):
    """Salt water to be mixed on a day. Its `fills` tell what each of them still needs, by the day it is poured.

    `shared_day`: there is work on its day without it.
    """

    on: date
    fills: tuple[Fill, ...]
    shared_day: bool

    @property
    def seawater_ml(self) -> float:
        """All that is mixed."""
        return sum(fill.seawater_ml for fill in self.fills)


class Mixing(NamedTuple):
    """All that the days of mixing depend on, besides the fillings and the other work.

    `most_ml` is what a bucket holds; `on_hand` is mixed already; `done` are the ids of tasks fulfilled or skipped.
    """

    open_days: OpenDays
    as_of: date
    most_ml: float
    on_hand: tuple[MixedWater, ...] = ()
    done: frozenset[str] = frozenset()

    def buckets(self, fills: Iterable[Fill], work_days: Iterable[date]) -> tuple[Bucket, ...]:
        """The buckets that fillings need, by the day of the first filling each serves.

        `work_days` are the days with other work. A filling takes water that is on hand, then that of a bucket mixed
        for an earlier one. Else a new bucket is mixed: on the last work day of the days before in which it keeps;
        without one on the last open day shortly before; without that on the day itself. A filling of more than
        `most_ml` has a bucket of its own.
        """
        wanted = self.missing(sorted(fills, key=_BY_DAY))
        if not wanted:
            return ()
        worked = {on.toordinal() for on in work_days}
        days: list[int] = []  # of the buckets so far, never earlier than the one before
        rooms: list[float] = []
        served: list[list[Fill]] = []
        shared_day: list[bool] = []
        fresh = 0  # the first bucket that still keeps
        roomy: dict[float, int] = {}  # by size, the first bucket that had room: rooms only get smaller
        for fill in wanted:
            needed = fill.on.toordinal()
            while fresh < len(days) and days[fresh] < needed - KEEPS_DAYS:
                fresh += 1
            size_ml = fill.seawater_ml
            for n in range(max(fresh, roomy.get(size_ml, 0)), len(days)):
                if rooms[n] >= size_ml:
                    break
            else:
                n, day = len(days), self._day(fill.on, needed, worked)
                shared_day.append(day in worked)
                worked.add(day)
                days.append(day)
                rooms.append(self.most_ml + _ROUNDING_ML)
                served.append([])
            roomy[size_ml] = n
            rooms[n] -= size_ml
            served[n].append(fill)
        return tuple(
            Bucket(date.fromordinal(day), tuple(of_bucket), shared)
            for day, of_bucket, shared in zip(days, served, shared_day, strict=True)
        )

    def _day(self, on: date, needed: int, worked: Collection[int]) -> int:
        """The day on which a bucket is mixed whose first filling is on a day, also given as its number."""
        for day in range(needed - 1, max(needed - KEEPS_DAYS, self.as_of.toordinal()) - 1, -1):
            if day in worked:
                return day
        return self.open_days.eve(on, self.as_of).toordinal()

    def missing(self, fills: Sequence[Fill]) -> list[Fill]:
        """The fillings, in the order of the calendar, that water on hand does not serve, with what each still needs."""
        if not self.on_hand and not self.done:
            return [fill for fill in fills if fill.seawater_ml > 0.0]
        there, wanted = self.on_hand, []
        named = {water.prepare for water in there}
        for fill in fills:
            if fill.prepare in self.done and fill.prepare not in named:
                continue  # it was skipped: somebody sees to it
            short_ml, there = poured(there, fill)
            if (
                short_ml > max(ENOUGH_ML, ENOUGH_SHARE * fill.seawater_ml)
                or short_ml == fill.seawater_ml > 0.0
            ):
                wanted.append(fill._replace(seawater_ml=short_ml))
        return wanted


def poured(on_hand: tuple[MixedWater, ...], fill: Fill) -> tuple[float, tuple[MixedWater, ...]]:
    """What a filling lacks (mL) when it has taken what is on hand, and what is on hand then.

    It takes the oldest water that still keeps, whatever it was mixed for; what is of unknown amount serves its own
    filling alone.
    """
    own = [water for water in on_hand if water.prepare == fill.prepare]
    if any(water.left_ml is None and water.keeps(fill.on) for water in own):
        return 0.0, on_hand
    left_ml: dict[int, float] = {}
    short_ml = fill.seawater_ml
    for n in sorted(range(len(on_hand)), key=lambda n: on_hand[n].on):
        there_ml = on_hand[n].left_ml
        if there_ml and short_ml > 0.0 and on_hand[n].keeps(fill.on):
            taken_ml = min(there_ml, short_ml)
            short_ml -= taken_ml
            left_ml[n] = there_ml - taken_ml
    if not left_ml:
        return short_ml, on_hand
    return short_ml, tuple(
        water._replace(left_ml=left_ml[n]) if n in left_ml else water for n, water in enumerate(on_hand)
    )
