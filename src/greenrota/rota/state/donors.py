"""Donor: who can restart an empty vessel, and when a fridge back-up has to be filled."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from greenrota.culture import inoculum
from greenrota.rota.state import seeding
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.cycle import Cycle
from greenrota.rota.state.state import Culture, FridgeBottle, State
from greenrota.rota.wording import numbered

REFRESH_SHARE = 0.5  # of a bottle's fridge life, after which a back-up is replaced; our choice
BANK_MARGIN = 1.5  # times the least inoculum: some cells die in the fridge; our choice
SETTLED_DAYS = 2  # a fresh filling is left alone so long before it may give; our choice
THIN_START = 0.5  # of the least inoculum is still better than no restart; our choice


@dataclass(frozen=True, slots=True)
class Inoculum:
    """Culture that restarts a vessel, and why this source."""

    source: str
    volume_ml: float
    reason: str


@dataclass(frozen=True, slots=True)
class BankOrder:
    """A back-up to be filled: how much, which old bottles it replaces, and why."""

    volume_ml: float
    retires: tuple[str, ...]
    reason: str


@dataclass(frozen=True, slots=True)
class DonorContext:
    """What a search for donors looks at: benches and cycles by vessel, the shelf, the day, and who may not give.

    `promised_ml` is what is set aside in each bottle for other vessels.
    """

    benches: Mapping[str, Bench]
    cycles: Mapping[str, Cycle]
    state: State
    on: date
    suspect: frozenset[str]
    promised_ml: Mapping[str, float]


def donor_line(at: DonorContext, strain: str) -> list[str]:
    """Living batches of a strain that may be asked to give: the youngest line first, then the longest grown."""
    family = [
        culture.batch
        for culture in at.state.cultures.values()
        if culture.batch.strain == strain
        and culture.batch.id not in at.suspect
        and (at.on - culture.batch.started).days > SETTLED_DAYS
    ]
    family.sort(key=lambda batch: (batch.reseeds, batch.started, batch.id))
    return [batch.id for batch in family]


def best_gift(at: DonorContext, taker: Bench, donors: list[str]) -> Inoculum | None:
    """The best source to restart an empty vessel: living donors in order, fridge back-ups, held-back starters.

    Among bottles the youngest comes first. None if nothing that is alive and not suspect bears it. `donors` comes
    from `donor_line`; batches that turn out too thin to give that day are struck off it.
    """
    return _from_living(at, taker, donors) or _from_bottles(at, taker)


def harvest_gift_ml(cycles: Mapping[str, Cycle], giver: Bench, taker: Bench, culture: Culture) -> float:
    """What a harvest can give to start another vessel; 0 if that would start it too thin."""
    cycle = cycles[taker.vessel.name]
    density = culture.broth.density_per_ml
    goal = seeding.reseed_density_per_ml(taker, cycle)
    spare_ml = seeding.gift_ml(giver, cycles[giver.vessel.name], culture, at_harvest=True)
    volume_ml = min(seeding.inoculum_ml(taker, cycle, density, goal), spare_ml)
    return volume_ml if volume_ml >= seeding.least_inoculum_ml(taker, density) else 0.0


def _from_living(at: DonorContext, taker: Bench, donors: list[str]) -> Inoculum | None:
    cycle = at.cycles[taker.vessel.name]
    goal = seeding.reseed_density_per_ml(taker, cycle)
    for source in list(donors):
        bench = at.benches[at.state.batches[source].vessel]
        culture = at.state.at(bench, at.on)
        spare_ml = 0.0
        if culture is not None and culture.batch.id == source:
            spare_ml = seeding.gift_ml(bench, at.cycles[bench.vessel.name], culture, at_harvest=False)
        if culture is None or spare_ml <= 0.0:
            donors.remove(source)
            continue
        density = culture.broth.density_per_ml
        volume_ml = min(spare_ml, seeding.inoculum_ml(taker, cycle, density, goal))
        if volume_ml >= seeding.least_inoculum_ml(taker, density):
            return Inoculum(source, volume_ml, f"{source}, the youngest living line that bears it")
    return None


def _from_bottles(at: DonorContext, taker: Bench) -> Inoculum | None:
    cycle = at.cycles[taker.vessel.name]
    goal = seeding.reseed_density_per_ml(taker, cycle)
    for bottle in _living_bottles(at, taker):
        age_days = (at.on - bottle.filled).days
        alive_share = inoculum.fridge_share_alive(float(age_days), taker.strain.fridge_days)
        alive_per_ml = bottle.density_per_ml * alive_share
        free_ml = bottle.volume_ml - at.promised_ml.get(bottle.id, 0.0)
        volume_ml = min(free_ml, seeding.inoculum_ml(taker, cycle, alive_per_ml, goal))
        if volume_ml >= THIN_START * seeding.least_inoculum_ml(taker, alive_per_ml):
            kind = "held-back starter" if bottle.parent is None else "fridge back-up"
            return Inoculum(
                bottle.id, volume_ml, f"the {kind}, {numbered(age_days, 'day')} old; no living donor bears it"
            )
    return None


def _living_bottles(at: DonorContext, taker: Bench) -> list[FridgeBottle]:
    """Bottles of the strain that are on hand, not too old and not suspect: back-ups first, the youngest first."""
    bottles = [
        bottle
        for bottle in at.state.bottles.values()
        if bottle.strain == taker.strain.name
        and bottle.id not in at.suspect
        and bottle.filled <= at.on
        and not inoculum.too_old(float((at.on - bottle.filled).days), taker.strain.fridge_days)
    ]
    return sorted(bottles, key=lambda b: (b.parent is None, (at.on - b.filled).days, b.id))


def bank_order(
    state: State, benches: Mapping[str, Bench], bench: Bench, culture: Culture, on: date, renewing: bool
) -> BankOrder | None:
    """Whether the harvest of a day should fill a back-up; None while a young enough one is in the fridge.

    A vessel that is broken down while nothing else of its strain lives always fills one.
    """
    own = [b for b in state.bottles.values() if b.parent is not None and b.strain == bench.strain.name]
    refresh = timedelta(days=REFRESH_SHARE * bench.strain.fridge_days)
    alone = not any(
        name != bench.vessel.name and name in benches and benches[name].strain.name == bench.strain.name
        for name in state.cultures
    )
    young = [bottle for bottle in own if on - bottle.filled < refresh]
    if young and not (renewing and alone):
        return None
    least = max(
        seeding.least_inoculum_ml(other, culture.broth.density_per_ml)
        for other in benches.values()
        if other.strain.name == bench.strain.name
    )
    retires = tuple(sorted(bottle.id for bottle in own))
    if renewing and alone:
        reason = "the only living culture of the strain is about to be broken down"
    elif retires:
        reason = f"replaces {', '.join(retires)} before it is too old"
    else:
        reason = "first back-up of the strain in the fridge"
    return BankOrder(BANK_MARGIN * least, retires, reason)
