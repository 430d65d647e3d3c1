"""Tolerance: the share of the best growth rate that a temperature or a salinity leaves, 0..1."""

from __future__ import annotations

import math


def cardinal_factor(temperature_c: float, t_min_c: float, t_opt_c: float, t_max_c: float) -> float:
    """Share of the best growth rate, 0..1, at a temperature.

    Temperatures in degC. Nothing grows at or outside the cardinal temperatures t_min and t_max; 1 at t_opt.
    Holds for t_min < t_opt < t_max with t_opt above the middle of the other two; otherwise ValueError names
    t_opt. A temperature that is not a number is refused too.
    Source: CTMI, Rosso, Lobry & Flandrois (1993), used for microalgae by Bernard & Remond (2012).

    >>> round(cardinal_factor(20.0, 0.2, 26.7, 33.3), 5)
    0.74527
    """
    if not (t_min_c + t_max_c) / 2.0 < t_opt_c < t_max_c:
        raise ValueError(
            f"best temperature {t_opt_c} degC is not in the upper half of {t_min_c}..{t_max_c} degC"
        )
    if math.isnan(temperature_c):
        raise ValueError(f"temperature {temperature_c} degC is not a number")
    if not t_min_c < temperature_c < t_max_c:
        return 0.0
    rise = t_opt_c - t_min_c
    above = (temperature_c - t_max_c) * (temperature_c - t_min_c) ** 2
    below = rise * (
        rise * (temperature_c - t_opt_c) - (t_opt_c - t_max_c) * (t_opt_c + t_min_c - 2.0 * temperature_c)
    )
    return min(1.0, above / below)


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
