"""Path: the cheapest way through the calendar of one vessel, from its harvest to the next and so on to the end.

Lengths are in score, as far as it hangs on this vessel alone while the others stay as they are.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from greenrota.rota.search.others import Others
from greenrota.rota.search.score import WEIGHTS
from greenrota.rota.search.stands import Stand, Way


class Harvest(NamedTuple):
    """A harvest of a path: its day, and the share of the working volume that stays (None: as pinned, or none)."""

    day: int
    share: float | None


class Place(NamedTuple):
    """A harvest on the way: its day, and whether the batch is not ripe yet, so that the next grows from fewer cells."""

    day: int
    early: bool


class Step(NamedTuple):
    """The cheapest way to a place: the score up to it, the place before (None: it is the first), what is kept there."""

    cost: float
    before: Place | None
    share: float | None


class Option(NamedTuple):
    """A share that may be kept at a harvest: what that costs if nobody wants the harvest, and how much it is, mL."""

    cost: float
    volume_ml: float
    share: float | None


class Gap(NamedTuple):
    """A number of days after a harvest on which the next may follow: the options for which it is early, or ripe.

    `cheapest` is the option that costs least while no ration is missing.
    """

    days: int
    early: bool
    options: Sequence[Option]
    cheapest: Option


class Paths:
    """The cheapest ways to a harvest on each day, worked out day by day.

    `ways` are the usual harvests of the vessel and those before it is ripe.
    """

    def __init__(self, ways: tuple[Sequence[Way], Sequence[Way]], others: Others) -> None:
        self._ways, self._others = ways, others
        self._end = len(others.is_open)
        per_ml = 1.0 / others.ration_ml if others.ration_ml > 0.0 else 0.0
        self._short, self._spoiled = WEIGHTS["short"] * per_ml, WEIGHTS["spoiled"] * per_ml
        self._gaps = (self._gaps_of(ways[False]), self._gaps_of(ways[True]))
        self._reached: list[dict[Place, Step]] = [{} for _ in range(self._end)]

    def begin(self, stand: Stand, opened: int, days: Iterable[int]) -> None:
        """Enter the possible days of the first harvest, of a batch opened on a day."""
        for day in days:
            cost = stand.cost(day - opened) + self._others.costs[day]
            place = Place(day, day - opened < stand.ripe)
            self._reached[day][place] = Step(cost, None, None)

    def to_the_end(self) -> list[Harvest]:
        """The harvests of the cheapest path to the end of the horizon; empty if there is none."""
        best: tuple[float, Place, float | None] | None = None
        for place, step in self._in_order():
            for cost, share in self._unharvested(place):
                if best is None or step.cost + cost < best[0]:
                    best = (step.cost + cost, place, share)
        return [] if best is None else self._back(*best[1:])

    def to_a_last(self, until: int) -> list[Harvest]:
        """The harvests of the cheapest path with the last of them on a day, and nothing kept then; empty if none."""
        found = [(step.cost, place) for place, step in self._in_order() if place.day == until]
        return self._back(min(found)[1], None) if found else []

    def _in_order(self) -> Iterator[tuple[Place, Step]]:
        """Every place that is reached, in order of days; what may follow it is entered afterwards."""
        for day in range(self._end):
            for place, step in self._reached[day].items():
                yield place, step
                self._go_on(place, step)

    def _back(self, place: Place, share: float | None) -> list[Harvest]:
        """The path that leads to a place, from its first harvest on; so much is kept at the last."""
        path = [Harvest(place.day, share)]
        while (step := self._reached[place.day][place]).before is not None:
            place = step.before
            path.append(Harvest(place.day, step.share))
        return path[::-1]

    def _gaps_of(self, ways: Sequence[Way]) -> list[Gap]:
        """What may follow a harvest that is done in one of these ways, in order of days."""
        options: dict[tuple[int, bool], list[Option]] = defaultdict(list)
        for way in ways:
            for days, cost in way.costs.items():
                whole = cost + way.effort + self._spoiled * way.volume_ml
                options[days, days < way.stand.ripe].append(Option(whole, way.volume_ml, way.share))
        return [Gap(*key, options[key], min(options[key], key=_cost)) for key in sorted(options)]

    def _unharvested(self, place: Place) -> Iterator[tuple[float, float | None]]:
        """The costs of a last harvest and its share kept, where the next batch gets ripe after the end."""
        wanted_ml = self._others.wanted_ml(place.day, self._end)
        for way in self._ways[place.early]:
            if place.day + way.stand.ripe >= self._end:
                over_ripe = max(0, self._end - (place.day + way.stand.over_ripe))
                yield WEIGHTS["over_ripe"] * over_ripe + self._fed(way, wanted_ml), way.share

    def _fed(self, way: Way, wanted_ml: float) -> float:
        """What a harvest adds to the score: its work; less for what is missing, more for what is not wanted."""
        used_ml = min(way.volume_ml, wanted_ml)
        return way.effort + self._spoiled * (way.volume_ml - used_ml) - self._short * used_ml

    def _go_on(self, place: Place, step: Step) -> None:
        """Enter the harvests that may follow one: what it yields covers what is missing until then."""
        is_open, costs, end = self._others.is_open, self._others.costs, self._end
        day = place.day
        missing_ml, lacking_ml = self._others.wanted_ml(day, end), self._others.lacking_ml
        gain, before_ml = self._short + self._spoiled, lacking_ml[day]
        found = False
        for days, early, options, cheapest in self._gaps[place.early]:
            later = day + days
            if later >= end:
                break
            if not is_open[later]:
                continue
            found = True
            wanted_ml = min(missing_ml, lacking_ml[later] - before_ml)
            cost, _, share = cheapest
            if wanted_ml > 0.0:
                cost, share = min(
                    [(c - gain * (v if v < wanted_ml else wanted_ml), s) for c, v, s in options]
                )
            self._enter(Place(later, early), step.cost + cost + costs[later], place, share)
        if not found:
            self._go_far(place, step)

    def _enter(self, place: Place, cost: float, before: Place, share: float | None) -> None:
        """Note a harvest if no cheaper way to it is known."""
        known = self._reached[place.day].get(place)
        if known is None or cost < known.cost:
            self._reached[place.day][place] = Step(cost, before, share)

    def _go_far(self, place: Place, step: Step) -> None:
        """Where no day is open on which a harvest may well follow: enter the nearest ones on both sides."""
        is_open, day = self._others.is_open, place.day
        for way in self._ways[place.early]:
            first, last = day + min(way.costs, default=1), day + max(way.costs, default=1)
            before = next((n for n in range(min(first, self._end) - 1, day, -1) if is_open[n]), None)
            after = next((n for n in range(last + 1, self._end) if is_open[n]), None)
            for later in (before, after):
                if later is not None:
                    cost = way.stand.cost(later - day) + self._others.costs[later]
                    cost += step.cost + self._fed(way, self._others.wanted_ml(day, later))
                    early = later - day < way.stand.ripe
                    self._enter(Place(later, early), cost, place, way.share)


def _cost(option: Option) -> float:
    return option.cost
