"""Ledger: feed in and out day by day, the oldest first, with what spoils and what is missing."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from greenrota.rota.opendays import DAY
from greenrota.rota.plan import Plan
from greenrota.rota.ration import Want, is_feed, keeps_days, wants
from greenrota.rota.shelf import Lot

SHORT_ML = 1e-6  # less is rounding of the arithmetic and no shortfall; our choice


@dataclass(frozen=True, slots=True)
class Portion:
    """A volume of one lot, fed to one consumer."""

    consumer: str
    lot: Lot
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


def ledger(plan: Plan, lots: Iterable[Lot], through: date) -> Ledger:
    """Feed the plan's consumers from the lots, from the first day of the plan (of the first lot if earlier).

    Volumes in mL. A lot of day d is used through d + `keeps_days`, and is gone on the morning after. Every
    claim takes the oldest lot that suits it. Lots of standby vessels are not feed. Cells are taken to keep their
    number in the fridge.
    """
    feed = sorted((lot for lot in lots if is_feed(plan, lot.batch)), key=lambda lot: lot.on)
    keeps = keeps_days(plan)
    return Ledger(tuple(_days(plan.start, feed, wants(plan), keeps, through)), keeps)


@dataclass(slots=True)
class _Bottle:
    lot: Lot
    left_ml: float


def _days(
    start: date, feed: Sequence[Lot], claims: Sequence[Want], keeps: int, through: date
) -> Iterator[LedgerDay]:
    day = min([start, *(lot.on for lot in feed[:1])])
    first_fed = _first_feeding(feed, claims, through)
    fridge: list[_Bottle] = []
    coming = 0
    while day <= through:
        stale = [bottle for bottle in fridge if (day - bottle.lot.on).days > keeps]
        fridge = [bottle for bottle in fridge if (day - bottle.lot.on).days <= keeps and bottle.left_ml > 0.0]
        in_ml = 0.0
        while coming < len(feed) and feed[coming].on <= day:
            in_ml += feed[coming].volume_ml
            fridge.append(_Bottle(feed[coming], feed[coming].volume_ml))
            coming += 1
        portions: list[Portion] = []
        servings: dict[str, Serving] = {}
        for claim in claims:
            wanted = claim.on_day((day - first_fed[claim.consumer]).days)
            _serve(claim, wanted, fridge, portions, servings)
        left = [bottle for bottle in fridge if bottle.left_ml > 0.0]
        yield LedgerDay(
            on=day,
            in_ml=in_ml,
            fed_ml=sum(serving.fed_ml for serving in servings.values()),
            spoiled_ml=sum(bottle.left_ml for bottle in stale),
            on_hand_ml=sum(bottle.left_ml for bottle in left),
            short_ml=sum(serving.short_ml for serving in servings.values()),
            oldest_days=(day - left[0].lot.on).days if left else None,
            servings=tuple(servings.values()),
            portions=tuple(portions),
        )
        day += DAY


def _first_feeding(feed: Sequence[Lot], claims: Sequence[Want], through: date) -> dict[str, date]:
    """The day on which the first feed for each consumer is harvested; the end of the horizon if there is none."""
    first: dict[str, date] = {}
    for claim in claims:
        on = next((lot.on for lot in feed if claim.suits(lot.strain)), through + timedelta(days=1))
        first[claim.consumer] = min(first.get(claim.consumer, on), on)
    return first


def _serve(
    claim: Want,
    wanted: float,
    fridge: Sequence[_Bottle],
    portions: list[Portion],
    servings: dict[str, Serving],
) -> None:
    """Pour one claim of a day out of the fridge, oldest bottle first, and enter it."""
    before = servings.get(claim.consumer, Serving(claim.consumer, 0.0, 0.0, 0.0))
    fed_ml = fed_cells = 0.0
    for bottle in fridge:
        if wanted <= 0.0:
            break
        density_per_ml = bottle.lot.broth.density_per_ml
        worth = density_per_ml if claim.in_cells else 1.0  # what a mL of this bottle counts for
        if bottle.left_ml <= 0.0 or worth <= 0.0 or not claim.suits(bottle.lot.strain):
            continue
        emptied = bottle.left_ml * worth <= wanted
        poured_ml = bottle.left_ml if emptied else wanted / worth
        wanted = wanted - poured_ml * worth if emptied else 0.0
        bottle.left_ml = 0.0 if emptied else bottle.left_ml - poured_ml
        fed_ml += poured_ml
        fed_cells += poured_ml * density_per_ml
        portions.append(Portion(claim.consumer, bottle.lot, poured_ml))
    short_ml = max(0.0, wanted) / claim.usual_per_ml if claim.in_cells else max(0.0, wanted)
    servings[claim.consumer] = Serving(
        claim.consumer,
        before.fed_ml + fed_ml,
        before.fed_cells + fed_cells,
        before.short_ml + (short_ml if short_ml > SHORT_ML else 0.0),
    )
