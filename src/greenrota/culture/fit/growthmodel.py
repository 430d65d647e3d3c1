"""Growth model: the residuals of a series of counts and their derivatives, for a least-squares fit.

Parameters in order: the rate, the crowding (1 / ceiling, in units of 1 / the densest count), a lag if one is fitted,
and ln(start density) of every fresh start.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from greenrota.culture.fit.course import Event, Reading, Start, course
from greenrota.culture.fit.tally import Noise, expected_score, observed_score
from greenrota.culture.numeric.least_squares import Vector

RATE, CROWDING, LAG = 0, 1, 2
LAG_GUESS_DAYS = 0.5  # our choice: short, so that a first count a day after the start lies behind it
_LOG_MOST = 100.0  # e^100 cells/mL: no density, and exp() may overflow


class Model:
    """Residuals of a series of events and their derivatives, for parameters in the order of the module."""

    def __init__(self, events: Sequence[Event], noise: Noise, fit_lag: bool = False) -> None:
        self.events = tuple(events)
        self.noise = noise
        self.readings = [event for event in events if isinstance(event, Reading)]
        self.starts = sum(isinstance(event, Start) for event in events)
        self.first_start = 3 if fit_lag else 2
        self.size = self.first_start + self.starts
        counted = [reading.density_per_ml for reading in self.readings]
        self.scale = max([*counted, 1.0])  # crowding is fitted in units of 1 / the densest count
        self._observed = np.array([observed_score(reading, noise) for reading in self.readings])
        self._at: Vector | None = None
        self._both: tuple[Vector, Vector] = (np.empty(0), np.empty(0))

    def residuals(self, theta: Vector) -> Vector:
        """(modelled - counted) / error of every reading."""
        return self._evaluated(theta)[0]

    def slopes(self, theta: Vector) -> Vector:
        """Derivatives of the residuals, a row for every reading."""
        return self._evaluated(theta)[1]

    def densities(self, theta: Vector) -> tuple[Vector, Vector]:
        """Modelled densities at the readings, and their derivatives."""
        fit_lag = self.first_start == 3
        lag = float(theta[2]) if fit_lag else None
        logs = [float(value) for value in theta[self.first_start :]]
        points = course(self.events, float(theta[RATE]), float(theta[CROWDING]) / self.scale, logs, lag)
        density, by_rate, by_crowding, by_log_start, by_lag, start = np.array(points).T
        slopes = np.zeros((len(points), self.size))
        slopes[:, RATE], slopes[:, CROWDING] = by_rate, by_crowding / self.scale
        if fit_lag:
            slopes[:, LAG] = by_lag
        slopes[np.arange(len(points)), self.first_start + start.astype(int)] = by_log_start
        return density, slopes

    def _evaluated(self, theta: Vector) -> tuple[Vector, Vector]:
        if self._at is None or not np.array_equal(self._at, theta):
            if np.any(np.abs(theta[self.first_start :]) > _LOG_MOST):
                return np.full(len(self.readings), np.nan), np.full((len(self.readings), self.size), np.nan)
            densities, slopes = self.densities(theta)
            scores = [
                expected_score(float(density), reading, self.noise)
                for density, reading in zip(densities, self.readings, strict=True)
            ]
            expected, by_density = np.array(scores).T
            self._at = theta.copy()
            self._both = expected - self._observed, slopes * by_density[:, None]
        return self._both


def counted_only(events: Sequence[Event]) -> tuple[Event, ...]:
    """The events without the fresh starts (and what followed them) of which nothing was counted."""
    chains: list[list[Event]] = []
    for event in events:
        if isinstance(event, Start):
            chains.append([])
        chains[-1].append(event)
    return tuple(e for chain in chains if any(isinstance(e, Reading) for e in chain) for e in chain)


def first_guess(model: Model, rate_per_day: float, crowding_ml: float) -> Vector:
    """Parameters to search from: each start density as the first count after it suggests."""
    theta = np.zeros(model.size)
    theta[RATE], theta[CROWDING] = rate_per_day, crowding_ml * model.scale
    theta[2 : model.first_start] = LAG_GUESS_DAYS
    points = course(model.events, rate_per_day, 0.0, [0.0] * model.starts)
    for point, reading in reversed(list(zip(points, model.readings, strict=True))):
        counted = max(reading.density_per_ml, 1e-3 * model.scale)
        theta[model.first_start + point.start] = math.log(counted / point.density_per_ml)
    return theta


def sum_of_squares(model: Model, theta: Vector) -> float:
    """Sum of squared residuals; not finite outside the model."""
    off = model.residuals(theta)
    return float(off @ off)
