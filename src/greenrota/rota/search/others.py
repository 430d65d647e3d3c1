"""Others: what the rest of a rota leaves to one vessel, day by day: open days, work done anyway, rations missing."""

from collections.abc import Collection, Iterable, Sequence
from datetime import timedelta
from itertools import accumulate, pairwise
from typing import NamedTuple

from greenrota.rota.search.score import WEIGHTS, Scorer
from greenrota.rota.simulate.context import Context
from greenrota.rota.simulate.events import Event
from greenrota.rota.simulate.simulation import Simulation


class Others(NamedTuple):
    """The days of a horizon as they are for one vessel, the first as day 0.

    `is_open`; `costs`: what a harvest on that day adds to the score by what is done elsewhere; `lacking_ml`: what is
    missing of all rations before a day, with the harvests of the others alone, one longer than the days.
    `keeps_days` is how long a harvest keeps, `ration_ml` what all animals get a day.
    """

    is_open: Sequence[bool]
    costs: Sequence[float]
    lacking_ml: Sequence[float]
    keeps_days: int
    ration_ml: float

    def wanted_ml(self, day: int, until: int) -> float:
        """What a harvest on a day may cover of what is missing before another day, mL."""
        return self.lacking_ml[min(until, day + self.keeps_days + 1)] - self.lacking_ml[day]


def others_of(
    context: Context, scorer: Scorer, simulated: Simulation, vessel: str, batches: Collection[str]
) -> Others:
    """What a rota without the harvests of some batches of a vessel is like, and the re-seeds after them."""
    days = (simulated.through - simulated.as_of).days + 1
    left = [event for event in simulated.events if not _is_of(event, vessel, batches)]
    bottles = [
        bottle for bottle in simulated.state.harvests if bottle.batch not in batches or bottle.is_back_up
    ]
    return Others(
        [context.open_days.is_open(simulated.as_of + timedelta(days=day)) for day in range(days)],
        _costs(context, simulated, left, days),
        list(accumulate(scorer.lacking_ml(simulated, bottles), initial=0.0)),
        scorer.keeps_days,
        scorer.ration_ml,
    )


def _is_of(event: Event, vessel: str, batches: Collection[str]) -> bool:
    """Whether an event is done to one of the batches, or goes with its harvest; the dose of a vessel moves with it."""
    batch = event.batch
    if event.kind == "feed":
        return batch.vessel == vessel
    return batch.id in batches or (event.kind == "reseed" and batch.parent in batches)


def _costs(context: Context, simulated: Simulation, events: Iterable[Event], days: int) -> list[float]:
    """What a harvest on each day adds: a working day, a job too many; less for fresh feed between two harvests.

    A harvest p days after one and q days before the next takes 2 p q off the sum of squared gaps, of which the mean
    wait is half, over the days from the first harvest on.
    """
    jobs: list[set[str]] = [set() for _ in range(days)]
    harvests = set()
    for event in events:
        day = (event.on - simulated.as_of).days
        jobs[day].add(event.batch.vessel)
        if event.kind == "harvest":
            harvests.add(day)
    limit = context.plan.work.jobs_per_day
    costs = [
        (0.0 if each else WEIGHTS["work_day"])
        + (WEIGHTS["crowded"] if limit is not None and len(each) >= limit else 0.0)
        for each in jobs
    ]
    edges = [*sorted(harvests), days]
    for before, after in pairwise(edges):
        for day in range(before + 1, after):
            costs[day] -= WEIGHTS["spread"] * (day - before) * (after - day) / (days - edges[0])
    return costs
