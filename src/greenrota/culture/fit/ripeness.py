"""Ripeness: the day on which a culture reaches a share of its ceiling, with the 95 % interval of that day.

Rate, ceiling and density are log-normal. For a given rate the chance of being ripe by a day has a closed form; the
mean over the rate is a sum over a fixed grid, so the same figures always give the same days.
"""

import math
from itertools import repeat
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
        if self.chance_by(0.0) >= chance:
            return 0.0
        late_day = max(1.0, self.day_at_median())
        while self.chance_by(late_day) < chance:
            late_day *= 2.0
            if late_day > _DAYS_MOST:
                return math.inf
        return rising_root(lambda day: self.chance_by(day) - chance, 0.0, late_day, _CLOSE_DAYS)

    def chance_by(self, days: float) -> float:
        """The chance of being ripe after so many days of growth."""
        total = weights = 0.0
        for z, weight in _GRID if self.rate_spread > 0.0 else repeat((0.0, 1.0), 1):
            grown = math.exp(self.log_rate + self.rate_spread * z) * days - self.log_odds
            most = (
                grown if grown > _EXPONENT_MOST else math.log1p(math.exp(grown))
            )  # ln of the ratio made good
            off = most - self.log_ratio - self.lean * z
            if self.ratio_spread > 0.0:
                total += weight * 0.5 * math.erfc(-off / (self.ratio_spread * math.sqrt(2.0)))
            elif off >= 0.0:
                total += weight
            weights += weight
        return total / weights

    def _day(self, rate_per_day: float, log_ratio: float) -> float:
        if log_ratio <= 0.0:
            return 0.0
        return max(0.0, self.log_odds + _log_less_one(log_ratio)) / rate_per_day


def _log_less_one(log_ratio: float) -> float:
    """ln(ratio - 1) from ln(ratio) > 0."""
    return log_ratio + math.log(-math.expm1(-log_ratio))


_GRID = tuple(
    (z, math.exp(-0.5 * z * z)) for z in (_DEVIATIONS * (2.0 * n / _STEPS - 1.0) for n in range(_STEPS + 1))
)
