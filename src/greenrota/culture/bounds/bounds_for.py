"""Plausible values that depend on a medium or a strain: label doses, densities, own rates and ceilings."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from greenrota.culture.bounds.bounds import Bounds
from greenrota.culture.bounds.plausible import DENSITY, DOSE, RATE
from greenrota.culture.data.medium import Medium
from greenrota.culture.data.strain import Strain

PACKED_SHARE = 0.64  # of the space that spheres poured together fill; from memory
DENSEST_CARBON_PG_PER_UM3 = (
    0.4  # our choice: above the 0.36 of P. tricornutum (14.4 pg C, 40 um3 in FAO 471, copy)
)
UM3_PER_ML = 1e12  # arithmetic
NITROGEN_MOST_UMOL_L = 20e6  # in one bottle: saturated ammonium nitrate at 20 degC, about 19e6; from memory
TYPICAL_DOSE_ML_PER_L: Mapping[str, float] = MappingProxyType(
    {
        "f/2": 0.2,  # common practice, no source: bottles sold for a home shelf
        "f/2-Si": 0.2,  # as f/2
        "L1": 0.2,  # as f/2: the same nitrate and phosphate
        "Walne": 1.0,  # Walne 1970: 10 mL of nutrient solution for 10 L, seen in a copy
    }
)


def dose_bounds(medium: Medium | None) -> Bounds:
    """Label doses that a bottle of a medium can have, in mL/L; None: a medium that is not known.

    No bottle holds more nitrogen than dissolves, so a rich medium has a least dose. The usual range of a medium
    that ships is half to five times its typical dose, our choice.
    """
    if medium is None:
        return DOSE
    least = 1000.0 * medium.nitrogen_umol_l / NITROGEN_MOST_UMOL_L
    bounds = DOSE
    if least > DOSE.least:
        reason = f"{medium.name} needs more nitrogen than dissolves in a smaller dose"
        bounds = DOSE._replace(least=least, usual_low=max(least, DOSE.usual_low), reason=reason)
    typical = TYPICAL_DOSE_ML_PER_L.get(medium.name)
    if typical is None:
        return bounds
    return bounds._replace(
        usual_low=max(bounds.least, 0.5 * typical),
        usual_high=5.0 * typical,
        typical=typical,
        of=f"the usual dose of {medium.name}",
    )


def packing_limit_per_ml(carbon_pg: float) -> float:
    """Density at which cells touch, cells/mL: more do not fit. `carbon_pg` is the carbon of one cell, above 0.

    The cell is taken as small as its carbon allows, so the limit is on the safe side.
    Source: derived by hand from the share that packed spheres fill.

    >>> round(packing_limit_per_ml(60.0) / 1e9, 2)
    4.27
    """
    return PACKED_SHARE * UM3_PER_ML * DENSEST_CARBON_PG_PER_UM3 / carbon_pg


def starter_bounds(strain: Strain) -> Bounds:
    """Densities of a bottle of starter: usual is 1/20 of the strain's ceiling to 10 times, our choice."""
    return _against_ceiling(strain, strain.ceiling_per_ml, 0.05, 10.0)


def count_bounds(strain: Strain, ceiling_per_ml: float) -> Bounds:
    """Densities of a vessel with this bench ceiling: usual is 1/500 of it to 5 times, our choice."""
    return _against_ceiling(strain, ceiling_per_ml, 0.002, 5.0)


def ceiling_bounds(built_in: Strain) -> Bounds:
    """Own ceilings for a strain: usual is 1/5 of the ceiling that ships to 5 times, our choice."""
    return _against_ceiling(built_in, built_in.ceiling_per_ml, 0.2, 5.0)._replace(
        code="unusual-ceiling", what="ceiling"
    )


def rate_bounds(built_in: Strain) -> Bounds:
    """Own rates for a strain: usual is 1/4 of the rate that ships to 4 times, our choice."""
    typical = built_in.rate_per_day
    return RATE._replace(
        usual_low=0.25 * typical,
        usual_high=min(RATE.most, 4.0 * typical),
        typical=typical,
        of=f"the rate of {built_in.name}",
    )


def _against_ceiling(strain: Strain, ceiling_per_ml: float, low: float, high: float) -> Bounds:
    limit = packing_limit_per_ml(strain.carbon_pg)
    most = min(DENSITY.most, limit)
    reason = f"more cells of {strain.name} do not fit side by side" if limit <= DENSITY.most else ""
    return DENSITY._replace(
        usual_low=low * ceiling_per_ml,
        usual_high=high * ceiling_per_ml,
        most=most,
        typical=ceiling_per_ml,
        of=f"the ceiling of {strain.name}",
        reason=reason,
    )
