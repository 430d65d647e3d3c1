"""Update: how counts shift the estimate of rate and ceiling, and when the culture that was counted is ripe.

Bayes' rule on a grid over ln(rate), ln(ceiling), ln(start density of a filling) and a factor on the error of a count.
The grid is centred anew on the likely values until it is as narrow as they are. No random numbers are used and nothing
is stored: the same counts always give the same estimate, and leaving a count out gives the estimate without it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from greenrota.culture.fit.course import Event, Reading, Start
from greenrota.culture.fit.estimate import Estimate
from greenrota.culture.fit.likelihood import Filling, Grid
from greenrota.culture.fit.ripeness import Ripeness
from greenrota.culture.fit.tally import Noise
from greenrota.culture.numeric.least_squares import Vector
from greenrota.culture.numeric.quantile import CONFIDENCE

# our choice: no count is taken to be surer, as the law of growth itself is off by some percent; with 10 % the bands
# miss two of the thirteen ripe days in `tests/culture/fit/test_update_published.py`, with 20 % none
COUNT_ERROR = 0.20
_NODES = 25  # our choice: of the rate and of the ceiling
_REACH = 5.0  # our choice: standard deviations from the middle to the end of the grid
_LAYINGS_MOST = 8  # our choice: a grid that still shrinks after so many is narrow enough
_SETTLED = 0.6  # our choice: a grid whose nodes lie 0.7 standard deviations apart, or less, is left as it is


@dataclass(frozen=True, slots=True)
class Update:
    """What counts say on top of an estimate.

    `before` and `after` are the estimates without and with the counts; `counts` is how many there were. `day` is that
    of the last event. `grid` holds the rates, ceilings and densities that may be true on that day, with their weights.
    """

    before: Estimate
    after: Estimate
    counts: int
    day: float
    grid: Grid

    def ripeness(self, share: float) -> Ripeness:
        """When the present filling reaches a share (0..1) of its ceiling, in days after `day`; `on_day` is the median.

        0.0 where it is ripe already; the ceiling is that of the nutrients where they set it. ValueError for a share
        outside 0..1, or if the filling was neither counted nor planned.
        """
        if not 0.0 < share < 1.0:
            raise ValueError(f"share {share:g} of the ceiling is not between 0 and 1")
        grid = self.grid
        now = grid.density_per_ml
        if now is None:
            raise ValueError("nothing was counted or planned of the filling that stands now")
        goal = share * grid.ceiling_per_ml
        with np.errstate(divide="ignore", invalid="ignore"):
            odds = share / (1.0 - share) * (grid.ceiling_per_ml - now) / now
            days = np.where(now >= goal, 0.0, grid.lag_left_days + np.log(odds) / grid.rate_per_day)
        low, middle, high = grid.quantiles(days, _TAILS)
        return Ripeness(middle, low, high)


_TAILS = (0.5 * (1.0 - CONFIDENCE), 0.5, 0.5 * (1.0 + CONFIDENCE))


def updated(before: Estimate, events: Sequence[Event], noise: Noise | None = None) -> Update:
    """The estimate after the counts among some events.

    `events` in order of time, a Start first, as for `growthfit.fit_growth`; rate and ceiling are those of the place.
    The error of a count is that of `tally`, log-normal where only a density was written down, with `COUNT_ERROR` for
    the handling unless `noise` says otherwise. It may be up to twice as large; the scatter of the counts decides. A
    start density is taken from `planned_per_ml` where that is known and left to the counts where not. A spread of 0
    holds a figure as it is.
    Raises Undetermined when cells were counted under a ceiling of 0; ValueError without any event, without a Start at
    the beginning, or for a rate or ceiling of 0.
    Source: Bayes' rule; sums by the trapezoidal rule.

    >>> before = Estimate(0.5, 0.4, 1.1e6, 0.35)
    >>> counts = [Reading(0.0, 1e5), Reading(2.0, 2.7e5), Reading(5.0, 7.5e5)]
    >>> after = updated(before, [Start(0.0), *counts]).after
    >>> 0.5 < after.rate_per_day < 0.6, after.rate_spread < 0.7 * before.rate_spread
    (True, True)
    """
    if not events:
        raise ValueError("there is no event to begin with")
    if min(before.rate_per_day, before.ceiling_per_ml) <= 0.0:
        raise ValueError(
            f"rate {before.rate_per_day:g} and ceiling {before.ceiling_per_ml:g} must be above zero"
        )
    grid, found, covariance, deviation = _settled(
        before, _fillings(events, noise or Noise(handling=COUNT_ERROR))
    )
    both = float(np.prod(deviation))
    after = Estimate(
        rate_per_day=math.exp(found[0]),
        rate_spread=float(deviation[0]),
        ceiling_per_ml=math.exp(found[1]),
        ceiling_spread=float(deviation[1]),
        correlation=float(covariance[0, 1]) / both if both > 0.0 else 0.0,
    )
    counts = sum(isinstance(event, Reading) for event in events)
    return Update(before, after, counts, events[-1].day, grid)


def _settled(before: Estimate, fillings: Sequence[Filling]) -> tuple[Grid, Vector, Vector, Vector]:
    """A grid as fine as the estimate on it, with the mean, covariance and deviations of ln(rate) and ln(ceiling)."""
    middle, spread = _middle(before), np.array([before.rate_spread, before.ceiling_spread])
    for _ in range(_LAYINGS_MOST):
        grid = _laid(before, fillings, middle, spread)
        found, covariance = grid.moments()
        deviation = np.where(spread > 0.0, np.sqrt(np.diag(covariance)), 0.0)
        step = 2.0 * _REACH * spread / (_NODES - 1)
        narrower = np.minimum(spread, np.maximum(deviation, step))  # never finer than what was seen
        if bool(np.all(narrower >= _SETTLED * spread)):
            break
        middle, spread = found, narrower
    return grid, found, covariance, deviation


def _fillings(events: Sequence[Event], noise: Noise) -> list[Filling]:
    """The events, one list for every fresh start."""
    lists: list[list[Event]] = []
    for event in events:
        if isinstance(event, Start) or not lists:
            lists.append([])
        lists[-1].append(event)
    return [Filling(each, noise) for each in lists]


def _middle(estimate: Estimate) -> Vector:
    return np.array([math.log(estimate.rate_per_day), math.log(estimate.ceiling_per_ml)])


def _laid(before: Estimate, fillings: Sequence[Filling], middle: Vector, spread: Vector) -> Grid:
    """The grid around a middle, with the weight that estimate and counts give to every node."""
    z = np.linspace(-_REACH, _REACH, _NODES)
    axes = [m + s * z if s > 0.0 else np.array([m]) for m, s in zip(middle, spread, strict=True)]
    rate, ceiling = np.exp(axes[0])[:, None, None], np.exp(axes[1])[None, :, None]
    log_weight = _log_prior(before, axes[0][:, None], axes[1][None, :])[None, :, :, None]
    *past, present = fillings
    for filling in past:
        log_weight = log_weight + filling.log_likelihood(rate, ceiling)
    return present.grid(rate, ceiling, log_weight)


def _log_prior(before: Estimate, log_rate: Vector, log_ceiling: Vector) -> Vector:
    """ln of the density of the estimate before the counts, up to a constant."""
    middle = _middle(before)
    u = (log_rate - middle[0]) / before.rate_spread if before.rate_spread else np.zeros_like(log_rate)
    v = (
        (log_ceiling - middle[1]) / before.ceiling_spread
        if before.ceiling_spread
        else np.zeros_like(log_ceiling)
    )
    rest = 1.0 - before.correlation**2
    exponent: Vector = -0.5 * (u * u - 2.0 * before.correlation * u * v + v * v) / rest
    return exponent
