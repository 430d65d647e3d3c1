"""Quantiles for intervals and for judging scatter: normal, Student, chi-square."""

from __future__ import annotations

import math
from statistics import NormalDist

from greenrota.culture.numeric.bracket import rising_root

CONFIDENCE = 0.95  # of every interval of rate, ceiling, density and day; common practice, no source
_WIDEST = 1e6  # our choice: end of the search, beyond the quantile of one degree of freedom at 99.9999 %


def normal_deviation(confidence: float) -> float:
    """How many standard errors either way hold a share of the normal distribution; 0 < confidence < 1.

    >>> round(normal_deviation(0.95), 4)
    1.96
    """
    return NormalDist().inv_cdf(0.5 + 0.5 * confidence)


def student_deviation(confidence: float, dof: int) -> float:
    """As `normal_deviation` where the error was estimated with `dof` degrees of freedom (1 or more).

    ValueError for dof below 1. Source: Student (1908); finite sums of Abramowitz & Stegun (1964) 26.7.3 and 26.7.4,
    from memory.

    >>> round(student_deviation(0.95, 6), 4)
    2.4469
    """
    if dof < 1:
        raise ValueError(f"{dof} degrees of freedom tell nothing about the scatter")
    return rising_root(lambda t: _student_inside(t, dof) - confidence, 0.0, _WIDEST, 1e-10)


def _student_inside(t: float, dof: int) -> float:
    """The share of Student's distribution between -t and t."""
    angle = math.atan2(t, math.sqrt(dof))
    cosine_squared = math.cos(angle) ** 2
    term = total = 0.0 if dof == 1 else 1.0
    for k in range(2 if dof % 2 == 0 else 3, dof - 1, 2):
        term *= cosine_squared * (k - 1) / k
        total += term
    if dof % 2 == 0:
        return math.sin(angle) * total
    return 2.0 / math.pi * (angle + math.sin(angle) * math.cos(angle) * total)


def chi_square_quantile(share: float, dof: int) -> float:
    """The value a sum of `dof` squared standard errors stays below with a chance of `share`; dof >= 1.

    At 95 % good to 3 % for one degree of freedom and to 1 % from two on. Source: Wilson & Hilferty (1931), from memory.

    >>> round(chi_square_quantile(0.95, 10), 1)
    18.3
    """
    spread = 2.0 / (9.0 * dof)
    return dof * (1.0 - spread + NormalDist().inv_cdf(share) * math.sqrt(spread)) ** 3
