"""Score: the one objective every rota is measured by, term by term. Lower is better; weights stand only here.

The order is: a living second home; the ration covered; harvests between ripe and over-ripe; no more jobs a day than
wanted; fresh feed spread over time; few working days; few changes. Away and off days are not a term: no task is
ever put on one.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from itertools import pairwise

from greenrota.rota.forecast import Forecast
from greenrota.rota.homes import homes
from greenrota.rota.larder import Larder
from greenrota.rota.opendays import DAY
from greenrota.rota.ration import usual_ration_ml_per_day
from greenrota.rota.setting import Setting
from greenrota.rota.standpoint import Standpoint
from greenrota.rota.visit import Wishes

# What one unit of each term costs. All our choice; only their order and their distance matter.
WEIGHTS: Mapping[str, float] = {
    "home": 1000.0,  # a day on which a strain has fewer than two living homes
    "short": 100.0,  # a day's ration that is missing
    "over_ripe": 30.0,  # a day past the last good day of harvest
    "early": 20.0,  # a day before ripe
    "crowded": 10.0,  # a job above the wanted number of jobs a day
    "spread": 5.0,  # a day of mean wait for fresh feed
    "work_day": 1.0,  # a day with something to do
    "changed": 0.5,  # a harvest or start moved against the standing rota
}
MEANINGS: Mapping[str, str] = {
    "home": "days on which a strain lives in one place only",
    "short": "days' rations short",
    "over_ripe": "days over-ripe at harvest",
    "early": "days harvested before ripe",
    "crowded": "jobs above the daily number",
    "spread": "days of mean wait for fresh feed",
    "work_day": "working days",
    "changed": "dates moved",
}


@dataclass(frozen=True, slots=True)
class Score:
    """How good a rota is. `amounts` by the names of `WEIGHTS`, in their own units."""

    amounts: Mapping[str, float]

    @property
    def total(self) -> float:
        """The weighted sum that the search makes small."""
        return sum(WEIGHTS[name] * amount for name, amount in self.amounts.items())


class Judge:
    """Scores walks of one setting from one standpoint; `standing` are the dates of the rota that hangs on the wall."""

    def __init__(self, setting: Setting, standpoint: Standpoint, standing: Wishes) -> None:
        self._setting = setting
        self._standpoint = standpoint
        self._standing = standing
        self._larder = Larder(setting.plan)
        self._ration_ml = usual_ration_ml_per_day(setting.plan)
        self._strains = {bench.strain.name: bench.strain for bench in setting.benches.values()}

    def score(self, walked: Forecast) -> Score:
        """The score of a walk."""
        early, over_ripe = _ripeness(walked)
        crowded, work_days = self._work(walked)
        counts = homes(walked, self._standpoint, self._strains)
        return Score(
            {
                "home": float(sum(n < 2 for days in counts.values() for n in days)),
                "short": self._short(walked),
                "over_ripe": float(over_ripe),
                "early": float(early),
                "crowded": float(crowded),
                "spread": _mean_wait(walked),
                "work_day": float(work_days),
                "changed": float(self._changed(walked)),
            }
        )

    def _short(self, walked: Forecast) -> float:
        if self._ration_ml <= 0.0:
            return 0.0
        return self._larder.tally(walked.shelf.lots, walked.through).short_ml / self._ration_ml

    def _work(self, walked: Forecast) -> tuple[int, int]:
        """Jobs above the wanted number of a day, and days with something to do. All at one vessel is one job."""
        jobs: set[tuple[date, str]] = set()
        open_days = self._setting.open_days
        for visit in walked.visits:
            jobs.add((visit.on, visit.batch.vessel))
            if visit.kind in ("start", "reseed"):
                jobs.add((open_days.eve(visit.on, walked.as_of), visit.batch.vessel))
        per_day = Counter(on for on, _ in jobs)
        limit = self._setting.plan.work.jobs_per_day
        crowded = 0 if limit is None else sum(max(0, count - limit) for count in per_day.values())
        return crowded, len(per_day)

    def _changed(self, walked: Forecast) -> int:
        known = self._standing.harvests
        moved = sum(known.get(choice.batch.id, choice.taken) != choice.taken for choice in walked.choices)
        for visit in walked.visits:
            if visit.kind == "start" and visit.batch.number == 1:
                moved += self._standing.starts.get(visit.batch.vessel, visit.on) != visit.on
        return moved


def _ripeness(walked: Forecast) -> tuple[int, int]:
    """Days before ripe and days over-ripe, summed over all batches; an unharvested one counts to the horizon."""
    early = over_ripe = 0
    for choice in walked.choices:
        ahead = choice.ahead
        if choice.taken is not None and ahead.ripe_on is not None:
            early += max(0, (ahead.ripe_on - choice.taken).days)
        last = choice.taken or walked.through
        if ahead.over_on is not None:
            over_ripe += max(0, (last - ahead.over_on).days + 1)
    return early, over_ripe


def _mean_wait(walked: Forecast) -> float:
    """Mean days since the last harvest, over the days from the first harvest to the horizon: half the mean square gap.

    Harvests spread evenly make it least. The horizon's length where there is no harvest.
    """
    days = sorted({visit.on for visit in walked.visits if visit.kind == "harvest"})
    if not days:
        return float((walked.through - walked.as_of).days)
    edges = [*days, walked.through + DAY]
    gaps = [(later - earlier).days for earlier, later in pairwise(edges)]
    return sum(gap * gap for gap in gaps) / (2.0 * sum(gaps))
