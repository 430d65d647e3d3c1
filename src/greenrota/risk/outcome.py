"""Outcome: the figures counted over many seasons, each with its 95 % interval, and how two plans differ."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from greenrota.culture.numeric.bracket import rising_root
from greenrota.risk.hazard import CAUSES
from greenrota.risk.season import Seasons

Z_95 = 1.959963984540054  # normal quantile 0.975, any table of the normal distribution
TENTH = 0.9  # the percentile of short days that is shown; our choice


@dataclass(frozen=True, slots=True)
class Estimate:
    """A figure counted over seasons, with the ends of its 95 % interval."""

    value: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of the seasons.

    `short` is the chance of any short day, `short_days` their mean and `short_days_p90` the number that nine seasons in
    ten stay within. `lost_by` is the share of each cause among the losses of the last vessel of a strain, `losses`
    the mean number of vessels lost a season, by cause. `histogram` counts seasons by short days.
    """

    seasons: int
    days: int
    feeding_days: int
    lost: Estimate
    lost_by_strain: dict[str, Estimate]
    short: Estimate
    short_days: Estimate
    short_days_p90: Estimate
    losses: dict[str, Estimate]
    lost_by: dict[str, Estimate]
    histogram: tuple[int, ...]

    @property
    def dominant(self) -> str | None:
        """The cause that ends strains most often; where none was lost, the one that kills most vessels."""
        shares = self.lost_by if any(share.value for share in self.lost_by.values()) else self.losses
        cause, share = max(shares.items(), key=lambda item: item[1].value)
        return cause if share.value > 0.0 else None


def outcome(played: Seasons) -> Outcome:
    """Sum up seasons. Chances with the exact binomial interval, means with the normal one."""
    n = played.short_days.size
    lost = played.lost_on != np.iinfo(np.int16).max
    killers = np.bincount(played.lost_by[lost], minlength=len(CAUSES))
    histogram = np.bincount(played.short_days, minlength=1)
    return Outcome(
        seasons=n,
        days=played.days,
        feeding_days=max(0, played.days - played.first_feed),
        lost=chance(int(lost.any(axis=0).sum()), n),
        lost_by_strain={
            name: chance(int(row.sum()), n) for name, row in zip(played.strains, lost, strict=True)
        },
        short=chance(n - int(histogram[0]), n),
        short_days=mean(played.short_days, least=0.0),
        short_days_p90=percentile(histogram, TENTH),
        losses={cause: mean(row, least=0.0) for cause, row in zip(CAUSES, played.losses, strict=True)},
        lost_by={
            cause: chance(int(count), int(killers.sum()))
            for cause, count in zip(CAUSES, killers, strict=True)
        },
        histogram=tuple(histogram.tolist()),
    )


@dataclass(frozen=True, slots=True)
class Difference:
    """Another plan minus this one, season by season under the same luck, with 95 % intervals."""

    lost: Estimate
    short: Estimate
    short_days: Estimate


def difference(here: Seasons, other: Seasons) -> Difference:
    """What another plan changes; both played with one seed and the same number of seasons (ValueError otherwise).

    The interval is that of paired differences, so chance events that both plans share do not widen it.
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


def chance(hits: int, tries: int) -> Estimate:
    """A chance from hits among tries, with the exact 95 % interval; 0 to 1 where nothing was tried.

    Holds for 0 <= hits <= tries. Source: Clopper & Pearson (1934), from memory: binomial tails of 2.5 %.

    >>> found = chance(3, 100)
    >>> round(found.low, 5), round(found.high, 5)
    (0.00623, 0.08518)
    """
    if tries == 0:
        return Estimate(0.0, 0.0, 1.0)
    low = 0.0 if hits == 0 else _root(lambda p: _beta_below(hits, tries - hits + 1, p) - 0.025)
    high = 1.0 if hits == tries else _root(lambda p: _beta_below(hits + 1, tries - hits, p) - 0.975)
    return Estimate(hits / tries, low, high)


def mean(values: NDArray[np.integer | np.floating], least: float = -math.inf) -> Estimate:
    """Mean of one figure a season, with the normal 95 % interval; its lower end is not let below `least`.

    With one season there is no interval: its ends are infinite.

    >>> mean(np.array([1, 2, 3])).value
    2.0
    """
    middle = float(values.mean())
    spread = float(values.std(ddof=1)) if values.size > 1 else math.inf
    reach = Z_95 * spread / math.sqrt(values.size)
    low = -math.inf if math.isinf(reach) else max(least, middle - reach)
    return Estimate(middle, low, middle + reach)


def percentile(histogram: NDArray[np.integer], share: float) -> Estimate:
    """The smallest count that at least `share` of the seasons stay within; histogram of counts 0, 1, 2, ...

    Interval from the order statistics, whose ranks are binomial (normal approximation with continuity correction).

    >>> percentile(np.array([80, 15, 5]), 0.9).value
    1.0
    """
    n = int(histogram.sum())
    below = np.cumsum(histogram)
    reach = Z_95 * math.sqrt(n * share * (1.0 - share)) + 0.5

    def at_rank(rank: float) -> float:
        return float(np.searchsorted(below, min(max(1.0, math.ceil(rank)), n)))

    return Estimate(at_rank(n * share), at_rank(n * share - reach), at_rank(n * share + reach))


def _root(rising: Callable[[float], float]) -> float:
    return rising_root(rising, 0.0, 1.0, 1e-13)


def _beta_below(a: float, b: float, x: float) -> float:
    """Regularised incomplete beta function I_x(a, b), for a and b of 1 or more.

    Source: continued fraction DLMF 8.17.22, from memory, by the modified Lentz method; mirrored where it is slow.
    """
    if x <= 0.0 or x >= 1.0:
        return 0.0 if x <= 0.0 else 1.0
    if x > (a + 1.0) / (a + b + 2.0):
        return 1.0 - _beta_below(b, a, 1.0 - x)
    front = math.exp(
        math.lgamma(a + b) - math.lgamma(a) - math.lgamma(b) + a * math.log(x) + b * math.log1p(-x)
    )
    tiny = 1e-300
    c, d = 1.0, 1.0 / (1.0 - (a + b) * x / (a + 1.0) or tiny)
    fraction = d
    for m in range(1, 100_000):
        even = m * (b - m) * x / ((a + 2 * m - 1.0) * (a + 2 * m))
        odd = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1.0))
        for step in (even, odd):
            d = 1.0 / (1.0 + step * d or tiny)
            c = 1.0 + step / c or tiny
            fraction *= d * c
        if abs(d * c - 1.0) < 1e-15:
            break
    return front * fraction / a
