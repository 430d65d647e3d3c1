"""Ripeness: the day on which a culture reaches a share of its ceiling, with the 95 % interval of that day.

Rate, ceiling and density are log-normal. For a given rate the chance of being ripe by a day has a closed form; the
mean over the rate is a sum over a fixed grid, so the same figures always give the same days.
"""

import math
from collections.abc import Callable
from functools import cache, lru_cache
from statistics import NormalDist
from typing import NamedTuple

from greenrota.culture.fit.estimate import Estimate
from greenrota.culture.numeric.bracket import rising_root
from greenrota.culture.numeric.quantile import CONFIDENCE

_DEVIATIONS = 6.0  # our choice: the grid ends where the normal distribution has 2e-9 left
_STEPS = 120  # our choice: 0.1 of a deviation each, a hundredth of a day in most bands
_CLOSE_DAYS = 1e-3  # our choice: a minute or two
_DAYS_MOST = 1e5  # our choice: what takes longer never ripens
_EXPONENT_MOST = 700.0  # e^700: the end of floats
_NORMAL = NormalDist()


class Ripeness(NamedTuple):
    """Days from now: `on_day` by the figures as they stand, `from_day` to `to_day` the 95 % interval.

    0.0 where the culture is ripe already, infinite where it never will be.
    """

    on_day: float
    from_day: float
    to_day: float


def ripeness(
    density_per_ml: float,
    estimate: Estimate,
    share: float,
    density_spread: float = 0.0,
    lag_days: float = 0.0,
    start_tracks_ceiling: bool = False,
) -> Ripeness:
    """When a culture reaches a share (above 0, below 1) of its ceiling, with the 95 % interval.

    `density_per_ml` now, with `density_spread`, the standard deviation of its natural log (0.20 for a density that was
    written down, `tally.WRITTEN`). `lag_days` of no growth come first. `start_tracks_ceiling` is for a re-seed from a
    culture that stood at its ceiling: what was kept is a share of the true ceiling, whatever that is, so the spread of
    the ceiling drops out. No cells, no rate or no ceiling: never ripe.
    ValueError for a share outside 0..1 or a spread below zero.
    Source: logistic law of Verhulst (1838) solved for time; the mean over the rate by the trapezoidal rule.

    >>> known = Estimate(0.5, 0.2, 1.1e6, 0.2)
    >>> [round(day, 1) for day in ripeness(2e5, known, 0.8)]
    [5.8, 3.7, 8.8]
    """
    if not 0.0 < share < 1.0:
        raise ValueError(f"share {share:g} of the ceiling is not between 0 and 1")
    if min(density_spread, estimate.rate_spread, estimate.ceiling_spread) < 0.0:
        raise ValueError("a spread cannot be below zero")
    if min(density_per_ml, estimate.rate_per_day, estimate.ceiling_per_ml) <= 0.0:
        return Ripeness(math.inf, math.inf, math.inf)
    own_spread = 0.0 if start_tracks_ceiling else estimate.ceiling_spread
    law = _Law(
        log_rate=math.log(estimate.rate_per_day),
        rate_spread=estimate.rate_spread,
        log_ratio=math.log(estimate.ceiling_per_ml / density_per_ml),
        lean=estimate.correlation * own_spread,
        ratio_spread=math.hypot(own_spread * math.sqrt(1.0 - estimate.correlation**2), density_spread),
        log_odds=math.log(share / (1.0 - share)),
    )
    tail = 0.5 * (1.0 - CONFIDENCE)
    days = (law.day_at_median(), law.day_of_chance(tail), law.day_of_chance(1.0 - tail))
    return Ripeness(*(day + lag_days if day > 0.0 else 0.0 for day in days))


class _Law(NamedTuple):
    """The log-normal law of rate and of ceiling over density (the ratio), and the share to be reached.

    Given the rate at z deviations, ln(ratio) has the mean `log_ratio` + `lean` z and the deviation `ratio_spread`.
    """

    log_rate: float
    rate_spread: float
    log_ratio: float
    lean: float
    ratio_spread: float
    log_odds: float

    def day_at_median(self) -> float:
        return self._day(math.exp(self.log_rate), self.log_ratio)

    def day_of_chance(self, chance: float) -> float:
        """The day by which the culture is ripe with this chance; 0.0 if it is so already."""
        if self.rate_spread == 0.0 and self.ratio_spread == 0.0:
            return self.day_at_median()
        if self.ratio_spread == 0.0 and self.lean == 0.0:
            late = math.exp(self.log_rate - self.rate_spread * _NORMAL.inv_cdf(chance))
            return self._day(late, self.log_ratio)
        chance_by = _chances(self)
        if chance_by(0.0) >= chance:
            return 0.0
        late_day = max(1.0, self.day_at_median())
        while chance_by(late_day) < chance:
            late_day *= 2.0
            if late_day > _DAYS_MOST:
                return math.inf
        return rising_root(lambda day: chance_by(day) - chance, 0.0, late_day, _CLOSE_DAYS)

    def _day(self, rate_per_day: float, log_ratio: float) -> float:
        if log_ratio <= 0.0:
            return 0.0
        return max(0.0, self.log_odds + _log_less_one(log_ratio)) / rate_per_day


@lru_cache(maxsize=1)  # both ends of an interval ask for it, one after the other
def _chances(law: _Law) -> Callable[[float], float]:
    """The chance of being ripe after so many days of growth. What does not depend on the days is worked out first."""
    points, weights = [], 0.0
    for z, weight in _GRID if law.rate_spread > 0.0 else ((0.0, 1.0),):
        points.append((math.exp(law.log_rate + law.rate_spread * z), law.lean * z, weight))
        weights += weight
    log_odds, log_ratio, width = law.log_odds, law.log_ratio, law.ratio_spread * math.sqrt(2.0)

    @cache  # the first and the last day are asked for several times
    def chance_by(days: float) -> float:
        total = 0.0
        for rate_per_day, shift, weight in points:
            grown = rate_per_day * days - log_odds
            # ln of the ratio made good
            most = grown if grown > _EXPONENT_MOST else math.log1p(math.exp(grown))
            off = most - log_ratio - shift
            if width > 0.0:
                total += weight * 0.5 * math.erfc(-off / width)
            elif off >= 0.0:
                total += weight
        return total / weights

    return chance_by


def _log_less_one(log_ratio: float) -> float:
    """ln(ratio - 1) from ln(ratio) > 0."""
    return log_ratio + math.log(-math.expm1(-log_ratio))


_GRID = tuple(
    (z, math.exp(-0.5 * z * z)) for z in (_DEVIATIONS * (2.0 * n / _STEPS - 1.0) for n in range(_STEPS + 1))
)
