"""What if: the same luck on another shelf, and what the difference is worth."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from greenrota.risk.outcome import Estimate, mean
from greenrota.risk.season import Seasons
from greenrota.rota.plan import Plan, Vessel


@dataclass(frozen=True, slots=True)
class Difference:
    """Another plan minus this one, season by season under the same luck, with 95 % intervals."""

    lost: Estimate
    short: Estimate
    short_days: Estimate


def difference(here: Seasons, other: Seasons) -> Difference:
    """What another plan changes; both played with one seed and the same number of seasons (ValueError otherwise).

    The interval is that of paired differences: luck that both share falls out of it.
    """
    if here.short_days.size != other.short_days.size:
        raise ValueError("both plans must be played over the same seasons")

    def change(get: Callable[[Seasons], NDArray[Any]]) -> Estimate:
        return mean(get(other).astype(np.float64) - get(here).astype(np.float64))

    return Difference(
        lost=change(lambda played: played.lost),
        short=change(lambda played: played.short_days > 0),
        short_days=change(lambda played: played.short_days),
    )


def with_vessels(plan: Plan, number: int) -> Plan:
    """The plan with so many production vessels (1 or more): the last ones taken away, or the last one repeated.

    Standby vessels stay. ValueError for a number below 1 or a plan without production vessels.
    """
    production = [vessel for vessel in plan.vessels if vessel.role == "production"]
    if number < 1 or not production:
        raise ValueError(f"{number} production vessels can not be made from {len(production)}")
    standby = tuple(vessel for vessel in plan.vessels if vessel.role != "production")
    taken = {vessel.name for vessel in plan.vessels}
    while len(production) < number:
        more = _like(production[-1], len(production) + 1, taken)
        taken.add(more.name)
        production.append(more)
    return replace(plan, vessels=(*production[:number], *standby))


def _like(vessel: Vessel, number: int, taken: set[str]) -> Vessel:
    name = f"vessel {number}"
    while name in taken:
        number += 1
        name = f"vessel {number}"
    return replace(vessel, name=name)
