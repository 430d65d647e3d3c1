"""Seawater answers of `greenrota reckon`: salinity and specific gravity, dry salt, dilution, and what evaporated.

Plain floats in, one `Reckoning` out; `units` is "metric" or "us". ValueError, from `culture`, names a figure
outside the range of a formula.
"""

from __future__ import annotations

from greenrota.culture.water.saltmix import dilution, salt_g, top_up_l
from greenrota.culture.water.seawater import (
    Hydrometer,
    gravity_from_salinity,
    reference_salinity_g_per_kg,
    salinity_from_gravity,
)
from greenrota.views.reckon.reckoning import Reckoning, care_for
from greenrota.views.text import amount


def salinity_answer(value: float, is_gravity: bool, hydrometer: Hydrometer, sample_c: float) -> Reckoning:
    """Salinity (psu) from a specific gravity, or the other way round; water at `sample_c` degC.

    >>> salinity_answer(1.020, True, Hydrometer(25.0, 25.0), 25.0).lines[0]
    ('salinity', '26.6 psu (26.7 g/kg)')
    """
    psu = salinity_from_gravity(value, hydrometer, sample_c) if is_gravity else value
    gravity = gravity_from_salinity(psu, hydrometer, sample_c)
    g_per_kg = reference_salinity_g_per_kg(psu)
    reference = f"{hydrometer.sample_c:.4g}C/{hydrometer.reference_c:.4g}C"
    return Reckoning(
        "salinity",
        (
            ("salinity", f"{psu:.1f} psu ({g_per_kg:.1f} g/kg)"),
            ("reading", f"{gravity:.4f} SG on a {reference} hydrometer in water of {sample_c:.4g} degC"),
            ("how sure", "0.001 SG is 1.3 psu; the instrument's own expansion is not corrected"),
        ),
        {"salinity_psu": psu, "salinity_g_per_kg": g_per_kg, "gravity": gravity, "sample_c": sample_c},
    )


def salt_answer(
    volume_l: float, salinity_psu: float, temperature_c: float, hydration: float, units: str = "metric"
) -> Reckoning:
    """Dry mix (g) for a finished volume (L) of seawater; `hydration` is the share of bound water in the mix.

    >>> salt_answer(4.0, 26.0, 25.0, 0.10).lines[0]
    ('dry salt', '118 g')
    """
    mass_g = salt_g(volume_l, salinity_psu, temperature_c, hydration)
    warmth = amount.temperature(temperature_c, units)
    return Reckoning(
        "salt",
        (
            ("dry salt", amount.mass(mass_g, units)),
            ("water", f"fresh water up to {amount.litres(volume_l, units)} in all"),
            ("makes", f"{salinity_psu:.1f} psu at {warmth}; {hydration:.0%} of the mix is bound water"),
            ("check", "measure it once dissolved: mixes differ, and a measured batch beats this figure"),
        ),
        {
            "salt_g": mass_g,
            "volume_l": volume_l,
            "salinity_psu": salinity_psu,
            "temperature_c": temperature_c,
            "hydration": hydration,
        },
        care_for("salt"),
    )


def dilute_answer(
    volume_l: float, salinity_psu: float, strong_psu: float, temperature_c: float, units: str = "metric"
) -> Reckoning:
    """Stronger seawater and fresh water (L) for a finished volume.

    >>> dilute_answer(4.0, 26.57, 35.0, 25.0).lines[0]
    ('seawater', '3.02 L of 35.0 psu')
    """
    mix = dilution(volume_l, salinity_psu, strong_psu, temperature_c)
    return Reckoning(
        "dilute",
        (
            ("seawater", f"{amount.litres(mix.strong_l, units)} of {strong_psu:.1f} psu"),
            ("fresh water", amount.litres(mix.fresh_l, units)),
            ("makes", f"{amount.litres(volume_l, units)} of {salinity_psu:.1f} psu"),
        ),
        {
            "seawater_l": mix.strong_l,
            "fresh_l": mix.fresh_l,
            "volume_l": volume_l,
            "salinity_psu": salinity_psu,
        },
        care_for("dilute"),
    )


def topup_answer(
    volume_l: float, now_psu: float, goal_psu: float, temperature_c: float, units: str = "metric"
) -> Reckoning:
    """Fresh water (L) that makes up for what evaporated.

    >>> topup_answer(3.8, 27.94, 26.57, 25.0).lines[0]
    ('fresh water', '200 mL')
    """
    fresh_l = top_up_l(volume_l, now_psu, goal_psu, temperature_c)
    return Reckoning(
        "topup",
        (
            ("fresh water", amount.litres(fresh_l, units)),
            (
                "brings",
                f"{now_psu:.1f} psu down to {goal_psu:.1f} psu; the salt stayed when water evaporated",
            ),
        ),
        {"fresh_l": fresh_l, "volume_l": volume_l, "now_psu": now_psu, "goal_psu": goal_psu},
        care_for("topup"),
    )
