"""Cycle: how much is kept back at a harvest and how many days lie between harvests."""

from collections.abc import Iterator
from functools import cache
from typing import NamedTuple

from greenrota.culture.growth.logistic import sawtooth_peak_share, wash_out_share
from greenrota.rota.plan import CyclePlan
from greenrota.rota.state.bench import Bench

RIPE_SHARE = 0.80  # of the ceiling: growth has slowed to a fifth of its best (logistic law); our choice
STATIONARY_SHARE = 0.95  # of the ceiling: growth has all but ended; our choice
GRACE_DAYS = 3  # stationary days before a culture counts as over-ripe; our choice
RENEW_AFTER = (
    8  # re-seeds; FAO 471 s. 3.3 (copy) has Tetraselmis lasting 3 months, we stop sooner; our choice
)
NEARLY_MOST = 0.95  # of the best yield is good enough if it saves harvests; our choice
KEEP_SHARES = tuple(n / 100 for n in range(15, 65, 5))  # carry-over worth measuring out; our choice
CARRY_OVERS = (0.15, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9)  # that one harvest may choose from; our choice
INTERVALS = range(2, 29)  # days between harvests that a home rota can keep; our choice
FEED_GAIN = 0.10  # a second dose must lift the ceiling by this share to be worth the work; our choice


class Cycle(NamedTuple):
    """How one vessel is worked. `keep_share` of the fill stays at harvest; `days` is the usual interval.

    `carry_overs` are the shares that one harvest may keep instead, none where the plan pins the carry-over.
    `pinned_days` is set when the plan fixes days to harvest; `feed_day` None: the rota feeds where it pays.
    `peak_share` is the steady density before harvest as a share of the ceiling (0: washes out).
    `why` says how it came about.
    """

    keep_share: float
    days: int
    pinned_days: int | None
    feed_day: int | None
    feed_dose: float
    renew_after: int
    peak_share: float
    why: str
    carry_overs: tuple[float, ...] = ()


def cycle_for(bench: Bench, wanted: CyclePlan, weekdays: frozenset[int]) -> Cycle:
    """The cycle of a vessel: what the plan pins, the rest chosen for the best yield with the fewest harvests.

    Among all carry-overs and intervals that are ripe at harvest in steady state, the tool finds the most
    harvested cells per day (each interval stretched to the working weekdays) and then takes the longest
    interval that still gives nearly as much. Source: the saw-tooth of `culture.growth`.
    """
    shares = KEEP_SHARES if wanted.inoculum is None else (wanted.inoculum,)
    intervals = INTERVALS if wanted.days is None else range(wanted.days, wanted.days + 1)
    keep, days, peak, why = _choose(bench.rate_per_day, shares, intervals, weekdays)
    return Cycle(
        keep_share=keep,
        days=days,
        pinned_days=wanted.days,
        feed_day=wanted.feed_day,
        feed_dose=wanted.feed_dose,
        renew_after=RENEW_AFTER if wanted.renew_after is None else wanted.renew_after,
        peak_share=peak,
        why=why,
        carry_overs=() if wanted.inoculum is not None else tuple(sorted({*CARRY_OVERS, keep})),
    )


class _Option(NamedTuple):
    keep: float
    days: int
    gap_days: float
    peak: float

    @property
    def yield_share(self) -> float:
        """Harvested cells per day, as a share of what the full vessel holds at its ceiling."""
        return (1.0 - self.keep) * self.peak / self.gap_days


def _options(
    rate_per_day: float, shares: tuple[float, ...], intervals: range, weekdays: frozenset[int]
) -> Iterator[_Option]:
    for days in intervals:
        gap_days = mean_gap_days(days, weekdays)
        for keep in shares:
            peak = sawtooth_peak_share(keep, gap_days, rate_per_day) if rate_per_day > 0.0 else 0.0
            yield _Option(keep, days, gap_days, peak)


@cache
def _choose(
    rate_per_day: float, shares: tuple[float, ...], intervals: range, weekdays: frozenset[int]
) -> tuple[float, int, float, str]:
    options = list(_options(rate_per_day, shares, intervals, weekdays))
    ripe = [option for option in options if option.peak >= RIPE_SHARE]
    if not ripe:
        best = max(options, key=lambda option: (option.peak, option.yield_share))
        if best.peak > 0.0:
            why = f"never quite ripe in steady state: {best.peak:.0%} of the ceiling at harvest"
        else:
            floor = wash_out_share(rate_per_day, float(best.days))
            why = f"washes out: more than {floor:.0%} would have to stay"
        return best.keep, best.days, best.peak, why
    most = max(option.yield_share for option in ripe)
    enough = [option for option in ripe if option.yield_share >= NEARLY_MOST * most]
    best = max(enough, key=lambda option: (option.gap_days, option.yield_share))
    pinned = len(shares) == 1 and len(intervals) == 1
    how = "as the plan says" if pinned else f"{best.yield_share / most:.0%} of the most feed, fewest harvests"
    return best.keep, best.days, best.peak, f"{how}; {best.peak:.0%} of the ceiling at harvest"


def mean_gap_days(days: int, weekdays: frozenset[int]) -> float:
    """Mean days between harvests when each falls on the first working weekday at least `days` after the last.

    Averaged over the working weekdays one may start from; `weekdays` as `date.weekday()`, not empty.

    >>> round(mean_gap_days(5, frozenset({2, 5, 6})), 2)
    6.67
    """
    gaps = []
    for start in weekdays:
        gap = days
        while (start + gap) % 7 not in weekdays:
            gap += 1
        gaps.append(gap)
    return sum(gaps) / len(gaps)
