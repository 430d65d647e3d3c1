"""Seawater at the surface: density, specific gravity and salinity.

Temperatures are degC on today's scale (ITS-90); salinity is practical salinity (psu).
Which reference a hydrometer uses moves a salinity by up to 4.5 psu and the sample's temperature by about
0.4 psu per degC, while another equation of state would move it by less than 0.01 psu.
"""

import math
from typing import NamedTuple

from greenrota.culture.numeric.bracket import rising_root

T68_PER_T90 = 1.00024  # IPTS-68 from ITS-90, Saunders 1990 (author from memory); EOS-80 stands on IPTS-68
PURE_WATER = (  # kg/m3, powers of T68: UNESCO 44 (Fofonoff & Millard 1983), eq. 14
    999.842594,
    6.793952e-2,
    -9.095290e-3,
    1.001685e-4,
    -1.120083e-6,
    6.536332e-9,
)
SALT_LINEAR = (8.24493e-1, -4.0899e-3, 7.6438e-5, -8.2467e-7, 5.3875e-9)  # UNESCO 44, eq. 13, factor of S
SALT_ROOT = (-5.72466e-3, 1.0227e-4, -1.6546e-6)  # UNESCO 44, eq. 13, factor of S ** 1.5
SALT_SQUARE = 4.8314e-4  # UNESCO 44, eq. 13, factor of S ** 2
SALINITY_MAX_PSU = 43.0  # Millero & Poisson 1981: 0.5..43 psu (copy); at 0 it is the pure-water equation
TEMPERATURE_MAX_C = 40.0  # Millero & Poisson 1981: 0..40 degC (copy)
REFERENCE_G_PER_KG_PER_PSU = 35.16504 / 35.0  # TEOS-10; Millero et al. 2008 (from memory)
SEARCH_WIDTH_PSU = 1e-10  # our choice: far below what any instrument shows
EDGE_RELATIVE = 1e-12  # our choice: rounding allowed where a reading meets an end of the salinity range


class Hydrometer(NamedTuple):
    """What a specific-gravity reading compares: seawater at `sample_c`, water at `reference_c` (degC).

    "25C/25C" is Hydrometer(25.0, 25.0); "20C/4C" is Hydrometer(20.0, 4.0).
    """

    sample_c: float
    reference_c: float


def density_kg_per_m3(salinity_psu: float, temperature_c: float) -> float:
    """Density of seawater at one atmosphere, kg/m3.

    Practical salinity 0..43 and degC (ITS-90) 0..40; ValueError names a value outside.
    Source: EOS-80, Millero & Poisson (1981); coefficients of UNESCO 44 (Fofonoff & Millard 1983),
    eqs. 13 and 14. The equation's own standard error is 0.0036 kg/m3.

    >>> round(density_kg_per_m3(35.0, 25.0), 3)
    1023.341
    """
    _check_salinity(salinity_psu)
    _check_temperature(temperature_c)
    t68_c = T68_PER_T90 * temperature_c
    return (
        _polynomial(PURE_WATER, t68_c)
        + _polynomial(SALT_LINEAR, t68_c) * salinity_psu
        + _polynomial(SALT_ROOT, t68_c) * salinity_psu * math.sqrt(salinity_psu)
        + SALT_SQUARE * salinity_psu * salinity_psu
    )


def reference_salinity_g_per_kg(salinity_psu: float) -> float:
    """Grams of dissolved salt in a kilogram of seawater of a practical salinity (0..43).

    Holds for salts in ocean proportion. ValueError names a salinity outside.
    Source: TEOS-10, reference composition, 35.16504 g/kg at 35.

    >>> round(reference_salinity_g_per_kg(25.0), 4)
    25.1179
    """
    _check_salinity(salinity_psu)
    return REFERENCE_G_PER_KG_PER_PSU * salinity_psu


def gravity_from_salinity(
    salinity_psu: float, hydrometer: Hydrometer, sample_c: float | None = None
) -> float:
    """What a hydrometer shows in seawater of a practical salinity.

    `sample_c` is the water's temperature if it is not the one the instrument is made for. That the instrument
    itself swells is left out: glass by about 25e-6 a degC (from memory), 0.0001 of a reading over 4 degC.
    Salinity 0..43, all temperatures 0..40 degC; ValueError names a value outside.
    Source: definition of specific gravity over EOS-80.

    >>> round(gravity_from_salinity(35.0, Hydrometer(25.0, 25.0)), 4)
    1.0264
    """
    water_c = hydrometer.sample_c if sample_c is None else sample_c
    _check_temperature(hydrometer.sample_c)
    reference_kg_per_m3 = density_kg_per_m3(0.0, hydrometer.reference_c)
    return density_kg_per_m3(salinity_psu, water_c) / reference_kg_per_m3


def salinity_from_gravity(gravity: float, hydrometer: Hydrometer, sample_c: float | None = None) -> float:
    """Practical salinity of seawater in which a hydrometer shows `gravity`; undoes `gravity_from_salinity`.

    Same arguments and ranges; ValueError names a reading that no salinity of 0..43 gives, or a temperature
    outside.
    Source: EOS-80 solved for salinity by halving the range, to 1e-10 psu.

    >>> round(salinity_from_gravity(1.020, Hydrometer(25.0, 25.0)), 2)
    26.57
    >>> round(salinity_from_gravity(1.020, Hydrometer(20.0, 4.0)), 2)
    28.71
    """

    def shown(salinity_psu: float) -> float:
        return gravity_from_salinity(salinity_psu, hydrometer, sample_c)

    lowest, highest = shown(0.0), shown(SALINITY_MAX_PSU)
    if not lowest * (1.0 - EDGE_RELATIVE) <= gravity <= highest * (1.0 + EDGE_RELATIVE):
        raise ValueError(
            f"specific gravity {gravity} is outside {lowest:.4f}..{highest:.4f}, "
            f"what 0..{SALINITY_MAX_PSU:g} psu show at these temperatures"
        )
    wanted = min(max(gravity, lowest), highest)
    return rising_root(lambda psu: shown(psu) - wanted, 0.0, SALINITY_MAX_PSU, SEARCH_WIDTH_PSU)


def _check_salinity(salinity_psu: float) -> None:
    if not 0.0 <= salinity_psu <= SALINITY_MAX_PSU:
        raise ValueError(f"salinity {salinity_psu} psu is outside 0..{SALINITY_MAX_PSU:g} psu")


def _check_temperature(temperature_c: float) -> None:
    if not 0.0 <= temperature_c <= TEMPERATURE_MAX_C:
        raise ValueError(f"temperature {temperature_c} degC is outside 0..{TEMPERATURE_MAX_C:g} degC")


def _polynomial(coefficients: tuple[float, ...], argument: float) -> float:
    total = 0.0
    for coefficient in reversed(coefficients):
        total = total * argument + coefficient
    return total
