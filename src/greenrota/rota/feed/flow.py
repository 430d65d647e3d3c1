"""Flow: what goes in and out of harvest bottles day by day, by the plan's claims and by the logbook."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from types import MappingProxyType
from typing import NamedTuple

from greenrota.rota.feed.bottles import BottleEntry
from greenrota.rota.feed.pouring import Filled, LoggedPours, Pour, apply_entries, pour_claim
from greenrota.rota.feed.rations import Want, of_feeding_vessels
from greenrota.rota.plan import Plan
from greenrota.rota.state.state import HarvestBottle

_HISTORY_DAYS = 100  # our choice: longer than any harvest keeps
_NOTHING_LOGGED: Mapping[int, list[BottleEntry]] = MappingProxyType({})


def fillings(plan: Plan, harvests: Iterable[HarvestBottle]) -> list[Filled]:
    """The bottles that are there for the animals, as they were filled, the oldest first; none that is history."""
    earliest = earliest_harvest(plan)
    recent = [harvest for harvest in of_feeding_vessels(plan, harvests) if harvest.on >= earliest]
    return [Filled(harvest) for harvest in sorted(recent, key=lambda harvest: harvest.on)]


def earliest_harvest(plan: Plan) -> date:
    """The day before which a harvest is history: nothing of it can be left when the plan begins."""
    return plan.start - timedelta(days=_HISTORY_DAYS)


def first_day(plan: Plan, harvests: Sequence[HarvestBottle]) -> date:
    """The first day of the rations; `harvests` with the oldest bottle first."""
    return min([plan.start, *(harvest.on for harvest in harvests[:1])])


class DayFlow(NamedTuple):
    """What goes in and out of the harvest bottles on one day, in mL: what is `lacking` claim by claim, and the pours.

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


def serve_days(
    first: date,
    filled: Sequence[Filled],
    claims: Sequence[Want],
    keeps: int,
    through: date,
    happened: Mapping[int, list[BottleEntry]] = _NOTHING_LOGGED,
    begins: Mapping[str, int] | None = None,
) -> Iterator[DayFlow]:
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
        wanted = [claim.on_day(day - begins.get(claim.consumer, last + 1)) for claim in claims]
        flow = _served(day, there, claims, wanted, done)
        flow = flow._replace(in_ml=in_ml + flow.in_ml, spoiled_ml=spoiled_ml)
        if doubtful:
            apart = [b.left_ml for b in doubtful if b.made <= day and b.is_barred(day)]
            flow = flow._replace(withheld_ml=sum(apart))
        yield flow


def _served(
    day: int,
    there: Sequence[Filled],
    claims: Sequence[Want],
    wanted: Sequence[float],
    done: LoggedPours | None,
) -> DayFlow:
    """The claims of a day served from the bottles there, after what the logbook says was `done`."""
    pours: list[Pour] = [] if done is None else done.pours
    logged = frozenset[str]() if done is None else frozenset(done.consumers)
    lacking_ml = [
        pour_claim(claim, amount, there, pours, logged) for claim, amount in zip(claims, wanted, strict=True)
    ]
    left = [bottle for bottle in there if bottle.left_ml > 0.0]
    on_hand_ml = sum([bottle.left_ml for bottle in left])  # a list: this is asked thousands of times
    oldest_days = day - left[0].made if left else None
    if done is None:
        return DayFlow(0.0, 0.0, on_hand_ml, lacking_ml, pours, oldest_days)
    return DayFlow(
        done.came_ml,
        0.0,
        on_hand_ml,
        lacking_ml,
        pours,
        oldest_days,
        done.removed_ml,
        done.corrected_ml,
        logged=logged,
    )


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
