"""Pouring out of harvest bottles: a day's claim, or what the logbook says was given, removed or measured."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple, assert_never

from greenrota.rota.feed.bottles import BottleEntry
from greenrota.rota.feed.rations import Want
from greenrota.rota.state.state import HarvestBottle

SHORT_ML = 1e-6  # less is rounding of the arithmetic and no shortfall; our choice


class Filled:
    """A harvest bottle with what is left in it; `made` is the day of its filling as an ordinal.

    `poured_away`: an empty bottle was poured away, not used up.
    """

    __slots__ = ("density_per_ml", "harvest", "left_ml", "made", "poured_away")

    def __init__(self, harvest: HarvestBottle) -> None:
        self.harvest = harvest
        self.made = harvest.on.toordinal()
        self.left_ml = harvest.volume_ml
        self.density_per_ml = harvest.broth.density_per_ml
        self.poured_away = False

    def is_barred(self, day: int) -> bool:
        """True on a day (ordinal) on which nothing of it may be given."""
        return self.harvest.barred_on is not None and self.harvest.is_barred(date.fromordinal(day))

    def spoil(self, day: int) -> float:
        """Pour away what is left of a bottle that has stood too long, unless it is set apart; mL poured away."""
        if self.left_ml <= 0.0 or self.is_barred(day):
            return 0.0
        return self.empty()

    def empty(self) -> float:
        """Pour away all that is left; mL poured away."""
        gone_ml, self.left_ml, self.poured_away = self.left_ml, 0.0, True
        return gone_ml


class Pour(NamedTuple):
    """A volume out of a bottle for a consumer, and what is left in the bottle then."""

    consumer: str
    harvest: HarvestBottle
    volume_ml: float
    left_ml: float


@dataclass(slots=True)
class LoggedPours:
    """What the entries of one day did. `consumers` are those of whom they say what they got.

    `came_ml` is what was given from back-ups, which are no part of the planned rations.
    """

    pours: list[Pour]
    consumers: set[str]
    came_ml: float = 0.0
    removed_ml: float = 0.0
    corrected_ml: float = 0.0


def pour_claim(
    claim: Want, wanted: float, there: Sequence[Filled], pours: list[Pour], logged: frozenset[str]
) -> float:
    """Serve one claim from the bottles there, the oldest first; gives back what is lacking, in mL.

    A consumer whose portion is logged is poured nothing more; what is logged counts.
    """
    if claim.consumer in logged:
        got = [pour for pour in pours if pour.consumer == claim.consumer and claim.suits(pour.harvest.strain)]
        wanted -= sum(
            pour.volume_ml * (pour.harvest.broth.density_per_ml if claim.in_cells else 1.0) for pour in got
        )
        there = ()
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
        pours.append(Pour(claim.consumer, bottle.harvest, poured_ml, bottle.left_ml))
    lacking_ml = wanted / claim.usual_per_ml if claim.in_cells else wanted
    return lacking_ml if lacking_ml > SHORT_ML else 0.0


def apply_entries(
    entries: Sequence[BottleEntry],
    filled: Sequence[Filled],
    there: Sequence[Filled],
    claims: Sequence[Want],
    day: int,
) -> LoggedPours:
    """Do what the logbook says of a day. `filled` are all bottles, `there` those that may be given.

    A bottle never gives more than is in it, and one that is yet to be filled gives nothing.
    """
    done = LoggedPours([], set())
    for entry in entries:
        named = [bottle for bottle in filled if bottle.harvest.id == entry.bottle and bottle.made <= day]
        match entry.kind:
            case "given":
                consumer = entry.consumer or ""
                done.consumers.add(consumer)
                _give(entry, consumer, named if entry.bottle is not None else there, claims, done)
            case "given-away" | "discarded":
                for bottle in named:
                    _remove(entry, bottle, done)
            case "measured":
                for bottle in named:
                    if bottle.left_ml > 0.0 or not bottle.poured_away:
                        measured_ml = entry.volume_ml or 0.0
                        done.corrected_ml += (
                            0.0 if bottle.harvest.is_back_up else measured_ml - bottle.left_ml
                        )
                        bottle.left_ml = measured_ml
            case _:
                assert_never(entry.kind)
    return done


def _give(
    entry: BottleEntry, consumer: str, sources: Sequence[Filled], claims: Sequence[Want], done: LoggedPours
) -> None:
    own = [claim for claim in claims if claim.consumer == consumer]
    wanted_ml = sum(claim.usual_ml for claim in own) if entry.volume_ml is None else entry.volume_ml
    for bottle in sources:
        if entry.bottle is None and not any(claim.suits(bottle.harvest.strain) for claim in own):
            continue
        poured_ml = min(bottle.left_ml, wanted_ml)
        if poured_ml <= 0.0:
            continue
        wanted_ml -= poured_ml
        bottle.left_ml -= poured_ml
        done.came_ml += poured_ml if bottle.harvest.is_back_up else 0.0
        done.pours.append(Pour(consumer, bottle.harvest, poured_ml, bottle.left_ml))


def _remove(entry: BottleEntry, bottle: Filled, done: LoggedPours) -> None:
    asked_ml = bottle.left_ml if entry.volume_ml is None else min(entry.volume_ml, bottle.left_ml)
    bottle.left_ml -= asked_ml
    if bottle.left_ml <= SHORT_ML and entry.kind == "discarded":
        bottle.poured_away = True
    done.removed_ml += 0.0 if bottle.harvest.is_back_up else asked_ml
