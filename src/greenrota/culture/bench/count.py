"""Counting cells: density from a haemocytometer, with the exact interval that so few cells allow."""

import math
from typing import NamedTuple

from greenrota.culture.numeric.bracket import rising_root

LARGE_SQUARE_ML = 1e-4  # geometry of the chamber: 1 mm x 1 mm x 0.1 mm
CELLS_MAX = 1_000_000  # our choice: beyond any count by eye, and as far as the interval is checked
CONFIDENCE_MAX = 0.9999  # our choice: keeps the search bracket and the float tails safe
SPREADS = 10.0  # our choice: bracket of ten standard deviations, far past any allowed tail
SEARCH_RELATIVE = 1e-12  # our choice: width of the last bracket against the expected count


class CountDensity(NamedTuple):
    """Cells per mL of the culture (not of the diluted sample), with the ends of the interval."""

    density_per_ml: float
    low_per_ml: float
    high_per_ml: float


def poisson_interval(cells: int, confidence: float = 0.95) -> tuple[float, float]:
    """Exact interval for the expected count behind `cells` counted at random.

    Holds for 0..1,000,000 cells that are spread at random, confidence above 0 and up to 0.9999; ValueError
    names a value outside. Cells that clump vary more than this.
    Source: Garwood (1936), from memory: gamma quantiles of shape `cells` below and `cells` + 1 above,
    equal tails.

    >>> low, high = poisson_interval(100)
    >>> round(low, 2), round(high, 2)
    (81.36, 121.63)
    """
    if not 0 <= cells <= CELLS_MAX or cells != int(cells):
        raise ValueError(f"count of {cells} is not a whole number of 0..{CELLS_MAX} cells")
    if not 0.0 < confidence <= CONFIDENCE_MAX:
        raise ValueError(f"confidence {confidence} is not above 0 and up to {CONFIDENCE_MAX}")
    tail = 0.5 * (1.0 - confidence)
    low = _gamma_quantile(tail, cells) if cells else 0.0
    return low, _gamma_quantile(1.0 - tail, cells + 1)


def count_density(cells: int, squares: float, dilution: float, confidence: float = 0.95) -> CountDensity:
    """Density of a culture from cells counted in large squares (1 mm x 1 mm x 0.1 mm) of a haemocytometer.

    `squares` counted, above zero (five of the 25 fields of the middle square are 0.2); `dilution` 1 for
    undiluted, 2 for one part made up to two. ValueError names a value outside.
    Source: chamber geometry; interval by Garwood (1936), of the count alone (not of pipetting or clumping).

    >>> count_density(18, 4, 1.0).density_per_ml
    45000.0
    """
    density_per_ml = seen_per_ml(cells, squares, dilution)
    low, high = poisson_interval(cells, confidence)
    looked_at_ml = squares * LARGE_SQUARE_ML / dilution
    return CountDensity(density_per_ml, low / looked_at_ml, high / looked_at_ml)


def seen_per_ml(cells: float, squares: float, dilution: float) -> float:
    """The density alone that cells seen in large squares stand for, as in `count_density`; ValueError likewise.

    >>> seen_per_ml(61, 4, 2)
    305000.0
    """
    if not 0 <= cells <= CELLS_MAX or cells != int(cells):
        raise ValueError(f"count of {cells} is not a whole number of 0..{CELLS_MAX} cells")
    if not 0.0 < squares < float("inf"):
        raise ValueError(f"{squares} squares is not above zero")
    if not 1.0 <= dilution < float("inf"):
        raise ValueError(f"dilution {dilution} is below 1 (1 is undiluted)")
    return cells / (squares * LARGE_SQUARE_ML / dilution)


def _gamma_quantile(probability: float, shape: int) -> float:
    """Where the gamma distribution of this shape (1 or more) and scale 1 has so much below it."""
    reach = SPREADS * math.sqrt(shape)
    return rising_root(
        lambda x: _gamma_below(shape, x) - probability,
        max(0.0, shape - reach),
        shape + reach + SPREADS,
        SEARCH_RELATIVE * shape,
    )


def _gamma_below(shape: int, x: float) -> float:
    """Regularised lower incomplete gamma function P(shape, x), by its power series (DLMF 8.7.1, from memory).

    The series has only positive terms, so it loses nothing on either side of the middle; it takes about
    nine square roots of the shape in steps.
    """
    if x <= 0.0:
        return 0.0
    term = total = 1.0
    step = float(shape)
    while term > total * 1e-17 or step < x:  # terms grow while step < x
        step += 1.0
        term *= x / step
        total += term
    return math.exp(shape * math.log(x) - x - math.lgamma(shape + 1.0) + math.log(total))
