"""Band: the fitted course of a vessel on a fine grid, with its 95 % band, for a chart."""

from __future__ import annotations

from itertools import pairwise
from typing import NamedTuple

import numpy as np

from greenrota.culture.fit.course import Event, Reading, Turn
from greenrota.culture.fit.growthfit import GrowthFit, curve_error
from greenrota.culture.fit.growthmodel import Model
from greenrota.culture.fit.tally import Noise
from greenrota.culture.numeric.quantile import CONFIDENCE, normal_deviation


class BandPoint(NamedTuple):
    """The fitted density on a day (counted from the first event) and where the true curve may lie."""

    day: float
    density_per_ml: float
    low_per_ml: float
    high_per_ml: float


def band(fit: GrowthFit, steps_per_day: int = 4) -> list[BandPoint]:
    """The fitted curve from the first event to the last, through every dilution.

    `steps_per_day` points a day, and two where a dilution changes the density. The band is that of the curve; a further
    count scatters more. Source: delta method on ln(density), normal deviation.

    >>> from greenrota.culture.fit.course import Start
    >>> from greenrota.culture.fit.growthfit import fit_growth
    >>> counts = [(0, 1.0e5), (2, 2.5e5), (4, 5.6e5), (8, 1.5e6), (12, 1.9e6)]
    >>> fit = fit_growth([Start(0.0), *(Reading(float(day), count) for day, count in counts)], 0.7, 1e6)
    >>> len(band(fit, 1))
    13
    """
    events: list[Event] = []
    grid: list[bool] = []  # for every reading in `events`: True for a point of the grid, False for a count
    for event, after in pairwise((*fit.events, fit.events[-1])):
        events.append(event)
        grid += [False] if isinstance(event, Reading) else []
        ends = [after.day] if isinstance(after, Turn) or event is after else []
        days = [event.day + n / steps_per_day for n in range(int((after.day - event.day) * steps_per_day))]
        events += [Reading(day, 0.0) for day in (*days, *ends)]
        grid += [True] * (len(days) + len(ends))
    model = Model(events, Noise(), fit_lag=len(fit.theta) > 2 + len(fit.starts))
    densities, slopes = model.densities(fit.theta)
    spread = curve_error(slopes, fit.covariance) / densities
    half = np.exp(np.minimum(normal_deviation(CONFIDENCE) * spread, 700.0))  # e^700: the end of floats
    points = zip(model.readings, grid, densities.tolist(), half.tolist(), strict=True)
    return [BandPoint(r.day, n, n / h, n * h) for r, own, n, h in points if own]
