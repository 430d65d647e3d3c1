"""Tally: how many days go short of their ration, quick enough for a search that asks thousands of times."""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import NamedTuple

from greenrota.frozen import FrozenDict
from greenrota.rota.feed.bottles import BottleEntry, by_day
from greenrota.rota.feed.flow import earliest_harvest, fillings, first_day, first_harvests, serve_days
from greenrota.rota.feed.pouring import SHORT_ML, Filled, apply_entries
from greenrota.rota.feed.rations import given_to_animals, grown_for_animals, keeps_days, wants
from greenrota.rota.plan import Plan
from greenrota.rota.state.opendays import DAY
from greenrota.rota.state.state import HarvestBottle


class Tally(NamedTuple):
    """The rations of a horizon in five numbers; the volumes add up: in = fed + spoiled + on hand."""

    short_days: int
    short_ml: float
    fed_ml: float
    spoiled_ml: float
    on_hand_ml: float


def not_eaten_ml(spoiled_ml: float, left_ml: float, keeps: int, ration_ml: float) -> float:
    """What spoils, and what is left at the end beyond the rations of the days in which it keeps.

    >>> not_eaten_ml(50.0, 500.0, 4, 100.0)
    150.0
    """
    return spoiled_ml + max(0.0, left_ml - keeps * ration_ml)


def balance(harvest_ml: Sequence[float], ration_ml: Sequence[float], keeps: int) -> Tally:
    """Harvests of one kind, filled and rationed out day by day; both lists as long as the horizon, mL.

    What is filled on day d may be given on days d to d + `keeps`, the oldest first. Because it leaves in the order in
    which it came, two running sums are enough: what has come so far, and what has gone so far. Exact but for rounding.
    Source: derived by hand.

    >>> balance([100.0, 0.0, 0.0], [40.0, 40.0, 40.0], 1)
    Tally(short_days=1, short_ml=40.0, fed_ml=80.0, spoiled_ml=20.0, on_hand_ml=0.0)
    """
    return balance_by_day(harvest_ml, ration_ml, keeps)[0]


def balance_by_day(
    harvest_ml: Sequence[float], ration_ml: Sequence[float], keeps: int
) -> tuple[Tally, list[float]]:
    """As `balance`, and what is missing of the ration on each day, mL.

    >>> balance_by_day([100.0, 0.0, 0.0], [40.0, 40.0, 40.0], 1)[1]
    [0.0, 0.0, 40.0]
    """
    come = gone = fed = spoiled = short = 0.0
    short_days = 0
    lacking_ml = [0.0] * len(ration_ml)
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
            lacking = lacking_ml[day] = ration - left
            short += lacking
            short_days += lacking > SHORT_ML
    return Tally(short_days, short, fed, spoiled, come - gone), lacking_ml


class OnHand(NamedTuple):
    """What there is in the morning of the first day of a tally: good bottles with what is left in them.

    `known` is how many bottles of the state it accounts for; those after them are still to be filled. `given` are the
    consumers that have had their portion of the first day, `begins` the day (ordinal) of the first harvest for each.
    """

    first: date
    bottles: tuple[HarvestBottle, ...] = ()
    known: int = 0
    given: frozenset[str] = frozenset()
    begins: Mapping[str, int] = FrozenDict()


def on_hand(
    plan: Plan, harvests: Sequence[HarvestBottle], entries: Sequence[BottleEntry], on: date
) -> OnHand:
    """What stands in harvest bottles on a day before its rations, the entries of that day taken into account."""
    first = max(on, plan.start)
    if not harvests:
        return OnHand(first)
    claims, keeps = wants(plan), keeps_days(plan)
    filled = fillings(plan, harvests)
    happened = by_day(entry for entry in entries if entry.on <= on)
    begins = first_harvests((bottle for bottle in filled if not bottle.harvest.is_back_up), claims)
    start = first_day(plan, [bottle.harvest for bottle in filled])
    for _ in serve_days(start, filled, claims, keeps, on - DAY, happened, begins):
        pass
    there = [
        b for b in filled if b.harvest.on <= on and not b.harvest.is_barred(on) and not b.harvest.is_back_up
    ]
    today = apply_entries(happened.get(on.toordinal(), ()), filled, there, claims, on.toordinal())
    oldest = on - timedelta(days=keeps)
    left = (
        b.harvest._replace(volume_ml=b.left_ml) for b in there if b.left_ml > 0.0 and b.harvest.on >= oldest
    )
    return OnHand(first, tuple(left), len(harvests), frozenset(today.consumers), begins)


class RationTally:
    """The rations of a plan made ready for many tallies from one day on.

    Rations in mL that any strain may serve go through `balance`, whoever they are for; a ration in cells or of
    certain strains is served bottle by bottle, which takes some ten times as long.
    """

    def __init__(self, plan: Plan, start: OnHand | None = None) -> None:
        self._plan = plan
        self._start = OnHand(plan.start) if start is None else start
        self._keeps = keeps_days(plan)
        self._earliest = earliest_harvest(plan)
        self._claims = wants(plan)
        self._claims_ml = [claim._replace(amount=claim.usual_ml, in_cells=False) for claim in self._claims]
        self._ramp = any(claim.ramp for claim in self._claims)
        grown = grown_for_animals(plan)
        self._one_kind = all(not claim.in_cells and all(map(claim.suits, grown)) for claim in self._claims)

    def tally(self, harvests: Sequence[HarvestBottle], through: date) -> Tally:
        """What becomes of the bottles on hand and of the planned ones, from the first day to `through`.

        `harvests` are all bottles of a simulated state; those filled before the first day are in the start already.
        """
        filled = self._filled(harvests)
        if not self._one_kind:
            return self._served_bottle_by_bottle(filled, through)
        harvest_ml, ration_ml, _ = self._by_day(filled, through)
        return balance(harvest_ml, ration_ml, self._keeps)

    def lacking_ml(self, harvests: Sequence[HarvestBottle], through: date) -> list[float]:
        """What is missing of the rations on each day from the first day to `through`, mL, as if one kind fed all.

        Cells are converted by the density of a usual harvest. Near enough to choose days by.
        """
        harvest_ml, ration_ml, before = self._by_day(self._filled(harvests), through)
        return balance_by_day(harvest_ml, ration_ml, self._keeps)[1][before:]

    def _filled(self, harvests: Sequence[HarvestBottle]) -> list[HarvestBottle]:
        """The bottles on hand, and those of a simulated state that are filled for the animals after them."""
        planned = given_to_animals(self._plan, harvests[self._start.known :])
        return [*self._start.bottles, *(each for each in planned if each.on >= self._earliest)]

    def _by_day(self, filled: Sequence[HarvestBottle], through: date) -> tuple[list[float], list[float], int]:
        """What is filled and what is wanted on each day, mL, from the oldest bottle on; the days before the first."""
        first = min([self._start.first, *(harvest.on for harvest in filled)])
        days = max(0, (through - first).days + 1)
        harvest_ml = [0.0] * days
        for harvest in filled:
            if harvest.on <= through:
                harvest_ml[(harvest.on - first).days] += harvest.volume_ml
        before = min(days, (self._start.first - first).days)  # older bottles stand where their age puts them
        claims = self._claims_ml
        if self._ramp:
            filled_on = [harvest.on.toordinal() for harvest in filled]
            begins = min([*self._start.begins.values(), *filled_on], default=through.toordinal() + 1)
            fed_days = range(self._start.first.toordinal() - begins, through.toordinal() + 1 - begins)
            ration_ml = [sum(claim.on_day(day) for claim in claims) for day in fed_days]
        else:
            ration_ml = [sum(claim.amount for claim in claims)] * (days - before)
        if self._start.given and ration_ml:
            ration_ml[0] -= sum(claim.amount for claim in claims if claim.consumer in self._start.given)
        return harvest_ml, [0.0] * before + ration_ml, before

    def _served_bottle_by_bottle(self, harvests: list[HarvestBottle], through: date) -> Tally:
        first, served = self._start.first, self._start.given
        filled = [Filled(harvest) for harvest in sorted(harvests, key=lambda harvest: harvest.on)]
        begins = {**first_harvests(filled, self._claims), **self._start.begins}
        had = by_day(BottleEntry(first, "given", None, name, 0.0) for name in served)  # nothing more that day
        short_days, short_ml, fed_ml, spoiled_ml, left_ml = 0, 0.0, 0.0, 0.0, 0.0
        for n, flow in enumerate(serve_days(first, filled, self._claims, self._keeps, through, had, begins)):
            lacking = zip(self._claims, flow.lacking_ml, strict=True)
            lacking_ml = sum([ml for claim, ml in lacking if n or claim.consumer not in served])
            short_days += lacking_ml > 0.0
            short_ml += lacking_ml
            fed_ml += sum([pour.volume_ml for pour in flow.pours])
            spoiled_ml += flow.spoiled_ml
            left_ml = flow.on_hand_ml
        return Tally(short_days, short_ml, fed_ml, spoiled_ml, left_ml)
