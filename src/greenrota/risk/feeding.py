"""Feeding: harvest and rations of the seasons, kind by kind.

Strains that one claim may use in place of each other are one kind. A diet that names strains can so be short of one
kind while there is plenty of another.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from greenrota.risk.places import Floats, Shorts
from greenrota.rota.feed.flow import fillings, first_harvests
from greenrota.rota.feed.pouring import SHORT_ML
from greenrota.rota.feed.rations import Want, keeps_days, wants
from greenrota.rota.feed.tally import OnHand, on_hand
from greenrota.rota.rota import Rota


class Feeding(NamedTuple):
    """Harvest and rations by kind, in mL. `kind` is that of each vessel's harvest; `ration_ml` (kind, day) what is fed.

    `on_hand_ml` is what is left in the harvest bottles of the first day, as (kind, day of harvest, mL); they keep for
    `keeps_days`. `short_today`: by the logbook somebody got less than the ration on the first day.
    """

    kind: Shorts
    ration_ml: tuple[tuple[float, ...], ...]
    on_hand_ml: tuple[tuple[int, int, float], ...]
    keeps_days: int
    short_today: bool = False


def feeding(rota: Rota, days: int) -> Feeding:
    """The feeding of a rota over so many days; cells are converted to mL at the density of a usual harvest."""
    plan, claims = rota.plan, wants(rota.plan)
    kinds = kinds_of(sorted(plan.strains), claims)
    there = on_hand(plan, rota.state.harvests, rota.start_state.bottle_entries, rota.as_of)
    return Feeding(
        kind=np.array([kinds[bench.strain.name] for bench in rota.benches.values()], np.int16),
        ration_ml=_rations_ml(rota, kinds, claims, there, days),
        on_hand_ml=tuple(
            (kinds[harvest.strain], (harvest.on - rota.as_of).days, harvest.volume_ml)
            for harvest in there.bottles
        ),
        keeps_days=keeps_days(plan),
        short_today=_short_today(rota, there),
    )


def kinds_of(strains: Sequence[str], claims: Sequence[Want]) -> dict[str, int]:
    """The kind of each strain, counted from 0; two strains that suit one claim are of one kind.

    >>> any_strain = Want("tank", None, 100.0, False, 1e6, ramp=False)
    >>> kinds_of(["a", "b"], [any_strain]), kinds_of(["a", "b"], [])
    ({'a': 0, 'b': 0}, {'a': 0, 'b': 1})
    """
    kinds = {strain: number for number, strain in enumerate(strains)}
    for claim in claims:
        joined = {kinds[strain] for strain in strains if claim.suits(strain)}
        kinds = {strain: min(joined) if kind in joined else kind for strain, kind in kinds.items()}
    numbers = {kind: number for number, kind in enumerate(sorted(set(kinds.values())))}
    return {strain: numbers[kind] for strain, kind in kinds.items()}


def _rations_ml(
    rota: Rota, kinds: dict[str, int], claims: Sequence[Want], there: OnHand, days: int
) -> tuple[tuple[float, ...], ...]:
    """What is fed of each kind on each day; a consumer's ramp begins with the first harvest that suits it.

    Who has had a portion on the first day gets nothing more that day.
    """
    ration_ml = np.zeros((1 + max(kinds.values()), days))
    filled = fillings(rota.plan, rota.simulation.state.harvests)
    begun = first_harvests([bottle for bottle in filled if not bottle.harvest.is_back_up], claims)
    today = rota.as_of.toordinal()
    for claim in claims:
        begins = begun.get(claim.consumer, today + days) - today
        kind = next((kinds[strain] for strain in kinds if claim.suits(strain)), None)
        if kind is not None:
            per_ml = claim.usual_per_ml if claim.in_cells else 1.0
            fed_ml = np.array([claim.on_day(day - begins) / per_ml for day in range(days)])
            fed_ml[: claim.consumer in there.given] = 0.0
            ration_ml[kind] += fed_ml
    return tuple(tuple(row) for row in ration_ml.tolist())


def _short_today(rota: Rota, there: OnHand) -> bool:
    if not there.given:
        return False
    days = [day for day in rota.rations().days if day.on == rota.as_of]
    return any(serving.logged and serving.short_ml > SHORT_ML for day in days for serving in day.servings)


class SeasonRations:
    """The harvest bottles of many seasons, the oldest given first; a day is short when any kind is."""

    def __init__(self, feeding: Feeding, first_feed: int, seasons: int) -> None:
        self._first_feed, self._short_today = first_feed, feeding.short_today
        self._kinds = [_Kind(feeding, kind, seasons) for kind in range(len(feeding.ration_ml))]
        self.short_days: Shorts = np.zeros(seasons, np.int16)

    def feed(self, day: int, harvest_ml: Floats) -> None:
        """One day: the harvest (kind, season) in mL comes in, the rations are given, and short seasons are counted."""
        lacks = [kind.feed(day, came_ml) for kind, came_ml in zip(self._kinds, harvest_ml, strict=True)]
        if day == 0 and self._short_today:
            self.short_days += 1
        elif day >= self._first_feed:
            self.short_days += lacks[0] if len(lacks) == 1 else np.logical_or.reduce(lacks)


class _Kind:
    """One kind: two running sums a season, what has come and what has gone; exact, for the oldest always goes first.

    Source: derived by hand; the same rule as `rota.feed.tally.balance`.
    """

    def __init__(self, feeding: Feeding, kind: int, seasons: int) -> None:
        self._ration_ml = feeding.ration_ml[kind]
        self._come_by = np.zeros((feeding.keeps_days + 1, seasons))
        self._come, self._gone, self._left = np.zeros((3, seasons))
        self._lacks = np.zeros(seasons, bool)
        for day in range(-feeding.keeps_days, 0):  # bottles on hand are entered on the day they were filled
            self._come += _filled_ml(feeding, kind, day)
            self._come_by[day % len(self._come_by)] = self._come
        self._come += _filled_ml(feeding, kind, 0)

    def feed(self, day: int, harvest_ml: Floats) -> NDArray[np.bool_]:
        """One day: throw away what is too old, put the harvest in, feed the ration; which seasons are short."""
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


def _filled_ml(feeding: Feeding, kind: int, day: int) -> float:
    return sum(ml for its, on, ml in feeding.on_hand_ml if its == kind and on == day)
