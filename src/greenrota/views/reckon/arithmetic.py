"""Answers of `greenrota reckon` besides seawater: a dose of nutrient, a count, bleach, and lamp light.

Plain floats in, one `Reckoning` out; `units` is "metric" or "us". ValueError, from `culture`, names a figure
outside the range of a formula.
"""

from __future__ import annotations

from greenrota.culture.bench.count import count_density
from greenrota.culture.bench.dose import dose_ml, drops
from greenrota.culture.bench.sanitation import bleach_ml, thiosulphate
from greenrota.culture.data.medium import Medium
from greenrota.culture.growth.light import (
    FULL_CREDIT_H,
    daily_light_mol,
    lamp_times,
    par_band_umol_per_m2_s,
    par_umol_per_m2_s,
    photoperiod_factor,
)
from greenrota.rota.wording import numbered
from greenrota.views.reckon.reckoning import Reckoning, care_for
from greenrota.views.text import amount
from greenrota.views.text.day import clock_text

_DROPS_COUNTED = 60  # our choice: nobody counts more drops than that


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
        (
            "for",
            f"{amount.litres(volume_l, units)} at {label_doses:g} x the label dose of {label_ml_per_l:.2g} mL/L",
        ),
    ]
    if 0 < hint.number <= _DROPS_COUNTED:
        spread = f"{hint.low_ml:.2f} to {hint.high_ml:.2f} mL"
        lines.append(("drops", f"about {hint.number} of a 20-per-mL dropper ({spread}); a syringe is better"))
    figures = {"nutrient_ml": given_ml, "volume_l": volume_l, "label_doses": label_doses}
    if medium is not None:
        full = (medium.nitrogen_umol_l, medium.phosphorus_umol_l, medium.silicon_umol_l)
        brought = [label_doses * umol for umol in full]
        keys = ("nitrogen_umol_per_l", "phosphorus_umol_per_l", "silicon_umol_per_l")
        figures |= dict(zip(keys, brought, strict=True))
        lines.append(("brings", "N {:.0f}, P {:.0f}, Si {:.0f} umol/L".format(*brought)))
    return Reckoning("dose", tuple(lines), figures, care_for("dose"))


def count_answer(cells: int, squares: float, times_diluted: float, confidence: float) -> Reckoning:
    """Density (cells/mL) from a haemocytometer count, with the exact Poisson interval.

    >>> count_answer(100, 4.0, 1.0, 0.95).lines[0]
    ('density', '0.25 million cells/mL')
    """
    found = count_density(cells, squares, times_diluted, confidence)
    low, high = amount.millions(found.low_per_ml), amount.millions(found.high_per_ml)
    return Reckoning(
        "count",
        (
            ("density", amount.million_cells(found.density_per_ml)),
            (
                "interval",
                f"{low} to {high} million cells/mL at {100 * confidence:g} %, from {numbered(cells, 'cell')} alone",
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
    practice = f"{_grams(salt.practice_low_g)} to {_grams(salt.practice_high_g)} g in practice"
    return Reckoning(
        "bleach",
        (
            ("bleach", f"{amount.volume(poured_ml, units)} of {percent:g} % sodium hypochlorite"),
            (
                "makes",
                f"{amount.litres(volume_l, units)} with {mg_per_l:g} mg/L of chlorine, if the bleach is fresh",
            ),
            ("afterwards", "sodium thiosulphate pentahydrate takes what is left of the chlorine out:"),
            ("", f"{practice}, {_grams(salt.ceiling_g)} g at most"),
        ),
        {
            "bleach_ml": poured_ml,
            "volume_l": volume_l,
            "chlorine_mg_per_l": mg_per_l,
            "thiosulphate_low_g": salt.practice_low_g,
            "thiosulphate_high_g": salt.practice_high_g,
            "thiosulphate_ceiling_g": salt.ceiling_g,
        },
        care_for("bleach"),
    )


def _grams(mass_g: float) -> str:
    """Grams as a kitchen or pocket scale shows them: two figures below 10 g, whole grams above; our choice.

    >>> _grams(0.4), _grams(2.4), _grams(15.0)
    ('0.40', '2.4', '15')
    """
    if mass_g >= 10.0 or mass_g == 0.0:
        return f"{mass_g:.0f}"
    return f"{mass_g:.1f}" if mass_g >= 1.0 else f"{mass_g:.2f}"


def light_answer(lux: float, light_h: float, lamp_on_h: float) -> Reckoning:
    """PAR of white LED light, light of a day, growth credit, and the times for a timer (hours).

    >>> light_answer(4000.0, 14.0, 8.0).lines[3]
    ('timer', 'on 08:00, off 22:00')
    """
    par = par_umol_per_m2_s(lux)
    low, high = par_band_umol_per_m2_s(lux)
    day_mol = daily_light_mol(par, light_h)
    credit = photoperiod_factor(light_h)
    on, off = (clock_text(hour) for hour in lamp_times(lamp_on_h, light_h))
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
