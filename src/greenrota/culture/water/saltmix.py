"""Mixing seawater: dry salt for a volume, dilution of stronger seawater, fresh water for what evaporated.

All by mass balance; litres are litres at the stated temperature, so two volumes need not add up exactly.
"""

from typing import NamedTuple

from greenrota.culture.water.seawater import density_kg_per_m3, reference_salinity_g_per_kg

HYDRATION_MAX = 0.30  # our choice: twice the 14.9 % of the Kester et al. 1967 recipe weighed as hydrates


class Dilution(NamedTuple):
    """Litres of the stronger seawater and of fresh water that make the wanted seawater."""

    strong_l: float
    fresh_l: float


def salt_g(volume_l: float, salinity_psu: float, temperature_c: float, hydration: float) -> float:
    """Grams of dry mix in a finished volume of seawater.

    `volume_l` is the seawater, not the water the salt goes into; `hydration` is the share of the dry mix that
    is bound water (0..0.30). Salinity 0..43 psu, 0..40 degC. ValueError names a value outside.
    Holds for salts in ocean proportion; the salinity that is measured afterwards is more reliable.
    Source: density (EOS-80) times reference salinity (Millero et al. 2008).

    >>> round(salt_g(1.0, 26.57, 25.0, 0.10), 2)
    30.17
    """
    _check_volume(volume_l)
    if not 0.0 <= hydration <= HYDRATION_MAX:
        raise ValueError(f"hydration {hydration} is outside 0..{HYDRATION_MAX}")
    dissolved_g = _mass_kg(volume_l, salinity_psu, temperature_c) * reference_salinity_g_per_kg(salinity_psu)
    return dissolved_g / (1.0 - hydration)


def dilution(volume_l: float, salinity_psu: float, strong_psu: float, temperature_c: float) -> Dilution:
    """Litres of stronger seawater and of fresh water for `volume_l` of seawater at `salinity_psu`.

    Salinities 0..43 psu, all water at `temperature_c` (0..40 degC). ValueError names a value outside, or a
    goal saltier than the source. Source: mass balance of salt and water over EOS-80 densities.

    >>> mix = dilution(4.0, 26.57, 35.0, 25.0)
    >>> round(mix.strong_l, 3), round(mix.fresh_l, 3)
    (3.018, 0.983)
    """
    _check_volume(volume_l)
    if not strong_psu > 0.0 or salinity_psu > strong_psu:
        raise ValueError(f"seawater of {strong_psu} psu cannot be diluted to {salinity_psu} psu")
    total_kg = _mass_kg(volume_l, salinity_psu, temperature_c)
    strong_kg = total_kg * (
        salinity_psu / strong_psu
    )  # in this order rounding never gives more than total_kg
    return Dilution(
        strong_l=_volume_l(strong_kg, strong_psu, temperature_c),
        fresh_l=_volume_l(total_kg - strong_kg, 0.0, temperature_c),
    )


def top_up_l(volume_l: float, salinity_psu: float, goal_psu: float, temperature_c: float) -> float:
    """Litres of fresh water that bring `volume_l` of seawater from `salinity_psu` down to `goal_psu`.

    Fresh water only: what evaporated left its salt behind. Salinities above 0 and up to 43 psu, 0..40 degC.
    ValueError names a value outside, or a goal saltier than the water.
    Source: mass balance over EOS-80 densities.

    >>> round(top_up_l(3.8, 27.94, 26.57, 25.0), 2)
    0.2
    """
    _check_volume(volume_l)
    if not 0.0 < goal_psu <= salinity_psu:
        raise ValueError(f"fresh water cannot bring {salinity_psu} psu to {goal_psu} psu")
    now_kg = _mass_kg(volume_l, salinity_psu, temperature_c)
    return _volume_l(now_kg * (salinity_psu / goal_psu - 1.0), 0.0, temperature_c)


def _check_volume(volume_l: float) -> None:
    if not 0.0 < volume_l < float("inf"):
        raise ValueError(f"volume {volume_l} L is not above zero")


def _mass_kg(volume_l: float, salinity_psu: float, temperature_c: float) -> float:
    return volume_l * density_kg_per_m3(salinity_psu, temperature_c) / 1000.0


def _volume_l(mass_kg: float, salinity_psu: float, temperature_c: float) -> float:
    return mass_kg * 1000.0 / density_kg_per_m3(salinity_psu, temperature_c)
