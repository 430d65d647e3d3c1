"""Likelihood: how well every rate and ceiling of a grid agrees with the counts of one filling.

Arrays have the axes (error factor, rate, ceiling, start): the factor on the error of a count, the rate per day, the
ceiling in cells/mL, and the start density, or without a plan for it the density at the first count.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from greenrota.culture.fit.course import Event, Reading, Start, Turn
from greenrota.culture.fit.estimate import START_SPREAD
from greenrota.culture.fit.tally import Noise, expected_scores, looked_at_ml, observed_score
from greenrota.culture.growth.logistic import density
from greenrota.culture.numeric.least_squares import Vector
from greenrota.culture.numeric.undetermined import Undetermined

ERROR_FACTORS = np.array(
    [1.0, 1.5, 2.0]
)  # our choice: how much larger the error of a count may be than stated
_START_DOUBT = 0.05  # our choice: chance that the planned start density is wrong altogether
_START_WRONG = 1.0  # our choice: spread of the natural log then, a factor of 7 either way
_START_REACH = 3.0  # our choice: a start density further off than a factor of 20 is not looked for
_LEAST_ERROR = 0.02  # our choice: no count is surer than this, however many cells it holds
_NODES_APART = 0.6  # our choice: errors of a count between two start densities
_NODES = 41  # our choice: of the density at the first count
_REACH = 8.0  # our choice: stated errors of the first count from the middle of the grid to its end
_LEAST_CELLS = 0.5  # our choice: a count of none is looked for around half a cell


@dataclass(frozen=True, slots=True)
class Grid:
    """Rates, ceilings and densities that may be true, with weights that sum to 1.

    `log_rate` and `log_ceiling` are the axes. The others broadcast to (rate, ceiling, start): `ceiling_per_ml` is that
    of the filling, the nutrients' where they set it; `density_per_ml` at the last event, None if nothing is known of
    it. `weight` has the error factors in front. `lag_left_days` is the rest of the lag.
    """

    log_rate: Vector
    log_ceiling: Vector
    rate_per_day: Vector
    ceiling_per_ml: Vector
    density_per_ml: Vector | None
    weight: Vector
    lag_left_days: float

    def moments(self) -> tuple[Vector, Vector]:
        """Mean and covariance of ln(rate) and ln(ceiling)."""
        weight = self.weight.sum(axis=(0, 3))
        u, v = self.log_rate[:, None], self.log_ceiling[None, :]
        mean = np.array([float((weight * u).sum()), float((weight * v).sum())])
        u, v = u - mean[0], v - mean[1]
        cross = float((weight * u * v).sum())
        return mean, np.array(
            [[float((weight * u * u).sum()), cross], [cross, float((weight * v * v).sum())]]
        )

    def quantiles(self, values: Vector, chances: Sequence[float]) -> tuple[float, ...]:
        """The quantiles of some values at these chances (0..1); `values` broadcast to (rate, ceiling, start)."""
        weight = self.weight.sum(axis=0)
        flat = np.broadcast_to(values, weight.shape).ravel()
        order = np.argsort(flat)
        sorted_weight = weight.ravel()[order]
        below = np.cumsum(sorted_weight) - 0.5 * sorted_weight
        return tuple(float(value) for value in np.interp(chances, below, flat[order]))


class _Step(NamedTuple):
    """Days of growth under a cap of the nutrients, then a share kept and perhaps a count."""

    days: float
    cap_per_ml: float
    share: float
    reading: Reading | None


class Filling:
    """A fresh start and what followed it: days of growth, shares kept and counts, in order."""

    def __init__(self, events: Sequence[Event], noise: Noise) -> None:
        start = events[0]
        if not isinstance(start, Start):
            raise ValueError("the first event is not a fresh start")
        self.noise = noise
        self.planned_per_ml = start.planned_per_ml
        self.readings = [event for event in events if isinstance(event, Reading)]
        self.cap_per_ml, self.lag_left_days = start.cap_per_ml, start.lag_days
        steps: list[_Step] = []
        day = start.day
        for event in events[1:]:
            grown = max(0.0, event.day - day - self.lag_left_days)
            self.lag_left_days = max(0.0, self.lag_left_days - (event.day - day))
            day = event.day
            if isinstance(event, Reading):
                steps.append(_Step(grown, self.cap_per_ml, 1.0, event))
            else:
                share = event.share if isinstance(event, Turn) else 1.0
                steps.append(_Step(grown, self.cap_per_ml, share, None))
                self.cap_per_ml = event.cap_per_ml
        self._steps = steps
        if self.planned_per_ml is None:  # what was before the first count does not matter then
            first = next((n for n, step in enumerate(steps) if step.reading is not None), len(steps))
            self._steps = [step._replace(days=0.0) for step in steps[first : first + 1]] + steps[first + 1 :]

    def log_likelihood(self, rate_per_day: Vector, ceiling_per_ml: Vector) -> Vector:
        """ln of the chance of the counts, up to a constant, summed over the start densities; 0 without counts."""
        if not self.readings:
            return np.zeros((1, 1, 1, 1))
        _, log_weight = self._run(rate_per_day, ceiling_per_ml)
        most = log_weight.max(axis=3, keepdims=True)
        most = np.where(np.isfinite(most), most, 0.0)
        with np.errstate(divide="ignore"):
            summed: Vector = most + np.log(np.exp(log_weight - most).sum(axis=3, keepdims=True))
        return summed

    def grid(self, rate_per_day: Vector, ceiling_per_ml: Vector, log_weight: Vector) -> Grid:
        """The grid after this filling, from the ln of the weights before it.

        Undetermined when cells were counted under a ceiling of 0.
        """
        now: Vector | None = None
        if self.readings or self.planned_per_ml:
            now, own = self._run(rate_per_day, ceiling_per_ml)
            log_weight = log_weight + own
        most = float(log_weight.max())
        if not math.isfinite(most):
            raise Undetermined("cells were counted where none can be: a nutrient is missing altogether")
        weight = np.exp(log_weight - most)
        return Grid(
            log_rate=np.log(rate_per_day).ravel(),
            log_ceiling=np.log(ceiling_per_ml).ravel(),
            rate_per_day=rate_per_day,
            ceiling_per_ml=np.minimum(ceiling_per_ml, self.cap_per_ml),
            density_per_ml=now,
            weight=weight / weight.sum(),
            lag_left_days=self.lag_left_days,
        )

    def _run(self, rate: Vector, ceiling: Vector) -> tuple[Vector, Vector]:
        """Densities after the last event, and ln of the weight of every node by plan and counts."""
        log_first, by_plan = self._first()
        now: Vector = np.exp(log_first)[None, None, :] * np.ones((rate.size, ceiling.size, 1))
        squares = np.zeros(now.shape)
        for days, cap, share, reading in self._steps:
            now = density(now, np.minimum(ceiling, cap), rate, np.asarray(days))
            if reading is not None:
                with np.errstate(divide="ignore"):  # no cells are left where a nutrient is missing altogether
                    expected = expected_scores(now, reading, self.noise)
                squares += (expected - observed_score(reading, self.noise)) ** 2
            now = now * share
        factor = ERROR_FACTORS[:, None, None, None]
        return now, by_plan - 0.5 * squares / factor**2 - len(self.readings) * np.log(factor)

    def _first(self) -> tuple[Vector, Vector]:
        """ln of the densities to begin with, and ln of their weight by the plan.

        Around the planned start, with nodes close enough for the error of a count; without a plan around the first
        count, all of one weight.
        """
        if self.planned_per_ml is not None:
            error = min(self.noise.written, math.hypot(self.noise.handling, _LEAST_ERROR))
            nodes = max(_NODES, math.ceil(2.0 * _START_REACH / (_NODES_APART * error)))
            off = np.linspace(-_START_REACH, _START_REACH, nodes)
            right = (1.0 - _START_DOUBT) / START_SPREAD * np.exp(-0.5 * (off / START_SPREAD) ** 2)
            wrong = _START_DOUBT / _START_WRONG * np.exp(-0.5 * (off / _START_WRONG) ** 2)
            return math.log(self.planned_per_ml) + off, np.log(right + wrong)
        reading = self.readings[0]
        ml = looked_at_ml(reading)
        if ml is None:
            middle, error = math.log(reading.density_per_ml), self.noise.written
        else:
            cells = max(reading.density_per_ml * ml, _LEAST_CELLS)
            middle, error = math.log(cells / ml), math.hypot(1.0 / math.sqrt(cells), self.noise.handling)
        return middle + error * np.linspace(-_REACH, _REACH, _NODES), np.zeros(_NODES)
