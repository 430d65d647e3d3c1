"""What the salinity leaves of the growth rate."""

from __future__ import annotations

import math


def salinity_factor(
    salinity_psu: float, min_psu: float, opt_low_psu: float, opt_high_psu: float, max_psu: float
) -> float:
    """Share of the best growth rate, 0..1, at a practical salinity.

    1 between the two optima, straight down to 0 at the minimum and the maximum, 0 outside; where an optimum
    meets its limit, the limit itself still counts as best. Limits in rising order, else ValueError names
    them; a salinity that is not a number is refused too. Source: the straight sides are our choice.

    >>> salinity_factor(15.0, 10.0, 20.0, 30.0, 40.0)
    0.5
    """
    if not min_psu <= opt_low_psu <= opt_high_psu <= max_psu:
        raise ValueError(
            f"salinity limits {min_psu}, {opt_low_psu}, {opt_high_psu}, {max_psu} psu are not in rising order"
        )
    if math.isnan(salinity_psu):
        raise ValueError(f"salinity {salinity_psu} psu is not a number")
    if opt_low_psu <= salinity_psu <= opt_high_psu:
        return 1.0
    if salinity_psu <= min_psu or salinity_psu >= max_psu:
        return 0.0
    if salinity_psu < opt_low_psu:
        return (salinity_psu - min_psu) / (opt_low_psu - min_psu)
    return (max_psu - salinity_psu) / (max_psu - opt_high_psu)
