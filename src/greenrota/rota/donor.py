"""Donor: who can restart an empty vessel, and when a fridge back-up has to be filled."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from greenrota.culture import inoculum
from greenrota.rota import seeding
from greenrota.rota.bench import Bench
from greenrota.rota.cycle import Cycle
from greenrota.rota.shelf import Bottle, Shelf, Standing

REFRESH_SHARE = 0.5  # of a bottle's fridge life, after which a back-up is replaced; our choice
BANK_MARGIN = 1.5  # times the least inoculum: some cells die in the fridge; our choice
THIN_START = 0.5  # of the least inoculum is still better than no restart; our choice


@dataclass(frozen=True, slots=True)
class Gift:
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


def best_gift(
    benches: Mapping[str, Bench],
    cycles: Mapping[str, Cycle],
    shelf: Shelf,
    taker: Bench,
    on: date,
    suspect: frozenset[str],
) -> Gift | None:
    """The best donor for an empty vessel on a day: living vessels, then fridge back-ups, then held-back starters.

    Among living ones the youngest line comes first, then the densest; among bottles the youngest. None if
    nothing that is alive and not suspect bears it.
    """
    return _from_living(benches, cycles, shelf, taker, on, suspect) or _from_bottles(
        cycles[taker.vessel.name], shelf, taker, on, suspect
    )


def harvest_gift_ml(cycles: Mapping[str, Cycle], giver: Bench, taker: Bench, standing: Standing) -> float:
    """What a harvest can give to start another vessel; 0 if that would start it too thin."""
    cycle = cycles[taker.vessel.name]
    density = standing.broth.density_per_ml
    goal = seeding.reseed_density_per_ml(taker, cycle)
    spare_ml = seeding.gift_ml(giver, cycles[giver.vessel.name], standing, at_harvest=True)
    volume_ml = min(seeding.inoculum_ml(taker, cycle, density, goal), spare_ml)
    return volume_ml if volume_ml >= seeding.least_inoculum_ml(taker, density) else 0.0


def _from_living(
    benches: Mapping[str, Bench],
    cycles: Mapping[str, Cycle],
    shelf: Shelf,
    taker: Bench,
    on: date,
    suspect: frozenset[str],
) -> Gift | None:
    cycle = cycles[taker.vessel.name]
    goal = seeding.reseed_density_per_ml(taker, cycle)
    found: list[tuple[int, float, str, float]] = []
    for name in shelf.standing:
        bench = benches.get(name)
        if bench is None or bench.strain.name != taker.strain.name or name == taker.vessel.name:
            continue
        standing = shelf.at(bench, on)
        if standing is None or standing.batch.id in suspect:
            continue
        density = standing.broth.density_per_ml
        volume_ml = min(
            seeding.gift_ml(bench, cycles[name], standing, at_harvest=False),
            seeding.inoculum_ml(taker, cycle, density, goal),
        )
        if volume_ml > 0.0 and volume_ml >= seeding.least_inoculum_ml(taker, density):
            found.append((standing.batch.reseeds, -density, standing.batch.id, volume_ml))
    if not found:
        return None
    _, _, source, volume_ml = min(found)
    return Gift(source, volume_ml, f"restart from {source}, the youngest living line that bears it")


def _from_bottles(
    cycle: Cycle, shelf: Shelf, taker: Bench, on: date, suspect: frozenset[str]
) -> Gift | None:
    goal = seeding.reseed_density_per_ml(taker, cycle)
    for bottle in _living_bottles(shelf, taker, on, suspect):
        age_days = (on - bottle.filled).days
        alive_per_ml = bottle.density_per_ml * inoculum.fridge_share_alive(float(age_days), taker.strain.fridge_days)
        volume_ml = min(bottle.volume_ml, seeding.inoculum_ml(taker, cycle, alive_per_ml, goal))
        if volume_ml >= THIN_START * seeding.least_inoculum_ml(taker, alive_per_ml):
            kind = "held-back starter" if bottle.parent is None else "fridge back-up"
            return Gift(bottle.id, volume_ml, f"restart from the {kind}, {age_days} days old; no living donor")
    return None


def _living_bottles(shelf: Shelf, taker: Bench, on: date, suspect: frozenset[str]) -> list[Bottle]:
    """Bottles of the strain that are on hand, not too old and not suspect: back-ups first, the youngest first."""
    bottles = [
        bottle
        for bottle in shelf.bottles.values()
        if bottle.strain == taker.strain.name
        and bottle.id not in suspect
        and bottle.filled <= on
        and not inoculum.too_old(float((on - bottle.filled).days), taker.strain.fridge_days)
    ]
    return sorted(bottles, key=lambda b: (b.parent is None, (on - b.filled).days, b.id))


def bank_order(
    shelf: Shelf, benches: Mapping[str, Bench], bench: Bench, standing: Standing, on: date, renewing: bool
) -> BankOrder | None:
    """Whether the harvest of a day should fill a back-up; None while a young enough one is in the fridge.

    A vessel that is broken down while nothing else of its strain lives always fills one.
    """
    own = [b for b in shelf.bottles.values() if b.parent is not None and b.strain == bench.strain.name]
    refresh = timedelta(days=REFRESH_SHARE * bench.strain.fridge_days)
    alone = not any(
        name != bench.vessel.name and name in benches and benches[name].strain.name == bench.strain.name
        for name in shelf.standing
    )
    young = [bottle for bottle in own if on - bottle.filled < refresh]
    if young and not (renewing and alone):
        return None
    least = max(
        seeding.least_inoculum_ml(other, standing.broth.density_per_ml)
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
