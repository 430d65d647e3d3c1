"""Larder: how many days go short of feed, reckoned fast enough for a search that asks thousands of times."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from greenrota.rota.feed.ledger import SHORT_ML, earliest_feed, first_day, walk
from greenrota.rota.feed.rations import feed_of, keeps_days, wants
from greenrota.rota.plan import Plan
from greenrota.rota.state.opendays import DAY
from greenrota.rota.state.state import HarvestBottle


@dataclass(frozen=True, slots=True)
class Tally:
    """A horizon of feeding in five numbers; the volumes add up: in = fed + spoiled + on hand."""

    short_days: int
    short_ml: float
    fed_ml: float
    spoiled_ml: float
    on_hand_ml: float


def balance(harvest_ml: Sequence[float], ration_ml: Sequence[float], keeps: int) -> Tally:
    """Feed of one kind, harvested and rationed out day by day; both lists as long as the horizon, mL.

    Feed of day d may be fed on days d to d + `keeps`, the oldest first. Because it leaves in the order in which it
    came, two running sums tell all: what has come so far, and what has gone so far. Exact but for rounding.
    Source: derived by hand.

    >>> balance([100.0, 0.0, 0.0], [40.0, 40.0, 40.0], 1)
    Tally(short_days=1, short_ml=40.0, fed_ml=80.0, spoiled_ml=20.0, on_hand_ml=0.0)
    """
    come = gone = fed = spoiled = short = 0.0
    short_days = 0
    come_by_day = [0.0] * keeps + [0.0]  # what had come by the evening of each day, shifted by the shelf life
    remember = come_by_day.append
    for day, ration in enumerate(ration_ml):
        stale = come_by_day[day]
        if gone < stale:
            spoiled += stale - gone
            gone = stale
        come += harvest_ml[day]
        remember(come)
        left = come - gone
        if left >= ration:
            gone += ration
            fed += ration
        else:
            gone = come
            fed += left
            lacking = ration - left
            short += lacking
            short_days += lacking > SHORT_ML
    return Tally(short_days, short, fed, spoiled, come - gone)


class RationTally:
    """The feeding of a plan made ready for many tallies.

    Rations in mL that any strain may serve go through `balance`, whoever they are for; a ration in cells or of
    certain strains is walked bottle by bottle, which takes some ten times as long.
    """

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._keeps = keeps_days(plan)
        self._claims = wants(plan)
        self._earliest = earliest_feed(plan)
        self._ramp = any(claim.ramp for claim in self._claims)
        grown = {vessel.strain for vessel in plan.vessels if vessel.role != "standby"}
        self._one_kind = all(not claim.in_cells and all(map(claim.suits, grown)) for claim in self._claims)

    def tally(self, harvests: Iterable[HarvestBottle], through: date) -> Tally:
        """What becomes of the lots from the first day of the plan (of the first lot if earlier) to `through`."""
        feed = [harvest for harvest in feed_of(self._plan, harvests) if harvest.on >= self._earliest]
        return self._summed(feed, through) if self._one_kind else self._walked(feed, through)

    def _summed(self, feed: list[HarvestBottle], through: date) -> Tally:
        begins = min((harvest.on for harvest in feed), default=through + DAY)
        start = min(begins, self._plan.start)
        days = max(0, (through - start).days + 1)
        harvest_ml = [0.0] * days
        for harvest in feed:
            if harvest.on <= through:
                harvest_ml[(harvest.on - start).days] += harvest.volume_ml
        if self._ramp:
            before = (begins - start).days
            ration_ml = [sum(claim.on_day(day - before) for claim in self._claims) for day in range(days)]
        else:
            ration_ml = [sum(claim.amount for claim in self._claims)] * days
        return balance(harvest_ml, ration_ml, self._keeps)

    def _walked(self, feed: list[HarvestBottle], through: date) -> Tally:
        feed.sort(key=lambda harvest: harvest.on)
        short_days, short_ml, fed_ml, spoiled_ml, on_hand_ml = 0, 0.0, 0.0, 0.0, 0.0
        for moved in walk(first_day(self._plan, feed), feed, self._claims, self._keeps, through):
            lacking_ml = sum(moved.lacking_ml)
            short_days += lacking_ml > 0.0
            short_ml += lacking_ml
            fed_ml += sum([ml for _, _, ml in moved.pours])
            spoiled_ml += moved.spoiled_ml
            on_hand_ml = moved.on_hand_ml
        return Tally(short_days, short_ml, fed_ml, spoiled_ml, on_hand_ml)
