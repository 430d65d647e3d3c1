"""Optical: density from a Secchi depth or a turbidity reading, through a person's own calibration pairs."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from greenrota.culture.numeric.quantile import CONFIDENCE, normal_deviation, student_deviation

PAIRED_ERROR = 0.20  # our choice: relative error of a density where two pairs leave no scatter to see
_LEVEL = 1e-9  # our choice: a slope of ln on ln below this is rounding


class OpticalDensity(NamedTuple):
    """A density in cells/mL read off a calibration line, with its 95 % interval.

    `interval_known` is False with two pairs: the ends then rest on a stated error of each pair. `outside` says on
    which side of the pairs the reading lies: "below", "above" or "".
    """

    density_per_ml: float
    low_per_ml: float
    high_per_ml: float
    exponent: float
    interval_known: bool
    outside: str


def density_from_reading(reading: float, pairs: Sequence[tuple[float, float]]) -> OpticalDensity:
    """Density (cells/mL) of a culture that gives a reading, from pairs of reading and counted density.

    A straight line of ln(density) on ln(reading); readings in any one unit (cm of Secchi depth, a meter's figure),
    all above zero. No law of optics stands behind the line, so nothing is extrapolated: a reading outside the pairs
    gets the density of the line at the nearest pair's reading and is marked `outside`.
    ValueError for a reading or pair not above zero, fewer than two different readings, or pairs that neither rise
    nor fall. Source: prediction interval of a straight line, any textbook of regression.

    >>> round(density_from_reading(15.0, [(10.0, 9e5), (20.0, 4.5e5)]).density_per_ml)
    600000
    """
    figures = [reading, *(figure for pair in pairs for figure in pair)]
    if not all(0.0 < figure < math.inf for figure in figures):
        raise ValueError("readings and densities must be above zero")
    x, y = np.log(np.array(pairs, dtype=float).reshape(-1, 2)).T
    if len(set(x.tolist())) < 2:
        raise ValueError("two pairs with different readings are the least that make a line")
    at, outside = _kept_inside(math.log(reading), float(x.min()), float(x.max()))
    middle = float(x.mean())
    spread = float(np.sum((x - middle) ** 2))
    exponent = float(np.sum((x - middle) * y)) / spread
    if abs(exponent) < _LEVEL:
        raise ValueError("the pairs neither rise nor fall: the reading tells nothing")
    straight = float(y.mean()) + exponent * (at - middle)
    off = y - y.mean() - exponent * (x - middle)
    dof = len(x) - 2
    if dof > 0:
        deviation = student_deviation(CONFIDENCE, dof) * math.sqrt(float(off @ off) / dof)
    else:
        deviation = normal_deviation(CONFIDENCE) * PAIRED_ERROR
    half = deviation * math.sqrt(1.0 + 1.0 / len(x) + (at - middle) ** 2 / spread)
    return OpticalDensity(
        math.exp(straight),
        math.exp(straight - half),
        math.exp(min(straight + half, 700.0)),  # e^700: the end of floats
        exponent,
        dof > 0,
        outside,
    )


def _kept_inside(at: float, lowest: float, highest: float) -> tuple[float, str]:
    if at < lowest:
        return lowest, "below"
    return (highest, "above") if at > highest else (at, "")
