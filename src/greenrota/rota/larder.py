"""Larder: how many days go short of feed, reckoned fast enough for a search that asks thousands of times."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from greenrota.rota.ledger import SHORT_ML, LedgerDay, ledger
from greenrota.rota.opendays import DAY
from greenrota.rota.plan import Plan
from greenrota.rota.ration import keeps_days, wants
from greenrota.rota.shelf import Lot


@dataclass(frozen=True, slots=True)
class Tally:
    """A horizon of feeding in five numbers; the volumes add up: in = fed + spoiled + on hand."""

    short_days: int
    short_ml: float
    fed_ml: float
    spoiled_ml: float
    on_hand_ml: float

    @classmethod
    def of(cls, days: Sequence[LedgerDay]) -> Tally:
        """The tally of days that were written out in full."""
        return cls(
            sum(day.short_ml > SHORT_ML for day in days),
            sum(day.short_ml for day in days),
            sum(day.fed_ml for day in days),
            sum(day.spoiled_ml for day in days),
            days[-1].on_hand_ml if days else 0.0,
        )


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


class Larder:
    """The feeding of a plan made ready for many tallies.

    One claim on one kind of feed goes through `balance`; several consumers, strains or a ration in cells through
    the full ledger, which takes some ten times as long.
    """

    def __init__(self, plan: Plan) -> None:
        self._plan = plan
        self._keeps = keeps_days(plan)
        self._standby = frozenset(v.name for v in plan.vessels if v.role == "standby")
        claims = wants(plan)
        grown = {vessel.strain for vessel in plan.vessels if vessel.role != "standby"}
        one_kind = len(claims) == 1 and not claims[0].in_cells and all(map(claims[0].suits, grown))
        self._only = claims[0] if one_kind else None

    def tally(self, lots: Iterable[Lot], through: date) -> Tally:
        """What becomes of the lots from the first day of the plan (of the first lot if earlier) to `through`."""
        if self._only is None:
            return self._full(lots, through)
        standby = self._standby
        feed = [lot for lot in lots if lot.batch.rsplit("/", 1)[0] not in standby] if standby else list(lots)
        first = min((lot.on for lot in feed), default=through + DAY)
        start = min(first, self._plan.start)
        days = max(0, (through - start).days + 1)
        harvest_ml = [0.0] * days
        for lot in feed:
            if lot.on <= through:
                harvest_ml[(lot.on - start).days] += lot.volume_ml
        if self._only.ramp:
            before = (first - start).days
            ration_ml = [self._only.on_day(day - before) for day in range(days)]
        else:
            ration_ml = [self._only.amount] * days
        return balance(harvest_ml, ration_ml, self._keeps)

    def _full(self, lots: Iterable[Lot], through: date) -> Tally:
        return Tally.of(ledger(self._plan, lots, through).days)
