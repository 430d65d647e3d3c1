"""Broth: the culture in a vessel, and the mass balance of growing, dosing, drawing and mixing.

A `Broth` is frozen; growing, dosing, drawing and mixing each make a new one. Volumes in L, densities in cells
per mL, nutrients in umol per L of culture counted together, dissolved and inside the cells.
"""

import math
from typing import NamedTuple

from greenrota.culture.data.strain import Strain
from greenrota.culture.growth.logistic import days_to_density, density

ML_PER_L = 1000.0  # a litre is a cubic decimetre (SI)
# cells/mL carried by 1 umol/L at 1 pmol/cell: 1e-6 mol/L = 1e-9 mol/mL over 1e-12 mol/cell (arithmetic)
CELLS_PER_UMOL_L_PER_PMOL = 1000.0


class Broth(NamedTuple):
    """Culture in a vessel or bottle. `lag_days` is the rest of the lag still to run."""

    volume_l: float
    density_per_ml: float
    nitrogen_umol_l: float
    phosphorus_umol_l: float
    silicon_umol_l: float
    salinity_psu: float
    lag_days: float = 0.0


class Ceiling(NamedTuple):
    """The density a culture can reach and what sets it, one of `_LIMITS`."""

    per_ml: float
    by: str


_LIMITS = ("bench", "nitrogen", "phosphorus", "silicon")


def bench_ceiling_per_ml(strain: Strain, volume_l: float) -> float:
    """Density that light and plain air carry in a vessel of this working volume (> 0), cells per mL.

    Holds between about 0.5 and 20 L, where vessels get less light per litre as they grow.
    Source: the strain's own ceiling and exponent, see `data/strains.toml`.
    """
    return strain.ceiling_per_ml * float((volume_l / strain.ceiling_volume_l) ** -strain.ceiling_exponent)


def ceiling(broth: Broth, strain: Strain, fill_l: float) -> Ceiling:
    """The lowest of the bench ceiling of a vessel with this working volume and what the nutrients can build.

    Ties go to the first named of bench, nitrogen, phosphorus, silicon. Source: Liebig's law of the minimum with
    the strain's quotas.
    """
    limits_per_ml = _limits_per_ml(broth, strain, fill_l)
    per_ml = min(limits_per_ml)
    return Ceiling(per_ml, _LIMITS[limits_per_ml.index(per_ml)])


def ceiling_per_ml(broth: Broth, strain: Strain, fill_l: float) -> float:
    """The density of `ceiling` alone, which is asked for more often than anything else."""
    return min(_limits_per_ml(broth, strain, fill_l))


def _limits_per_ml(broth: Broth, strain: Strain, fill_l: float) -> tuple[float, float, float, float]:
    """What each of `_LIMITS` allows; a nutrient that the strain does not need sets no limit."""
    n_pmol, p_pmol, si_pmol = strain.n_pmol, strain.p_pmol, strain.si_pmol
    return (
        bench_ceiling_per_ml(strain, fill_l),
        broth.nitrogen_umol_l * CELLS_PER_UMOL_L_PER_PMOL / n_pmol if n_pmol > 0.0 else math.inf,
        broth.phosphorus_umol_l * CELLS_PER_UMOL_L_PER_PMOL / p_pmol if p_pmol > 0.0 else math.inf,
        broth.silicon_umol_l * CELLS_PER_UMOL_L_PER_PMOL / si_pmol if si_pmol > 0.0 else math.inf,
    )


def grow(broth: Broth, ceiling_per_ml: float, rate_per_day: float, days: float) -> Broth:
    """The broth some days later, untouched: cells multiply, the lag runs down, totals stay.

    `days` of 0 or less change nothing. Growing a days and then b days equals growing a + b days.
    Source: `growth.density`.
    """
    if days <= 0.0:
        return broth
    return Broth(
        broth.volume_l,
        density(broth.density_per_ml, ceiling_per_ml, rate_per_day, days, broth.lag_days),
        broth.nitrogen_umol_l,
        broth.phosphorus_umol_l,
        broth.silicon_umol_l,
        broth.salinity_psu,
        max(0.0, broth.lag_days - days),
    )


def days_to_share(broth: Broth, share: float, ceiling_per_ml: float, rate_per_day: float) -> float:
    """Days until the density reaches a share (0..1) of the ceiling; 0.0 if it is there, inf if it never will.

    A ceiling of 0 (a diatom without silicate) is never reached. Source: `growth.days_to_density`.
    """
    goal_per_ml = share * ceiling_per_ml
    if goal_per_ml <= 0.0:
        return float("inf")
    if broth.density_per_ml >= goal_per_ml:
        return 0.0
    if broth.density_per_ml <= 0.0 or rate_per_day <= 0.0 or share >= 1.0:
        return float("inf")
    return days_to_density(broth.density_per_ml, goal_per_ml, ceiling_per_ml, rate_per_day, broth.lag_days)


def dose(broth: Broth, nitrogen_umol: float, phosphorus_umol: float, silicon_umol: float) -> Broth:
    """The broth after adding nutrients, in umol for the whole vessel (volume > 0); the dose adds no volume.

    Source: mass balance.
    """
    return Broth(
        broth.volume_l,
        broth.density_per_ml,
        broth.nitrogen_umol_l + nitrogen_umol / broth.volume_l,
        broth.phosphorus_umol_l + phosphorus_umol / broth.volume_l,
        broth.silicon_umol_l + silicon_umol / broth.volume_l,
        broth.salinity_psu,
        broth.lag_days,
    )


def draw(broth: Broth, volume_l: float) -> Broth:
    """What stays after taking out a volume (cells and water together); concentrations are unchanged.

    ValueError if more is drawn than the vessel holds (a nanolitre of rounding is forgiven).
    """
    left_l = broth.volume_l - volume_l
    if left_l < -1e-9:
        raise ValueError(f"{volume_l:g} L drawn from a vessel that holds {broth.volume_l:g} L")
    return Broth(
        max(0.0, left_l),
        broth.density_per_ml,
        broth.nitrogen_umol_l,
        broth.phosphorus_umol_l,
        broth.silicon_umol_l,
        broth.salinity_psu,
        broth.lag_days,
    )


def mix(first: Broth, second: Broth) -> Broth:
    """Two broths poured together: volume, cells, nutrients and salt are conserved; the longer lag counts.

    ValueError if both are empty. Source: mass balance; volumes are taken to add (error under 0.1 % of the mix).
    """
    a_l, b_l = first.volume_l, second.volume_l
    volume_l = a_l + b_l
    if volume_l <= 0.0:
        raise ValueError("nothing to mix: both volumes are zero")
    return Broth(
        volume_l,
        (first.density_per_ml * a_l + second.density_per_ml * b_l) / volume_l,
        (first.nitrogen_umol_l * a_l + second.nitrogen_umol_l * b_l) / volume_l,
        (first.phosphorus_umol_l * a_l + second.phosphorus_umol_l * b_l) / volume_l,
        (first.silicon_umol_l * a_l + second.silicon_umol_l * b_l) / volume_l,
        (first.salinity_psu * a_l + second.salinity_psu * b_l) / volume_l,
        max(first.lag_days, second.lag_days),
    )


def diluted(broth: Broth, seawater_l: float, salinity_psu: float) -> Broth:
    """A broth with so many litres of plain seawater poured in: as `mix` with `seawater`, in one step.

    ValueError if both are empty. Source: mass balance.
    """
    held_l = broth.volume_l
    volume_l = held_l + seawater_l
    if volume_l <= 0.0:
        raise ValueError("nothing to dilute: both volumes are zero")
    return Broth(
        volume_l,
        broth.density_per_ml * held_l / volume_l,
        broth.nitrogen_umol_l * held_l / volume_l,
        broth.phosphorus_umol_l * held_l / volume_l,
        broth.silicon_umol_l * held_l / volume_l,
        (broth.salinity_psu * held_l + salinity_psu * seawater_l) / volume_l,
        broth.lag_days,
    )


def seawater(volume_l: float, salinity_psu: float) -> Broth:
    """Plain seawater without cells or nutrients, ready to be mixed."""
    return Broth(volume_l, 0.0, 0.0, 0.0, 0.0, salinity_psu)


def leftover_umol_l(broth: Broth, strain: Strain) -> tuple[float, float]:
    """Dissolved nitrogen and phosphorus if every cell holds its quota: total - quota x density, not below zero."""
    cells = broth.density_per_ml / CELLS_PER_UMOL_L_PER_PMOL
    return (
        max(0.0, broth.nitrogen_umol_l - strain.n_pmol * cells),
        max(0.0, broth.phosphorus_umol_l - strain.p_pmol * cells),
    )
