"""Stock: the bottles of living culture on the first day, as far as the plan has not spoken for them."""

from __future__ import annotations

from dataclasses import dataclass

from greenrota.risk.places import Strains
from greenrota.rota.rota import Rota
from greenrota.rota.state.backups import is_drawn


@dataclass(frozen=True, slots=True)
class StoredBottle:
    """A bottle on the first day: `strain` is a place in `Strains`, `filled` a day counted from the first.

    `drawn` tells a back-up that something was taken out of already.
    """

    strain: int
    filled: int
    volume_ml: float
    density_per_ml: float
    drawn: bool = False


def starters_left(rota: Rota, strains: Strains) -> tuple[StoredBottle, ...]:
    """What is left of the starters, youngest first, once every vessel has had its first filling from them."""
    stood = set(rota.state.numbers)
    spoken_for: dict[str, float] = {}
    for event in rota.simulation.events:
        if event.kind == "start" and event.batch.vessel not in stood:
            parent = event.batch.parent
            spoken_for[parent] = spoken_for.get(parent, 0.0) + event.volume_ml
        stood.add(event.batch.vessel)
    bottles = [
        bottle
        for bottle in rota.state.bottles.values()
        if bottle.parent is None
        and bottle.strain in strains.names
        and bottle.id not in rota.start_state.suspect
    ]
    return tuple(
        StoredBottle(
            strains.names.index(bottle.strain),
            (bottle.filled - rota.as_of).days,
            max(0.0, bottle.volume_ml - spoken_for.get(bottle.id, 0.0)),
            bottle.density_per_ml,
        )
        for bottle in sorted(bottles, key=lambda b: ((rota.as_of - b.filled).days, b.id))
    )


def youngest_bottles(rota: Rota, strains: Strains) -> tuple[StoredBottle, ...]:
    """The youngest fridge back-up of each strain."""
    youngest: dict[int, StoredBottle] = {}
    barred = rota.start_state.suspect
    for bottle in rota.state.bottles.values():
        if bottle.parent is not None and bottle.strain in strains.names and bottle.id not in barred:
            strain, filled = strains.names.index(bottle.strain), (bottle.filled - rota.as_of).days
            if strain not in youngest or filled > youngest[strain].filled:
                drawn = is_drawn(rota.state, bottle)
                youngest[strain] = StoredBottle(
                    strain, filled, bottle.volume_ml, bottle.density_per_ml, drawn
                )
    return tuple(youngest.values())
