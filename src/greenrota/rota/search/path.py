"""Path: the cheapest way through the calendar of one vessel, from its harvest to the next and so on to the end.

Lengths are in score, as far as it hangs on this vessel alone while the others stay as they are.
"""

import math
from bisect import bisect_left
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from greenrota.rota.search.others import Others
from greenrota.rota.search.score import WEIGHTS
from greenrota.rota.search.stands import Stand, Usual, Way, feed_costs


class Harvest(NamedTuple):
    """A harvest of a path: its day, and the share of the working volume that stays (None: as pinned, or none)."""

    day: int
    share: float | None


class Paths:
    """The cheapest ways to a harvest on each day, worked out day by day.

    `usual` are the usual harvests of the vessel, and those before it is ripe. A place on the way is a harvest on a day,
    of a batch that is ripe or not, which decides how the next one grows; its number is twice the day, and one more if
    it is not ripe. The score up to each place, the place before it and what was kept there are listed by number.
    """

    def __init__(self, usual: Sequence[Usual], others: Others) -> None:
        self._usual, self._others = usual, others
        self._end = len(others.is_open)
        self._short, self._spoiled = feed_costs(others.ration_ml)
        self._costs = [math.inf] * (2 * self._end)
        self._before: list[int | None] = [None] * (2 * self._end)
        self._shares: list[float | None] = [None] * (2 * self._end)

    def begin(self, stand: Stand, opened: int, days: Iterable[int]) -> None:
        """Enter the possible days of the first harvest, of a batch opened on a day."""
        for day in days:
            early = day - opened < stand.ripe
            self._enter(2 * day + early, stand.cost(day - opened) + self._others.costs[day], None, None)

    def to_the_end(self) -> list[Harvest]:
        """The harvests of the cheapest path to the end of the horizon; empty if there is none."""
        best: tuple[float, int, float | None] | None = None
        last_ripe = max(way.stand.ripe for usual in self._usual for way in usual.ways)
        for place in self._in_order():
            if place // 2 + last_ripe < self._end:
                continue
            for cost, share in self._unharvested(place):
                if best is None or self._costs[place] + cost < best[0]:
                    best = (self._costs[place] + cost, place, share)
        return [] if best is None else self._back(*best[1:])

    def to_a_last(self, until: int) -> list[Harvest]:
        """The harvests of the cheapest path with the last of them on a day, and nothing kept then; empty if none."""
        found = [(self._costs[place], place) for place in self._in_order() if place // 2 == until]
        return self._back(min(found)[1], None) if found else []

    def _in_order(self) -> Iterator[int]:
        """Every place that is reached, in order of days; what may follow it is entered afterwards."""
        for place in range(2 * self._end):
            if self._costs[place] < math.inf:
                yield place
                self._go_on(place)

    def _back(self, place: int, share: float | None) -> list[Harvest]:
        """The path that leads to a place, from its first harvest on; so much is kept at the last."""
        path = [Harvest(place // 2, share)]
        while (before := self._before[place]) is not None:
            path.append(Harvest(before // 2, self._shares[place]))
            place = before
        return path[::-1]

    def _unharvested(self, place: int) -> Iterator[tuple[float, float | None]]:
        """The costs of a last harvest and its share kept, where the next batch gets ripe after the end."""
        day, early = divmod(place, 2)
        wanted_ml = self._others.wanted_ml(day, self._end)
        for way in self._usual[early].ways:
            if day + way.stand.ripe >= self._end:
                over_ripe = max(0, self._end - (day + way.stand.over_ripe))
                yield WEIGHTS["over_ripe"] * over_ripe + self._fed(way, wanted_ml), way.share

    def _fed(self, way: Way, wanted_ml: float) -> float:
        """What a harvest adds to the score: its work; less for what is missing, more for what is not wanted."""
        used_ml = min(way.volume_ml, wanted_ml)
        return way.effort + self._spoiled * (way.volume_ml - used_ml) - self._short * used_ml

    def _go_on(self, place: int) -> None:
        """Enter the harvests that may follow one: what it yields covers what is missing until then."""
        is_open, costs, end = self._others.is_open, self._others.costs, self._end
        known, before, shares = self._costs, self._before, self._shares
        day, was_early = divmod(place, 2)
        so_far = known[place]
        missing_ml, lacking_ml = self._others.wanted_ml(day, end), self._others.lacking_ml
        gain, before_ml = self._short + self._spoiled, lacking_ml[day]
        found = False
        for days, early, volumes_ml, eaten, left in self._usual[was_early].gaps:
            later = day + days
            if later >= end:
                break
            if not is_open[later]:
                continue
            found = True
            wanted_ml = min(missing_ml, lacking_ml[later] - before_ml)
            cost, share = left[0]
            if wanted_ml > 0.0:
                n = bisect_left(volumes_ml, wanted_ml)
                cost, share = left[n]
                cost -= gain * wanted_ml
                if eaten[n].cost < cost:
                    cost, share = eaten[n]
            number, cost = 2 * later + early, so_far + cost + costs[later]
            if cost < known[number]:
                known[number], before[number], shares[number] = cost, place, share
        if not found:
            self._go_far(place)

    def _enter(self, place: int, cost: float, before: int | None, share: float | None) -> None:
        """Note a harvest if no cheaper way to it is known."""
        if cost < self._costs[place]:
            self._costs[place], self._before[place], self._shares[place] = cost, before, share

    def _go_far(self, place: int) -> None:
        """Where no day is open on which a harvest may well follow: enter the nearest ones on both sides."""
        is_open = self._others.is_open
        day, was_early = divmod(place, 2)
        for way in self._usual[was_early].ways:
            first, last = day + min(way.costs, default=1), day + max(way.costs, default=1)
            before = next((n for n in range(min(first, self._end) - 1, day, -1) if is_open[n]), None)
            after = next((n for n in range(last + 1, self._end) if is_open[n]), None)
            for later in (before, after):
                if later is not None:
                    cost = way.stand.cost(later - day) + self._others.costs[later]
                    cost += self._costs[place] + self._fed(way, self._others.wanted_ml(day, later))
                    self._enter(2 * later + (later - day < way.stand.ripe), cost, place, way.share)
