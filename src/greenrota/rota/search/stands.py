"""Stands: what it costs in score that a batch stands so many days, by what was kept of the one before.

By this days are proposed; what they are worth in a rota is known from its simulation alone.
"""

import math
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from itertools import accumulate
from typing import NamedTuple

from greenrota.culture.growth.broth import ML_PER_L, Broth, seawater
from greenrota.rota.search.score import WEIGHTS, Scorer, unsure_days
from greenrota.rota.simulate.context import Context
from greenrota.rota.simulate.events import HarvestChoice
from greenrota.rota.simulate.projection import READY_SHARE, Projection, project
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.cycle import RIPE_SHARE

MOST_AFTER = 6  # days after ripe on which a harvest is proposed; our choice
EARLY_SHARE = (READY_SHARE + RIPE_SHARE) / 2.0  # of the ceiling, at a harvest before ripe
NEVER = 10_000  # days after which no horizon ends


class Stand(NamedTuple):
    """When a batch is ready for a harvest, ripe and over-ripe, in days since it was opened.

    `quarter_days`: by so much a quarter of cultures are ripe later, or earlier.
    """

    ready: int
    ripe: int
    over_ripe: int
    quarter_days: float

    def cost(self, days: int) -> float:
        """What is added to the score by a harvest after so many days: early, over-ripe or unsure."""
        early, over_ripe = self.ripe - days, days - self.over_ripe + 1
        return (
            WEIGHTS["early"] * max(0, early)
            + WEIGHTS["over_ripe"] * max(0, over_ripe)
            + WEIGHTS["unsure"] * unsure_days(early, over_ripe, self.quarter_days)
        )


class Way(NamedTuple):
    """A usual harvest: the share of the working volume it keeps, what it yields, and how the next batch stands.

    `share` is None where the plan pins it.
    `costs` are those of the days after which the next one may well be harvested, by their number, in order.
    """

    share: float | None
    volume_ml: float
    effort: float
    stand: Stand
    costs: Mapping[int, float]


class Option(NamedTuple):
    """What a harvest adds to the score, and the share that is kept at it."""

    cost: float
    share: float | None


class Gap(NamedTuple):
    """A number of days after a harvest on which the next may follow, of a batch that is ripe then or `early`.

    `volumes_ml` are those of the harvests before it, rising. If more is wanted than the first n of them yield,
    `eaten[n]` is the cheapest of these, and `left[n]` the cheapest of the others as if nothing were wanted.
    """

    days: int
    early: bool
    volumes_ml: Sequence[float]
    eaten: Sequence[Option]
    left: Sequence[Option]


class Usual(NamedTuple):
    """The usual harvests of a vessel, and what may follow one of them, in order of days."""

    ways: Sequence[Way]
    gaps: Sequence[Gap]


def feed_costs(ration_ml: float) -> tuple[float, float]:
    """What a mL of feed that is missing adds to the score, and one that nobody eats; `ration_ml` as in `usual_of`."""
    per_ml = 1.0 / ration_ml if ration_ml > 0.0 else 0.0
    return WEIGHTS["short"] * per_ml, WEIGHTS["spoiled"] * per_ml


def usual_of(ways: Sequence[Way], ration_ml: float) -> Usual:
    """The usual harvests of a vessel with what may follow them; `ration_ml` is what all animals get a day."""
    short, spoiled = feed_costs(ration_ml)
    yields: dict[tuple[int, bool], list[tuple[float, Option, Option]]] = defaultdict(list)
    for way in ways:
        for days, cost in way.costs.items():
            eaten = Option(cost + way.effort - short * way.volume_ml, way.share)
            left = Option(cost + way.effort + spoiled * way.volume_ml, way.share)
            yields[days, days < way.stand.ripe].append((way.volume_ml, eaten, left))
    return Usual(ways, [_gap(*key, sorted(yields[key], key=_volume)) for key in sorted(yields)])


def _gap(days: int, early: bool, yields: Sequence[tuple[float, Option, Option]]) -> Gap:
    volumes_ml, eaten, left = zip(*yields, strict=True)
    return Gap(days, early, volumes_ml, list(_cheapest(eaten)), list(_cheapest(left[::-1]))[::-1])


def _cheapest(options: Sequence[Option]) -> Iterator[Option]:
    """The cheapest of the first 0, 1, 2, ... options."""
    return accumulate(options, lambda one, other: min(one, other, key=_cost), initial=Option(math.inf, None))


def _cost(option: Option) -> float:
    return option.cost


def _volume(harvest: tuple[float, Option, Option]) -> float:
    return harvest[0]


class Stands:
    """The stands of the batches of one context; usual ways are worked out once for each vessel."""

    def __init__(self, context: Context, scorer: Scorer, on: date) -> None:
        self._context, self._scorer, self._on = context, scorer, on
        self._usual: dict[tuple[str, bool], Usual] = {}

    def of(self, choice: HarvestChoice) -> Stand | None:
        """The stand of a batch as projected; None where it never gets ripe, or the plan pins the day."""
        return self._stand(choice.batch.vessel, choice.projection, choice.batch.started)

    def usual(self, vessel: str, early: bool) -> Usual:
        """The usual harvests of a vessel, one for each share that may be kept; `early`: before it is ripe."""
        if (vessel, early) not in self._usual:
            cycle = self._context.cycles[vessel]
            shares = cycle.carry_overs or (cycle.keep_share,)
            found = [self._way(vessel, share, early) for share in shares]
            ways = [way for way in found if way is not None]
            self._usual[vessel, early] = usual_of(ways, self._scorer.ration_ml)
        return self._usual[vessel, early]

    def _way(self, vessel: str, share: float, early: bool) -> Way | None:
        bench, cycle, on = self._context.benches[vessel], self._context.cycles[vessel], self._on
        fill_l = bench.vessel.fill_l
        grown_to = EARLY_SHARE if early else max(RIPE_SHARE, cycle.peak_share)
        kept = _harvested(bench, grown_to)._replace(volume_l=share * fill_l)
        broth = bench.topped_up(kept, fill_l - kept.volume_l)
        projection = project(bench, cycle, broth, on, on, False, self._context.open_days)
        stand = self._stand(vessel, projection, on)
        if stand is None:
            return None
        last = min(stand.over_ripe - 1, stand.ripe + MOST_AFTER)
        costs = {days: stand.cost(days) for days in range(max(1, stand.ready), last + 1)}
        volume_ml, effort = (fill_l - kept.volume_l) * ML_PER_L, WEIGHTS["small"] * share
        return Way(share if cycle.carry_overs else None, volume_ml, effort, stand, costs)

    def _stand(self, vessel: str, projection: Projection, opened: date) -> Stand | None:
        ready, ripe, over_ripe = projection.ready_on, projection.ripe_on, projection.over_on
        if ripe is None or projection.pinned_on is not None:
            return None
        return Stand(
            ((ready or ripe) - opened).days,
            (ripe - opened).days,
            NEVER if over_ripe is None else (over_ripe - opened).days,
            self._scorer.quarter_days(vessel, projection.growth_days),
        )


def _harvested(bench: Bench, share: float) -> Broth:
    """The broth of a vessel that is dosed as labelled, grown to a share of its ceiling."""
    fill_l = bench.vessel.fill_l
    dosed = bench.dosed(seawater(fill_l, bench.salinity_psu), fill_l)
    return dosed._replace(density_per_ml=share * bench.ceiling_per_ml(dosed))
