"""Estimate: rate and ceiling of a culture with their spreads, and how sure a planned start density is."""

import math
from typing import NamedTuple

from greenrota.culture.data.strain import Strain
from greenrota.culture.numeric.quantile import CONFIDENCE, normal_deviation

START_SPREAD = 0.3  # our choice: standard deviation of ln(start density) about what was planned


class Estimate(NamedTuple):
    """What is known of the rate (per day) and the ceiling (cells/mL) of a culture.

    Both are log-normal: `rate_per_day` and `ceiling_per_ml` are medians, the spreads standard deviations of the
    natural log, `correlation` (-1..1) that of the two logs.
    """

    rate_per_day: float
    rate_spread: float
    ceiling_per_ml: float
    ceiling_spread: float
    correlation: float = 0.0

    @property
    def rate_range_per_day(self) -> tuple[float, float]:
        """Ends of the 95 % interval of the rate."""
        return _ends(self.rate_per_day, self.rate_spread)

    @property
    def ceiling_range_per_ml(self) -> tuple[float, float]:
        """Ends of the 95 % interval of the ceiling."""
        return _ends(self.ceiling_per_ml, self.ceiling_spread)


def estimate_of_strain(strain: Strain, rate_per_day: float, ceiling_per_ml: float) -> Estimate:
    """The estimate before any count: rate and ceiling as they are in this place, with the spreads of the strain.

    `rate_per_day` has the factors of temperature, light and salinity in it; `ceiling_per_ml` is the lowest of the
    ceilings. Source: the strain's spreads, see `data/strains.toml`.

    >>> from greenrota.culture.data.strain import strains
    >>> low, high = estimate_of_strain(strains()["tetraselmis"], 0.5, 1.1e6).rate_range_per_day
    >>> round(low, 2), round(high, 2)
    (0.23, 1.1)
    """
    return Estimate(rate_per_day, strain.rate_spread, ceiling_per_ml, strain.ceiling_spread)


def far_from_plan(found_per_ml: float, planned_per_ml: float, relative_error: float) -> bool:
    """True if the start density that counts have shown can hardly be the one that was planned.

    `relative_error` is that of the density found; the plan is good to `START_SPREAD`. Far is outside the 95 % interval
    of the two together. ValueError unless both densities are above zero and the error is not below.
    Source: difference of two normal logs.

    >>> far_from_plan(8.7e4, 7.5e5, 0.2), far_from_plan(8.7e4, 1.2e5, 0.2)
    (True, False)
    """
    if not (found_per_ml > 0.0 and planned_per_ml > 0.0 and relative_error >= 0.0):
        raise ValueError("both start densities must be above zero, and the error not below")
    apart = abs(math.log(found_per_ml / planned_per_ml))
    return apart > normal_deviation(CONFIDENCE) * math.hypot(relative_error, START_SPREAD)


def _ends(median: float, spread: float) -> tuple[float, float]:
    factor = math.exp(normal_deviation(CONFIDENCE) * spread)
    return median / factor, median * factor
