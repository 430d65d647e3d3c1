"""Rations day by day: harvested culture in and out of its bottles, with what spoils and what is missing.

Nothing of a bottle that is suspect or condemned is given. Where the logbook says what an animal got on a day, that
counts; on every other day the ration is assumed given, the oldest bottle first.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from types import MappingProxyType

from greenrota.rota.feed.bottles import WITHHELD, BottleEntry, BottleRecord, BottleState, by_day
from greenrota.rota.feed.flow import DayFlow, earliest_harvest, fillings, first_day, serve_days
from greenrota.rota.feed.pouring import SHORT_ML, Filled
from greenrota.rota.feed.rations import Want, keeps_days, of_feeding_vessels, wants
from greenrota.rota.plan import Plan
from greenrota.rota.state.state import HarvestBottle


@dataclass(frozen=True, slots=True)
class Portion:
    """A volume of one harvest bottle, given to one consumer; `left_ml` is what is left in the bottle then."""

    consumer: str
    harvest: HarvestBottle
    volume_ml: float
    left_ml: float = 0.0


@dataclass(frozen=True, slots=True)
class Serving:
    """What a consumer got on a day and what it lacked, in mL; `fed_cells` are the cells in what it got.

    A shortfall of cells is given in mL of a usual harvest. `logged` False: nothing says so, the ration is assumed.
    """

    consumer: str
    fed_ml: float
    fed_cells: float
    short_ml: float
    logged: bool = False


@dataclass(frozen=True, slots=True)
class RationDay:
    """One day of the harvest bottles, in mL: spoiled in the morning, filled, given, left in the evening.

    `removed_ml` was poured away or given away by the logbook; `corrected_ml` is what measured bottles held more than
    assumed (less: below 0); `withheld_ml` stands in suspect or condemned bottles in the evening, apart from
    `on_hand_ml`. `oldest_days` is the age of the oldest good bottle in the evening, None where there is none.
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
    removed_ml: float = 0.0
    corrected_ml: float = 0.0
    withheld_ml: float = 0.0


@dataclass(frozen=True, slots=True)
class DailyRations:
    """All days of a horizon.

    For any stretch from the first day: in + corrected = fed + spoiled + removed + on hand + withheld.
    """

    days: tuple[RationDay, ...]
    keeps_days: int


def daily_rations(
    plan: Plan, harvests: Iterable[HarvestBottle], through: date, entries: Iterable[BottleEntry] = ()
) -> DailyRations:
    """Give the plan's consumers their rations, from the first day of the plan (of the first bottle if earlier).

    Volumes in mL. A bottle of day d is used through d + `keeps_days`, and is gone on the morning after. Every
    claim takes the oldest bottle that suits it. Bottles of standby vessels are not given. Cells are taken to keep
    their number in the fridge. `entries` are what the logbook says of bottles, in order.
    """
    bottles = fillings(plan, harvests)
    claims, keeps = wants(plan), keeps_days(plan)
    first = first_day(plan, [bottle.harvest for bottle in bottles])
    flows = serve_days(first, bottles, claims, keeps, through, by_day(entries))
    days = (_entered(first + timedelta(days=n), each, claims) for n, each in enumerate(flows))
    return DailyRations(tuple(days), keeps)


def bottle_records(
    plan: Plan,
    harvests: Sequence[HarvestBottle],
    on: date,
    entries: Sequence[BottleEntry] = (),
    why: Mapping[str, str] = MappingProxyType({}),
    condemned: Collection[str] = (),
) -> tuple[BottleRecord, ...]:
    """Every harvest bottle as it stands in the evening of a day, the oldest first; those after it as planned.

    `entries` are what the logbook says of bottles; `why` says of barred bottles what makes them suspect; `condemned`
    are the ids that were looked at and found bad. Bottles that are history before the plan begins are left out.
    """
    logged = by_day(entry for entry in entries if entry.on <= on)
    filled = [Filled(harvest) for harvest in sorted(harvests, key=lambda each: each.on)]
    filled = [bottle for bottle in filled if bottle.harvest.on >= earliest_harvest(plan)]
    keeps = keeps_days(plan)
    for_animals = {harvest.id for harvest in of_feeding_vessels(plan, harvests)}
    given = [bottle for bottle in filled if bottle.harvest.on <= on and bottle.harvest.id in for_animals]
    first = first_day(plan, [bottle.harvest for bottle in given])
    for _ in serve_days(first, given, wants(plan), keeps, on, logged):
        pass
    return tuple(_record(bottle, on, keeps, why, condemned) for bottle in filled)


def _record(
    bottle: Filled, on: date, keeps: int, why: Mapping[str, str], condemned: Collection[str]
) -> BottleRecord:
    harvest = bottle.harvest
    use_by = harvest.on + timedelta(days=keeps)
    planned = (harvest.replaced_on or harvest.on) > on
    state: BottleState = "good"
    if bottle.left_ml <= SHORT_ML:
        state = "poured_away" if bottle.poured_away else "used"
    elif harvest.id in condemned:
        state = "condemned"
    elif harvest.is_barred(on) or (planned and harvest.barred_on is not None):
        state = "suspect"
    because = why.get(harvest.id, "") if state in WITHHELD else ""
    return BottleRecord(harvest, bottle.left_ml, use_by, state, because, planned)


def counted_days(days: Sequence[RationDay]) -> Sequence[RationDay]:
    """The days on which a shortfall counts: from the first harvest on; before it there is nothing to give."""
    began = next((n for n, day in enumerate(days) if day.in_ml > 0.0), len(days))
    return days[began:]


def _entered(on: date, flow: DayFlow, claims: Sequence[Want]) -> RationDay:
    portions = tuple(Portion(*pour) for pour in flow.pours)
    return RationDay(
        on=on,
        in_ml=flow.in_ml,
        fed_ml=sum(portion.volume_ml for portion in portions),
        spoiled_ml=flow.spoiled_ml,
        on_hand_ml=flow.on_hand_ml,
        short_ml=sum(flow.lacking_ml),
        oldest_days=flow.oldest_days,
        servings=tuple(
            _served(name, portions, claims, flow)
            for name in dict.fromkeys(claim.consumer for claim in claims)
        ),
        portions=portions,
        removed_ml=flow.removed_ml,
        corrected_ml=flow.corrected_ml,
        withheld_ml=flow.withheld_ml,
    )


def _served(name: str, portions: Iterable[Portion], claims: Iterable[Want], flow: DayFlow) -> Serving:
    got = [portion for portion in portions if portion.consumer == name]
    return Serving(
        name,
        sum(portion.volume_ml for portion in got),
        sum(portion.volume_ml * portion.harvest.broth.density_per_ml for portion in got),
        sum(ml for claim, ml in zip(claims, flow.lacking_ml, strict=True) if claim.consumer == name),
        name in flow.logged,
    )
