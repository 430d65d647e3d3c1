"""Pick: the first, simple choice of a harvest day among those that are possible."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from datetime import date

from greenrota.rota.simulate.projection import Projection

# Costs in "days of waiting": what a day must save before it is worth this. All our choice.
EARLY_DAY_COST = 20  # each day before the culture is ripe
OVER_DAY_COST = 30  # each day over-ripe
CROWDED_COST = 15  # the day already has all the jobs wanted
SHARED_COST = 2  # another vessel of the strain is harvested that day


class Load:
    """How much is already planned on each day of a walk."""

    def __init__(self, jobs_per_day: int | None) -> None:
        self._jobs_per_day = jobs_per_day
        self._jobs: Counter[date] = Counter()
        self._harvests: Counter[tuple[date, str]] = Counter()

    def add(self, on: date, strain_harvested: str | None = None) -> None:
        """Note one more job on a day, and whose harvest it is."""
        self._jobs[on] += 1
        if strain_harvested is not None:
            self._harvests[on, strain_harvested] += 1

    def is_full(self, on: date) -> bool:
        """True when the day has as many jobs as the plan wants on a day."""
        return self._jobs_per_day is not None and self._jobs[on] >= self._jobs_per_day

    def harvests(self, on: date, strain: str) -> int:
        """Harvests of a strain already planned on a day."""
        return self._harvests[on, strain]


def pick_day(options: Sequence[date], projection: Projection, load: Load, strain: str) -> date | None:
    """The cheapest of the possible days, the earliest of equals; None if there is none."""
    due = projection.pinned_on or projection.ripe_on
    if due is None or not options:
        return None
    over = projection.over_on

    def cost(day: date) -> int:
        wait = (day - due).days
        total = wait if wait >= 0 else -wait * EARLY_DAY_COST
        if over is not None and day >= over:
            total += OVER_DAY_COST * ((day - over).days + 1)
        if load.is_full(day):
            total += CROWDED_COST
        return total + SHARED_COST * load.harvests(day, strain)

    return min(options, key=lambda day: (cost(day), day))
