"""How the vessels should stand on a day, before its work is done."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta

from greenrota.rota.answers.contents import before_work, choice_of
from greenrota.rota.rota import Rota

_SOON_DAYS = 7  # our choice: for a vessel that is ripe within a week the range of the day is told


@dataclass(frozen=True, slots=True)
class Stand:
    """How a vessel should stand before the day's work: density in cells per mL, its share of the ceiling, ripeness."""

    vessel: str
    batch: str
    density_per_ml: float
    share_of_ceiling: float
    ripe_on: date | None


def stands(rota: Rota, on: date) -> Iterator[Stand]:
    """Every vessel in which something stands on a day, in the order of the plan."""
    for name, bench in rota.benches.items():
        found = before_work(rota, name, on)
        if found is not None:
            interval, broth = found
            choice = choice_of(rota, interval.batch.id)
            share = broth.density_per_ml / bench.ceiling(broth).per_ml
            ripe_on = None if choice is None else choice.projection.ripe_on
            yield Stand(name, interval.batch.id, broth.density_per_ml, share, ripe_on)


def soon_ripe(rota: Rota, on: date) -> list[str]:
    """The vessels in which something stands that the rota expects to be ripe within a week of a day, or before it."""
    last = on + timedelta(days=_SOON_DAYS)
    return [each.vessel for each in stands(rota, on) if each.ripe_on is not None and each.ripe_on <= last]
