"""Root of a rising function by halving the range in which it lies."""

from __future__ import annotations

from collections.abc import Callable


def rising_root(rising: Callable[[float], float], low: float, high: float, width: float) -> float:
    """Where a rising function crosses zero, to within `width`.

    `low`, `high` and `width` in the unit of the argument; a width below the spacing of floats ends at
    neighbouring floats. ValueError if the function is not <= 0 at `low` and >= 0 at `high`.
    Source: bisection, any textbook of numerical analysis.

    >>> round(rising_root(lambda x: x * x - 2.0, 0.0, 2.0, 1e-12), 9)
    1.414213562
    """
    if not (rising(low) <= 0.0 <= rising(high)):
        raise ValueError(f"no crossing between {low} and {high}")
    while high - low > width:
        middle = 0.5 * (low + high)
        if not low < middle < high:
            break
        if rising(middle) <= 0.0:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)
