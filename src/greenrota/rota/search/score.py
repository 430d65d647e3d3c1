"""Score: the one objective by which rotas are compared, term by term. Lower is better. All weights are here.

By weight, the order is: a second living place of each strain; the ration covered; harvests between ripe and
over-ripe; no more jobs a day than wanted; harvests spread over time; harvest days that hold also where growth is slow
or fast; few small harvests; few working days; few changes; little that is harvested and not eaten; few empty vessels.
Away and off days are not a term, because no task is ever put on one.
"""

import math
from collections import Counter
from collections.abc import Mapping, Sequence
from itertools import pairwise
from statistics import NormalDist
from typing import NamedTuple

from greenrota.culture.fit.estimate import START_SPREAD
from greenrota.culture.growth.broth import ML_PER_L
from greenrota.rota.feed.rations import keeps_days, usual_ration_ml_per_day
from greenrota.rota.feed.tally import RationTally, not_eaten_ml, on_hand
from greenrota.rota.search.homes import homes
from greenrota.rota.simulate.context import Context
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.events import fills_of
from greenrota.rota.simulate.simulation import Simulation
from greenrota.rota.simulate.start import StartState
from greenrota.rota.state.opendays import DAY
from greenrota.rota.state.state import HarvestBottle


class Term(NamedTuple):
    """A term of the score: what one unit of it costs, and what is counted."""

    weight: float
    meaning: str


# The weights are our choice; only their order and their distance matter. What each term amounts to: `Scorer.score`.
TERMS: Mapping[str, Term] = {
    "home": Term(1000.0, "days on which a strain lives in one place only"),
    "short": Term(100.0, "days' rations short"),
    "over_ripe": Term(30.0, "days over-ripe at harvest"),
    "early": Term(20.0, "days harvested before ripe"),
    "crowded": Term(10.0, "jobs above the daily number"),
    "spread": Term(5.0, "days of mean wait for fresh feed"),
    "unsure": Term(3.0, "days early or over-ripe, if growth is slow or fast"),
    "small": Term(3.0, "harvests, each by the share of the vessel that stays"),
    "work_day": Term(1.0, "working days"),
    "changed": Term(0.5, "dates moved"),  # of harvests and starts, against the previous rota
    "spoiled": Term(0.3, "days' rations harvested that nobody eats"),  # nutrient, salt and work
    "idle": Term(0.1, "days on which a vessel stands empty"),
}
WEIGHTS: Mapping[str, float] = {name: term.weight for name, term in TERMS.items()}

_QUARTER = NormalDist().inv_cdf(0.75)  # standard deviations beyond which a quarter lies


class Score(NamedTuple):
    """How good a rota is. `amounts` by the names of `TERMS`, in their own units."""

    amounts: Mapping[str, float]

    @property
    def total(self) -> float:
        """The weighted sum, which the search minimises."""
        return sum(WEIGHTS[name] * amount for name, amount in self.amounts.items())


def unsure_days(early: float, over_ripe: float, quarter_days: float) -> float:
    """Days early at slow growth and over-ripe at fast growth, beyond those at the projected growth.

    `early` and `over_ripe` are the days at the projected growth, below 0 where there are some to spare;
    `quarter_days` as by `Scorer.quarter_days`.

    >>> unsure_days(-2.0, -0.5, 1.5)
    1.0
    """
    return sum(max(0.0, days + quarter_days) - max(0.0, days) for days in (early, over_ripe))


class Scorer:
    """Scores simulations of one context from one start state; `previous` are the dates of the rota before.

    `ration_ml` is what all animals get a day, `keeps_days` how long it keeps.
    """

    def __init__(self, context: Context, start_state: StartState, previous: Decisions) -> None:
        self._context = context
        self._start_state = start_state
        self._previous = previous
        state = start_state.state
        there = on_hand(context.plan, state.harvests, start_state.bottle_entries, start_state.as_of)
        self._tally = RationTally(context.plan, there)
        self._mixing = start_state.mixing(context.plan, context.open_days)
        self.ration_ml = usual_ration_ml_per_day(context.plan)
        self.keeps_days = keeps_days(context.plan)

    def score(self, simulated: Simulation) -> Score:
        """The score of a simulation."""
        early, over_ripe = _ripeness(simulated)
        crowded, work_days = self._work(simulated)
        short, spoiled = self._rations(simulated)
        counts = homes(simulated, self._start_state, self._context.benches)
        return Score(
            {
                "home": float(sum(n < 2 for days in counts.values() for n in days)),
                "short": short,
                "over_ripe": float(over_ripe),
                "early": float(early),
                "crowded": float(crowded),
                "spread": _mean_wait(simulated),
                "unsure": self._unsure(simulated),
                "small": self._small_harvests(simulated),
                "work_day": float(work_days),
                "changed": float(self._changed(simulated)),
                "spoiled": spoiled,
                "idle": float(self._idle_days(simulated)),
            }
        )

    def _rations(self, simulated: Simulation) -> tuple[float, float]:
        """Days' rations that are missing, and those that spoil or stand at the end and cannot be eaten in time."""
        if self.ration_ml <= 0.0:
            return 0.0, 0.0
        tally = self._tally.tally(simulated.state.harvests, simulated.through)
        surplus_ml = not_eaten_ml(tally.spoiled_ml, tally.on_hand_ml, self.keeps_days, self.ration_ml)
        return tally.short_ml / self.ration_ml, surplus_ml / self.ration_ml

    def lacking_ml(self, simulated: Simulation, harvests: Sequence[HarvestBottle]) -> list[float]:
        """What is missing of the rations with some harvests alone, mL, on each day of a simulation."""
        lacking = self._tally.lacking_ml(harvests, simulated.through)
        before = (simulated.through - simulated.as_of).days + 1 - len(lacking)
        return [0.0] * before + lacking

    def _unsure(self, simulated: Simulation) -> float:
        """Days early at slow growth and over-ripe at fast growth, beyond those at the projected growth.

        Slow and fast are the quarters of cultures at both ends: half of them are ripe in between.
        """
        total = 0.0
        for choice in simulated.choices:
            projection = choice.projection
            if choice.taken is None or projection.ripe_on is None or projection.growth_days <= 0.0:
                continue
            early = (projection.ripe_on - choice.taken).days
            over_on = projection.over_on
            over_ripe = -math.inf if over_on is None else (choice.taken - over_on).days + 1
            quarter_days = self.quarter_days(choice.batch.vessel, projection.growth_days)
            total += unsure_days(early, over_ripe, quarter_days)
        return total

    def quarter_days(self, vessel: str, growth_days: float) -> float:
        """Days by which a quarter of cultures are ripe later than projected, or earlier; both taken to be as long.

        Rate and start density are log-normal; a day of ripeness goes by 1/rate, and by ln(start density)/rate. Where
        nothing grows under the usual light, what stands there grew under another, and its start is left out.
        """
        bench = self._context.benches[vessel]
        rate_spread = self._start_state.rate_spreads.get(vessel, bench.strain.rate_spread)
        by_start = START_SPREAD / bench.rate_per_day if bench.rate_per_day > 0.0 else 0.0
        return _QUARTER * math.hypot(growth_days * rate_spread, by_start)

    def _work(self, simulated: Simulation) -> tuple[int, int]:
        """Jobs above the wanted number of a day, and days with something to do.

        All at one vessel is one job; a bucket of salt water is one at the vessel that it is mixed for first.
        """
        jobs = {(event.on, event.batch.vessel) for event in simulated.events}
        buckets = self._mixing.buckets(fills_of(simulated.events), {on for on, _ in jobs})
        jobs.update((bucket.on, bucket.fills[0].vessel) for bucket in buckets)
        per_day = Counter(on for on, _ in jobs)
        limit = self._context.plan.work.jobs_per_day
        crowded = 0 if limit is None else sum(max(0, count - limit) for count in per_day.values())
        return crowded, len(per_day)

    def _small_harvests(self, simulated: Simulation) -> float:
        """Harvests, each by the share of the working volume that stays: a small one is as much work as a large one."""
        benches = self._context.benches
        return sum(
            event.volume_ml / (benches[event.batch.vessel].vessel.fill_l * ML_PER_L)
            for event in simulated.events
            if event.kind == "reseed"
        )

    def _idle_days(self, simulated: Simulation) -> int:
        """Days and vessels without a culture, from the first day to the last: nights are counted."""
        nights = len(self._context.benches) * (simulated.through - simulated.as_of).days
        lived = (each for each in simulated.intervals if each.batch.vessel in self._context.benches)
        return max(0, nights - sum((each.last - each.first).days for each in lived))

    def _changed(self, simulated: Simulation) -> int:
        known = self._previous.harvests
        moved = sum(known.get(choice.batch.id, choice.taken) != choice.taken for choice in simulated.choices)
        for event in simulated.events:
            if event.kind == "start" and event.batch.number == 1:
                moved += self._previous.starts.get(event.batch.vessel, event.on) != event.on
        return moved


def _ripeness(simulated: Simulation) -> tuple[int, int]:
    """Days before ripe and days over-ripe, summed over all batches; an unharvested one counts to the horizon."""
    early = over_ripe = 0
    for choice in simulated.choices:
        projection = choice.projection
        if choice.taken is not None and projection.ripe_on is not None:
            early += max(0, (projection.ripe_on - choice.taken).days)
        last = choice.taken or simulated.through
        if projection.over_on is not None:
            over_ripe += max(0, (last - projection.over_on).days + 1)
    return early, over_ripe


def _mean_wait(simulated: Simulation) -> float:
    """Mean days since the last harvest, over the days from the first harvest to the horizon: half the mean square gap.

    Harvests spread evenly make it least. The horizon's length where there is no harvest.
    """
    days = sorted({event.on for event in simulated.events if event.kind == "harvest"})
    if not days:
        return float((simulated.through - simulated.as_of).days)
    edges = [*days, simulated.through + DAY]
    gaps = [(later - earlier).days for earlier, later in pairwise(edges)]
    return sum(gap * gap for gap in gaps) / (2.0 * sum(gaps))
