"""Rations day by day: harvested culture in and out of its bottles, with what spoils and what is missing.

Nothing of a bottle that is suspect or condemned is given. Where the logbook says what an animal got on a day, that
counts; on every other day the ration is assumed given, the oldest bottle first.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from types import MappingProxyType
from typing import NamedTuple

from greenrota.rota.feed.bottles import WITHHELD, BottleEntry, BottleRecord, BottleState, by_day
from greenrota.rota.feed.pouring import SHORT_ML, Filled, Pour, apply_entries, pour_claim
from greenrota.rota.feed.rations import Want, keeps_days, standby_vessels, wants
from greenrota.rota.plan import Plan
from greenrota.rota.state.state import HarvestBottle, vessel_of

_HISTORY_DAYS = 100  # our choice: longer than any harvest keeps
_NOTHING_LOGGED: Mapping[int, list[BottleEntry]] = MappingProxyType({})


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

    A shortfall of cells is told in mL of a usual harvest. `logged` False: nothing says so, the ration is assumed.
    """

    consumer: str
    fed_ml: float
    fed_cells: float
    short_ml: float
    logged: bool = False


@dataclass(frozen=True, slots=True)
class RationDay:
    """One day of the harvest bottles, in mL: spoiled in the morning, came in, was given, stands there in the evening.

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
    earliest = earliest_harvest(plan)
    came = sorted((each for each in harvests if each.on >= earliest), key=lambda each: each.on)
    bottles = usable(plan, [Filled(harvest) for harvest in came])
    claims, keeps = wants(plan), keeps_days(plan)
    first = first_day(plan, [bottle.harvest for bottle in bottles])
    moved = walk(first, bottles, claims, keeps, through, by_day(entries))
    days = (_entered(first + timedelta(days=n), each, claims) for n, each in enumerate(moved))
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
    told = [entry for entry in entries if entry.on <= on]
    filled = [Filled(harvest) for harvest in sorted(harvests, key=lambda each: each.on)]
    filled = [bottle for bottle in filled if bottle.harvest.on >= earliest_harvest(plan)]
    keeps = keeps_days(plan)
    given = usable(plan, [bottle for bottle in filled if bottle.harvest.on <= on])
    first = first_day(plan, [bottle.harvest for bottle in given])
    for _ in walk(first, given, wants(plan), keeps, on, by_day(told)):
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


def usable(plan: Plan, filled: Iterable[Filled]) -> list[Filled]:
    """The bottles that are there for the animals: all but those of standby vessels."""
    standby = standby_vessels(plan)
    return [bottle for bottle in filled if vessel_of(bottle.harvest.batch) not in standby]


def earliest_harvest(plan: Plan) -> date:
    """The day before which a harvest is history: nothing of it can be left when the plan begins."""
    return plan.start - timedelta(days=_HISTORY_DAYS)


def first_day(plan: Plan, harvests: Sequence[HarvestBottle]) -> date:
    """The first day of the rations; `harvests` with the oldest bottle first."""
    return min([plan.start, *(harvest.on for harvest in harvests[:1])])


class Moved(NamedTuple):
    """What moves on one day: volumes in mL, what is `lacking` claim by claim, and the pours.

    `logged` are the consumers of whom the logbook says what they got. `oldest_days` is the age of the oldest good
    bottle in the evening.
    """

    in_ml: float
    spoiled_ml: float
    on_hand_ml: float
    lacking_ml: list[float]
    pours: list[Pour]
    oldest_days: int | None
    removed_ml: float = 0.0
    corrected_ml: float = 0.0
    withheld_ml: float = 0.0
    logged: frozenset[str] = frozenset()


def walk(
    first: date,
    filled: Sequence[Filled],
    claims: Sequence[Want],
    keeps: int,
    through: date,
    happened: Mapping[int, list[BottleEntry]] = _NOTHING_LOGGED,
    begins: Mapping[str, int] | None = None,
) -> Iterator[Moved]:
    """Day by day from `first`: stale bottles out, new ones in, the logbook's entries, then every claim served.

    `filled` stands with the oldest bottle first and is changed on the way; back-ups that were replaced give only what
    the logbook says. `happened` is by day, `begins` the day of the first harvest for each consumer; both count days
    as ordinals.
    """
    last = through.toordinal()
    bottles = [bottle for bottle in filled if bottle.made <= last and not bottle.harvest.is_back_up]
    doubtful = [bottle for bottle in bottles if bottle.harvest.barred_on is not None]
    begins = first_harvests(bottles, claims) if begins is None else begins
    oldest = newest = 0
    for day in range(first.toordinal(), last + 1):
        in_ml = spoiled_ml = 0.0
        while oldest < newest and (bottles[oldest].made + keeps < day or bottles[oldest].left_ml <= 0.0):
            spoiled_ml += bottles[oldest].spoil(day)
            oldest += 1
        while newest < len(bottles) and bottles[newest].made <= day:
            in_ml += bottles[newest].left_ml
            newest += 1
        there = bottles[oldest:newest]
        if doubtful:
            there = [bottle for bottle in there if not bottle.is_barred(day)]
            spoiled_ml += sum([bottle.spoil(day) for bottle in doubtful if bottle.made + keeps < day])
        done = apply_entries(happened[day], filled, there, claims, day) if day in happened else None
        pours: list[Pour] = [] if done is None else done.pours
        logged = frozenset[str]() if done is None else frozenset(done.consumers)
        lacking_ml = [
            pour_claim(claim, claim.on_day(day - begins.get(claim.consumer, last + 1)), there, pours, logged)
            for claim in claims
        ]
        left = [bottle for bottle in there if bottle.left_ml > 0.0]
        on_hand_ml = sum([bottle.left_ml for bottle in left])  # a list: this is asked thousands of times
        moved = Moved(in_ml, spoiled_ml, on_hand_ml, lacking_ml, pours, day - left[0].made if left else None)
        if done is not None:
            moved = moved._replace(
                in_ml=in_ml + done.came_ml,
                removed_ml=done.removed_ml,
                corrected_ml=done.corrected_ml,
                logged=logged,
            )
        if doubtful:
            apart = [b.left_ml for b in doubtful if b.made <= day and b.is_barred(day)]
            moved = moved._replace(withheld_ml=sum(apart))
        yield moved


def first_harvests(bottles: Iterable[Filled], claims: Sequence[Want]) -> dict[str, int]:
    """The day (ordinal) on which the first bottle for each consumer is filled; a consumer without one is left out."""
    begins: dict[str, int] = {}
    waiting = list(claims)
    for bottle in bottles:
        if not waiting:
            break
        for claim in [claim for claim in waiting if claim.suits(bottle.harvest.strain)]:
            begins.setdefault(claim.consumer, bottle.made)
            waiting = [other for other in waiting if other.consumer != claim.consumer]
    return begins


def _entered(on: date, moved: Moved, claims: Sequence[Want]) -> RationDay:
    portions = tuple(Portion(*pour) for pour in moved.pours)
    return RationDay(
        on=on,
        in_ml=moved.in_ml,
        fed_ml=sum(portion.volume_ml for portion in portions),
        spoiled_ml=moved.spoiled_ml,
        on_hand_ml=moved.on_hand_ml,
        short_ml=sum(moved.lacking_ml),
        oldest_days=moved.oldest_days,
        servings=tuple(
            _served(name, portions, claims, moved)
            for name in dict.fromkeys(claim.consumer for claim in claims)
        ),
        portions=portions,
        removed_ml=moved.removed_ml,
        corrected_ml=moved.corrected_ml,
        withheld_ml=moved.withheld_ml,
    )


def _served(name: str, portions: Iterable[Portion], claims: Iterable[Want], moved: Moved) -> Serving:
    got = [portion for portion in portions if portion.consumer == name]
    return Serving(
        name,
        sum(portion.volume_ml for portion in got),
        sum(portion.volume_ml * portion.harvest.broth.density_per_ml for portion in got),
        sum(ml for claim, ml in zip(claims, moved.lacking_ml, strict=True) if claim.consumer == name),
        name in moved.logged,
    )
