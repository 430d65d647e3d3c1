"""Ledger: feed in and out day by day, the oldest first, with what spoils and what is missing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NamedTuple

from greenrota.rota.feed.rations import Want, feed_of, keeps_days, wants
from greenrota.rota.plan import Plan
from greenrota.rota.state.state import HarvestBottle

SHORT_ML = 1e-6  # less is rounding of the arithmetic and no shortfall; our choice
_HISTORY_DAYS = 100  # our choice: longer than any feed keeps


@dataclass(frozen=True, slots=True)
class Portion:
    """A volume of one lot, fed to one consumer."""

    consumer: str
    harvest: HarvestBottle
    volume_ml: float


@dataclass(frozen=True, slots=True)
class Serving:
    """What a consumer got on a day and what it lacked, in mL; `fed_cells` are the cells in what it got.

    A shortfall of cells is told in mL of a usual harvest.
    """

    consumer: str
    fed_ml: float
    fed_cells: float
    short_ml: float


@dataclass(frozen=True, slots=True)
class LedgerDay:
    """One day: feed that spoiled in the morning, came in, was fed, and stands there in the evening, in mL.

    `oldest_days` is the age of the oldest feed in the evening, None when there is none.
    """

    on: date
    in_ml: float
    fed_ml: float
    spoiled_ml: float
    on_hand_ml: float
    short_ml: float
    oldest_days: int | None
    servings: tuple[Serving, ...]
    portions: tuple[Portion, ...]


@dataclass(frozen=True, slots=True)
class Ledger:
    """All days of a horizon. For any stretch from the first day: in = fed + spoiled + on hand."""

    days: tuple[LedgerDay, ...]
    keeps_days: int


def ledger(plan: Plan, harvests: Iterable[HarvestBottle], through: date) -> Ledger:
    """Feed the plan's consumers from the lots, from the first day of the plan (of the first lot if earlier).

    Volumes in mL. A lot of day d is used through d + `keeps_days`, and is gone on the morning after. Every
    claim takes the oldest lot that suits it. Lots of standby vessels are not feed. Cells are taken to keep their
    number in the fridge.
    """
    earliest = earliest_feed(plan)
    feed = sorted(
        (harvest for harvest in feed_of(plan, harvests) if harvest.on >= earliest),
        key=lambda harvest: harvest.on,
    )
    claims, keeps = wants(plan), keeps_days(plan)
    first = first_day(plan, feed)
    days = enumerate(walk(first, feed, claims, keeps, through))
    return Ledger(tuple(_entered(first + timedelta(days=n), moved, claims) for n, moved in days), keeps)


def earliest_feed(plan: Plan) -> date:
    """The day before which a harvest is history: nothing of it can be left when the plan begins."""
    return plan.start - timedelta(days=_HISTORY_DAYS)


def first_day(plan: Plan, feed: Sequence[HarvestBottle]) -> date:
    """The first day of the ledger; `feed` with the oldest lot first."""
    return min([plan.start, *(harvest.on for harvest in feed[:1])])


class _Bottle:
    """A lot with what is left of it; `day` counts from the first day of the ledger."""

    __slots__ = ("day", "density_per_ml", "harvest", "left_ml")

    def __init__(self, harvest: HarvestBottle, first: date) -> None:
        self.harvest = harvest
        self.day = (harvest.on - first).days
        self.left_ml = harvest.volume_ml
        self.density_per_ml = harvest.broth.density_per_ml


class Moved(NamedTuple):
    """What moves on one day: volumes in mL, what is `lacking` claim by claim, and the pours (claim, lot, mL).

    `oldest_days` is the age of the oldest feed in the evening.
    """

    in_ml: float
    spoiled_ml: float
    on_hand_ml: float
    lacking_ml: list[float]
    pours: list[tuple[int, HarvestBottle, float]]
    oldest_days: int | None


def walk(
    first: date, feed: Sequence[HarvestBottle], claims: Sequence[Want], keeps: int, through: date
) -> Iterator[Moved]:
    """Day by day from `first`: stale bottles out, new ones in, then every claim served; `feed` oldest first."""
    bottles = [_Bottle(harvest, first) for harvest in feed if harvest.on <= through]
    begins = _first_feeding(bottles, claims, (through - first).days + 1)
    oldest = newest = 0
    for day in range((through - first).days + 1):
        in_ml = spoiled_ml = 0.0
        while oldest < newest and (bottles[oldest].day + keeps < day or bottles[oldest].left_ml <= 0.0):
            spoiled_ml += bottles[oldest].left_ml
            oldest += 1
        while newest < len(bottles) and bottles[newest].day == day:
            in_ml += bottles[newest].left_ml
            newest += 1
        pours: list[tuple[int, HarvestBottle, float]] = []
        there = bottles[oldest:newest]
        lacking_ml = [
            _pour(number, claim, claim.on_day(day - begins[claim.consumer]), there, pours)
            for number, claim in enumerate(claims)
        ]
        left = [bottle for bottle in there if bottle.left_ml > 0.0]
        on_hand_ml = sum([bottle.left_ml for bottle in left])  # a list: this is asked thousands of times
        yield Moved(in_ml, spoiled_ml, on_hand_ml, lacking_ml, pours, day - left[0].day if left else None)


def _first_feeding(bottles: Sequence[_Bottle], claims: Sequence[Want], never: int) -> dict[str, int]:
    """The day on which the first feed for each consumer is harvested; `never` if there is none."""
    begins: dict[str, int] = {}
    for claim in claims:
        day = next((bottle.day for bottle in bottles if claim.suits(bottle.harvest.strain)), never)
        begins[claim.consumer] = min(begins.get(claim.consumer, day), day)
    return begins


def _pour(
    number: int,
    claim: Want,
    wanted: float,
    there: Sequence[_Bottle],
    pours: list[tuple[int, HarvestBottle, float]],
) -> float:
    """Serve one claim from the bottles there, the oldest first; gives back what is lacking, in mL."""
    for bottle in there:
        if wanted <= 0.0:
            return 0.0
        worth = bottle.density_per_ml if claim.in_cells else 1.0  # what a mL of this bottle counts for
        if bottle.left_ml <= 0.0 or worth <= 0.0 or not claim.suits(bottle.harvest.strain):
            continue
        emptied = bottle.left_ml * worth <= wanted
        poured_ml = bottle.left_ml if emptied else wanted / worth
        wanted = wanted - poured_ml * worth if emptied else 0.0
        bottle.left_ml = 0.0 if emptied else bottle.left_ml - poured_ml
        pours.append((number, bottle.harvest, poured_ml))
    lacking_ml = wanted / claim.usual_per_ml if claim.in_cells else wanted
    return lacking_ml if lacking_ml > SHORT_ML else 0.0


def _entered(on: date, moved: Moved, claims: Sequence[Want]) -> LedgerDay:
    portions = tuple(Portion(claims[number].consumer, harvest, ml) for number, harvest, ml in moved.pours)
    return LedgerDay(
        on=on,
        in_ml=moved.in_ml,
        fed_ml=sum(portion.volume_ml for portion in portions),
        spoiled_ml=moved.spoiled_ml,
        on_hand_ml=moved.on_hand_ml,
        short_ml=sum(moved.lacking_ml),
        oldest_days=moved.oldest_days,
        servings=tuple(
            _served(name, portions, claims, moved.lacking_ml)
            for name in dict.fromkeys(claim.consumer for claim in claims)
        ),
        portions=portions,
    )


def _served(
    name: str, portions: Iterable[Portion], claims: Iterable[Want], lacking_ml: Iterable[float]
) -> Serving:
    got = [portion for portion in portions if portion.consumer == name]
    return Serving(
        name,
        sum(portion.volume_ml for portion in got),
        sum(portion.volume_ml * portion.harvest.broth.density_per_ml for portion in got),
        sum(ml for claim, ml in zip(claims, lacking_ml, strict=True) if claim.consumer == name),
    )
