"""Tally: the error of a count, and a scale on which every count has an error of 1.

The variance of n counted cells is n (Poisson) plus the square of the handling error times n: settling, pipetting
and filling the chamber. On the scale used here it is 1 for any n. A density written down without its cells has a
stated relative error.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from greenrota.culture.bench.count import LARGE_SQUARE_ML
from greenrota.culture.fit.course import Reading

if TYPE_CHECKING:
    from numpy.typing import NDArray

HANDLING = 0.10  # our choice: relative error of sampling and filling the chamber, beside the counting
WRITTEN = 0.20  # our choice: relative error of a density that is written down without its cells
USUAL_SQUARES = 4.0  # common practice, no source: the four corner squares of a chamber
_OBSERVED = 3.0 / 8.0  # Anscombe (1948): added to a count before its root is taken
_EXPECTED = 1.0 / 8.0  # Anscombe (1948), inverted to first order: makes the score unbiased


@dataclass(frozen=True, slots=True)
class Noise:
    """Relative errors: `handling` beside the counting of cells, `written` of a density without its cells."""

    handling: float = HANDLING
    written: float = WRITTEN


def looked_at_ml(reading: Reading) -> float | None:
    """The culture (mL) looked through; a zero without its cells counts as no cell in four large squares."""
    if reading.looked_at_ml is None and reading.density_per_ml <= 0.0:
        return USUAL_SQUARES * LARGE_SQUARE_ML
    return reading.looked_at_ml


def observed_score(reading: Reading, noise: Noise) -> float:
    """The count on the scale of unit error.

    >>> round(observed_score(Reading(0.0, 250_000.0, 4e-4), Noise(handling=0.0)), 2)
    20.04
    """
    ml = looked_at_ml(reading)
    if ml is None:
        return math.log(reading.density_per_ml) / noise.written
    return _steadied(reading.density_per_ml * ml + _OBSERVED, noise.handling)


def expected_score(density_per_ml: float, reading: Reading, noise: Noise) -> tuple[float, float]:
    """A modelled density on the scale of the reading, and its derivative by the density; NaN passes through."""
    if not density_per_ml > 0.0:
        return math.nan, math.nan
    ml = looked_at_ml(reading)
    if ml is None:
        return math.log(density_per_ml) / noise.written, 1.0 / (density_per_ml * noise.written)
    cells = density_per_ml * ml + _EXPECTED
    return _steadied(cells, noise.handling), ml / math.sqrt(cells * (1.0 + noise.handling**2 * cells))


def expected_scores(density_per_ml: NDArray[Any], reading: Reading, noise: Noise) -> NDArray[Any]:
    """As `expected_score` for an array of densities above zero, without the derivative."""
    import numpy

    ml = looked_at_ml(reading)
    if ml is None:
        return numpy.asarray(numpy.log(density_per_ml) / noise.written)
    root = numpy.sqrt(density_per_ml * ml + _EXPECTED)
    if noise.handling <= 0.0:
        return numpy.asarray(2.0 * root)
    return numpy.asarray(2.0 / noise.handling * numpy.arcsinh(noise.handling * root))


def _steadied(cells: float, handling: float) -> float:
    """The transform whose variance is 1: Anscombe (1948), 2 sqrt(n), or asinh for Poisson with a relative error."""
    root = math.sqrt(cells)
    return 2.0 * root if handling <= 0.0 else 2.0 / handling * math.asinh(handling * root)
