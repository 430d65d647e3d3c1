"""Stock: the bottles of living culture on the first day, as far as the plan has not spoken for them."""

from __future__ import annotations

from dataclasses import dataclass

from greenrota.rota.risk.places import Strains
from greenrota.rota.rota import Rota


@dataclass(frozen=True, slots=True)
class Stock:
    """A bottle on the first day: `strain` is a place in `Strains`, `filled` a day counted from the first."""

    strain: int
    filled: int
    volume_ml: float
    density_per_ml: float


def starters_left(rota: Rota, strains: Strains) -> tuple[Stock, ...]:
    """What is left of the starters, youngest first, once every vessel has had its first filling from them."""
    stood = set(rota.shelf.numbers)
    spoken_for: dict[str, float] = {}
    for visit in rota.forecast.visits:
        if visit.kind == "start" and visit.batch.vessel not in stood:
            parent = visit.batch.parent
            spoken_for[parent] = spoken_for.get(parent, 0.0) + visit.volume_ml
        stood.add(visit.batch.vessel)
    bottles = [b for b in rota.shelf.bottles.values() if b.parent is None and b.strain in strains.names]
    return tuple(
        Stock(
            strains.names.index(bottle.strain),
            (bottle.filled - rota.as_of).days,
            max(0.0, bottle.volume_ml - spoken_for.get(bottle.id, 0.0)),
            bottle.density_per_ml,
        )
        for bottle in sorted(bottles, key=lambda b: ((rota.as_of - b.filled).days, b.id))
    )


def youngest_bottles(rota: Rota, strains: Strains) -> tuple[Stock, ...]:
    """The youngest fridge back-up of each strain."""
    youngest: dict[int, Stock] = {}
    barred = rota.standpoint.suspect
    for bottle in rota.shelf.bottles.values():
        if bottle.parent is not None and bottle.strain in strains.names and bottle.id not in barred:
            strain, filled = strains.names.index(bottle.strain), (bottle.filled - rota.as_of).days
            if strain not in youngest or filled > youngest[strain].filled:
                youngest[strain] = Stock(strain, filled, bottle.volume_ml, bottle.density_per_ml)
    return tuple(youngest.values())
