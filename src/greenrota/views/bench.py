"""The bench arithmetic, answered: each function reckons through `culture` and words the result.

Plain floats in, one `Reckoning` out; `units` is "metric" or "us". ValueError, from `culture`, names a figure
outside the range of a formula.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from greenrota.culture.count import count_density
from greenrota.culture.dose import dose_ml, drops
from greenrota.culture.light import (
    FULL_CREDIT_H,
    daily_light_mol,
    lamp_times,
    par_band_umol_per_m2_s,
    par_umol_per_m2_s,
    photoperiod_factor,
)
from greenrota.culture.medium import Medium
from greenrota.culture.saltmix import dilution, salt_g, top_up_l
from greenrota.culture.sanitation import bleach_ml, caution, thiosulphate
from greenrota.culture.seawater import (
    Hydrometer,
    gravity_from_salinity,
    reference_salinity_g_per_kg,
    salinity_from_gravity,
)
from greenrota.rota.wording import numbered
from greenrota.views import amount
from greenrota.views.reckoning import Reckoning

_DROPS_COUNTED = 60  # our choice: nobody counts more drops than that

# Where each answer leads the hands: salt water beside pumps and heaters, the concentrate, bleach.
CARE: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "salt": ("mains",),
        "dilute": ("mains",),
        "topup": ("mains",),
        "dose": ("nutrient",),
        "bleach": ("bleach", "bleach_kind", "bleach_rinse", "chlorine_test", "hot_water"),
    }
)


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
            ("water", f"fresh water up to {_litres(volume_l, units)} in all"),
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
        _told("salt"),
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
            ("seawater", f"{_litres(mix.strong_l, units)} of {strong_psu:.1f} psu"),
            ("fresh water", _litres(mix.fresh_l, units)),
            ("makes", f"{_litres(volume_l, units)} of {salinity_psu:.1f} psu"),
        ),
        {
            "seawater_l": mix.strong_l,
            "fresh_l": mix.fresh_l,
            "volume_l": volume_l,
            "salinity_psu": salinity_psu,
        },
        _told("dilute"),
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
            ("fresh water", _litres(fresh_l, units)),
            (
                "brings",
                f"{now_psu:.1f} psu down to {goal_psu:.1f} psu; the salt stayed when water evaporated",
            ),
        ),
        {"fresh_l": fresh_l, "volume_l": volume_l, "now_psu": now_psu, "goal_psu": goal_psu},
        _told("topup"),
    )


def dose_answer(
    volume_l: float, label_ml_per_l: float, label_doses: float, medium: Medium | None, units: str = "metric"
) -> Reckoning:
    """Nutrient (mL) for a fill or a feed, drops as a hint only, and what it brings if the medium is known.

    >>> dose_answer(4.0, 0.20, 1.0, None).lines[0]
    ('nutrient', '0.80 mL')
    """
    given_ml = dose_ml(volume_l, label_ml_per_l, label_doses)
    hint = drops(given_ml)
    lines = [
        ("nutrient", amount.volume(given_ml, units)),
        ("for", f"{_litres(volume_l, units)} at {label_doses:g} x the label dose of {label_ml_per_l:g} mL/L"),
    ]
    if 0 < hint.count <= _DROPS_COUNTED:
        spread = f"{hint.low_ml:.2f} to {hint.high_ml:.2f} mL"
        lines.append(("drops", f"about {hint.count} of a 20-per-mL dropper ({spread}); a syringe is better"))
    figures = {"nutrient_ml": given_ml, "volume_l": volume_l, "label_doses": label_doses}
    if medium is not None:
        full = (medium.nitrogen_umol_l, medium.phosphorus_umol_l, medium.silicon_umol_l)
        brought = [label_doses * umol for umol in full]
        keys = ("nitrogen_umol_per_l", "phosphorus_umol_per_l", "silicon_umol_per_l")
        figures |= dict(zip(keys, brought, strict=True))
        lines.append(("brings", "N {:.0f}, P {:.0f}, Si {:.0f} umol/L".format(*brought)))
    return Reckoning("dose", tuple(lines), figures, _told("dose"))


def count_answer(cells: int, squares: float, times_diluted: float, confidence: float) -> Reckoning:
    """Density (cells/mL) from a haemocytometer count, with the exact Poisson interval.

    >>> count_answer(100, 4.0, 1.0, 0.95).lines[0]
    ('density', '2.5e5 cells/mL')
    """
    found = count_density(cells, squares, times_diluted, confidence)
    low, high = amount.density(found.low_per_ml), amount.density(found.high_per_ml)
    return Reckoning(
        "count",
        (
            ("density", f"{amount.density(found.density_per_ml)} cells/mL"),
            (
                "interval",
                f"{low} to {high} cells/mL at {100 * confidence:g} %, from {numbered(cells, 'cell')} alone",
            ),
            ("left out", "pipetting and clumps: a second sample shows them"),
        ),
        {
            "density_per_ml": found.density_per_ml,
            "low_per_ml": found.low_per_ml,
            "high_per_ml": found.high_per_ml,
            "confidence": confidence,
        },
    )


def bleach_answer(volume_l: float, mg_per_l: float, percent: float, units: str = "metric") -> Reckoning:
    """Bleach (mL) for a chlorine dose (mg/L), what takes the chlorine out again, and the cautions.

    >>> bleach_answer(4.0, 200.0, 5.25).lines[0]
    ('bleach', '16 mL of 5.25 % sodium hypochlorite')
    """
    poured_ml = bleach_ml(volume_l, mg_per_l, percent)
    salt = thiosulphate(volume_l, mg_per_l)
    practice = f"{salt.practice_low_g:.2f} to {salt.practice_high_g:.2f} g in practice"
    return Reckoning(
        "bleach",
        (
            ("bleach", f"{amount.volume(poured_ml, units)} of {percent:g} % sodium hypochlorite"),
            (
                "makes",
                f"{_litres(volume_l, units)} with {mg_per_l:g} mg/L of chlorine, if the bleach is fresh",
            ),
            ("afterwards", "sodium thiosulphate pentahydrate takes what is left of the chlorine out:"),
            ("", f"{practice}, {salt.ceiling_g:.2f} g at most"),
        ),
        {
            "bleach_ml": poured_ml,
            "volume_l": volume_l,
            "chlorine_mg_per_l": mg_per_l,
            "thiosulphate_low_g": salt.practice_low_g,
            "thiosulphate_high_g": salt.practice_high_g,
            "thiosulphate_ceiling_g": salt.ceiling_g,
        },
        _told("bleach"),
    )


def light_answer(lux: float, light_h: float, lamp_on_h: float) -> Reckoning:
    """PAR of white LED light, light of a day, growth credit, and the times for a timer (hours).

    >>> light_answer(4000.0, 14.0, 8.0).lines[3]
    ('timer', 'on 08:00, off 22:00')
    """
    par = par_umol_per_m2_s(lux)
    low, high = par_band_umol_per_m2_s(lux)
    day_mol = daily_light_mol(par, light_h)
    credit = photoperiod_factor(light_h)
    on, off = (_clock(hour) for hour in lamp_times(lamp_on_h, light_h))
    return Reckoning(
        "light",
        (
            ("PAR", f"{par:.0f} umol/m2/s ({low:.0f} to {high:.0f}) for {lux:.0f} lux of white LED light"),
            ("a day", f"{day_mol:.1f} mol/m2 in {light_h:g} h"),
            ("growth", f"{credit:.0%} of the full rate; {FULL_CREDIT_H:g} h or more is full credit"),
            ("timer", f"on {on}, off {off}"),
        ),
        {
            "par_umol_per_m2_s": par,
            "par_low_umol_per_m2_s": low,
            "par_high_umol_per_m2_s": high,
            "light_lux": lux,
            "daily_light_mol_per_m2": day_mol,
            "photoperiod_factor": credit,
            "lamp_on": on,
            "lamp_off": off,
        },
    )


def _told(answer: str) -> tuple[str, ...]:
    return tuple(caution(key).text for key in CARE[answer])


def _litres(volume_l: float, units: str = "metric") -> str:
    return amount.volume(volume_l * 1000.0, units)


def _clock(hour: float) -> str:
    minutes = round(hour * 60.0) % (24 * 60)
    return f"{minutes // 60:02d}:{minutes % 60:02d}"
