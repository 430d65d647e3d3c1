"""Projection: when a batch will be fed, ripe and over-ripe, and on which days it may be harvested."""

import math
from collections.abc import Callable
from datetime import date, timedelta
from typing import NamedTuple

from greenrota.culture.growth.broth import Broth, days_to_share
from greenrota.culture.growth.logistic import days_to_density
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.cycle import FEED_GAIN, GRACE_DAYS, RIPE_SHARE, STATIONARY_SHARE, Cycle
from greenrota.rota.state.opendays import DAY, OpenDays

FEED_AT_SHARE = 0.5  # of the ceiling, when a dose that pays is given: growth is fastest there; our choice
SETTLE_DAYS = 2  # after a filling before a second dose is given; our choice
READY_SHARE = 0.70  # of the ceiling, from which a harvest may be put if something is gained by it; our choice
ROUNDING = 1e-9  # a culture ripe at midnight is ripe that day
NEED_DAYS = 6  # how far before ripe it may be put when no day up to over-ripe is open; our choice


class Projection(NamedTuple):
    """The life of one batch as projected from a day. Dates are whole days; None: never, as far as a calendar goes.

    `ready_on` is the first day on which the culture may be harvested if something is gained by it, `ripe_on` the
    first on which it is ripe, `over_on` the first on which it counts as over-ripe, `pinned_on` the day the plan pins
    for the harvest. `feed_on` is the second dose, `feed_gain` how much higher it lifts the ceiling (0.4: by 40 %).
    `growth_days` are the days of growth still ahead of `ripe_on`, without a lag; 0.0 for a culture that is ripe.
    """

    ready_on: date | None
    ripe_on: date | None
    over_on: date | None
    pinned_on: date | None
    feed_on: date | None
    feed_gain: float
    growth_days: float = 0.0


def project(
    bench: Bench,
    cycle: Cycle,
    broth: Broth,
    started: date,
    on: date,
    fed: bool,
    open_days: OpenDays,
    filled: date | None = None,
) -> Projection:
    """Project a batch from its broth on a day; `started` is the day of its start, `fed`: it had its second dose.

    `filled` is the day of its last top-up, None for a vessel that was filled at once.
    """
    top_per_ml = bench.ceiling_per_ml(broth)
    feed_on, gain = None, 0.0
    if not fed:
        filled = started if filled is None else filled
        feed_on, gain = _feeding(bench, cycle, broth, top_per_ml, started, filled, on, open_days)
    since, settled, top_per_ml = _settled(bench, cycle, broth, top_per_ml, on, feed_on)
    rate_per_day = bench.rate_per_day
    to_ripe = days_to_share(settled, RIPE_SHARE, top_per_ml, rate_per_day)
    to_ready = days_to_share(settled, READY_SHARE, top_per_ml, rate_per_day)
    ripe_on = _after(since, to_ripe - ROUNDING, math.ceil)
    growth_days = max(0.0, float((since - on).days) + to_ripe - broth.lag_days)
    return Projection(
        _after(since, to_ready - ROUNDING, math.ceil),
        ripe_on,
        _over_on(settled, top_per_ml, rate_per_day, since, started),
        None if cycle.pinned_days is None else _after(started, cycle.pinned_days),
        feed_on,
        gain,
        0.0 if ripe_on is None else growth_days,
    )


def over_ripe_on(bench: Bench, cycle: Cycle, broth: Broth, on: date, open_days: OpenDays) -> date | None:
    """The day alone on which a batch that is filled on a day counts as over-ripe, as `project` gives it."""
    top_per_ml = bench.ceiling_per_ml(broth)
    feed_on, _ = _feeding(bench, cycle, broth, top_per_ml, on, on, on, open_days)
    since, settled, top_per_ml = _settled(bench, cycle, broth, top_per_ml, on, feed_on)
    return _over_on(settled, top_per_ml, bench.rate_per_day, since, on)


def _feeding(
    bench: Bench,
    cycle: Cycle,
    broth: Broth,
    top_per_ml: float,
    started: date,
    filled: date,
    on: date,
    open_days: OpenDays,
) -> tuple[date | None, float]:
    gain = 0.0
    if top_per_ml:
        fed = fed_broth(bench, cycle, broth)
        gain = bench.ceiling_per_ml(fed) / top_per_ml - 1.0
    if cycle.feed_day is not None:
        wanted = started + timedelta(days=cycle.feed_day)
        return (open_days.on_or_after(max(wanted, on), wanted + timedelta(days=2)), gain)
    if gain < FEED_GAIN:
        return None, gain
    days = days_to_share(broth, FEED_AT_SHARE, top_per_ml, bench.rate_per_day)
    if math.isinf(days):
        return None, gain
    earliest, due = max(on, filled + timedelta(days=SETTLE_DAYS)), _after(on, days)
    return (None if due is None else open_days.on_or_before(max(due, earliest), earliest)), gain


def _settled(
    bench: Bench, cycle: Cycle, broth: Broth, top_per_ml: float, on: date, feed_on: date | None
) -> tuple[date, Broth, float]:
    """The day from which on nothing more is added, the broth on that day and its ceiling: after the second dose."""
    if feed_on is None:
        return on, broth, top_per_ml
    fed = fed_broth(bench, cycle, bench.grow(broth, float((feed_on - on).days)))
    return feed_on, fed, bench.ceiling_per_ml(fed)


def _over_on(broth: Broth, top_per_ml: float, rate_per_day: float, since: date, started: date) -> date | None:
    """The day on which a broth counts as over-ripe; it has stood still since the start of its batch at the longest."""
    past = _days_past(broth, STATIONARY_SHARE, top_per_ml, rate_per_day)
    to_still = days_to_share(broth, STATIONARY_SHARE, top_per_ml, rate_per_day)
    return _after(since, to_still - min(past, float((since - started).days)) + (1.0 + GRACE_DAYS), math.floor)


def _days_past(broth: Broth, share: float, ceiling_per_ml: float, rate_per_day: float) -> float:
    """How long ago a growing culture passed a share of its ceiling; 0.0 if it has not, or stands above the ceiling."""
    if rate_per_day <= 0.0 or not share * ceiling_per_ml < broth.density_per_ml < ceiling_per_ml:
        return 0.0
    return days_to_density(share * ceiling_per_ml, broth.density_per_ml, ceiling_per_ml, rate_per_day)


def _after(day: date, days: float, whole: Callable[[float], int] = math.floor) -> date | None:
    """The day so many days later, made whole; None past the end of the calendar."""
    try:
        return day + timedelta(days=whole(days))
    except OverflowError:
        return None


def fed_broth(bench: Bench, cycle: Cycle, broth: Broth) -> Broth:
    """The broth after the cycle's second dose."""
    return bench.dosed(broth, broth.volume_l * cycle.feed_dose)


def harvest_days(projection: Projection, on: date, through: date, open_days: OpenDays) -> list[date]:
    """Open days on which a batch may be harvested, earliest first; empty if none lies in the horizon.

    From a little before ripe to the day before over-ripe, or the pinned day alone; where no such day is open, the
    nearest open ones on both sides. A batch that ripens after the horizon has none.
    """
    due = projection.pinned_on or projection.ripe_on
    if due is None or due > through:
        return []
    if projection.pinned_on is not None:
        first = last = max(due, on)
    else:
        first = max(projection.ready_on or due, on)
        last = through if projection.over_on is None else min(projection.over_on - DAY, through)
    days = open_days.between(first, last) if first <= last else []
    if days:
        return days
    before = open_days.on_or_before(first - DAY, max(on, due - timedelta(days=NEED_DAYS)))
    after = open_days.on_or_after(max(first, on), through)
    return sorted({day for day in (before, after) if day is not None})
