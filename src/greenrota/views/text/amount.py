"""Amounts as text: rounded to what a jug, syringe or scale shows, with US units beside them where wanted."""

from __future__ import annotations

import math

from greenrota.culture.bench.instrument import FINEST_ML, SCALE_STEP_G, decimals, measured_g, measured_ml
from greenrota.culture.growth.broth import ML_PER_L

US_GALLON_ML = 3785.411784  # exact: 231 cubic inches of 25.4 mm (NIST Handbook 44, appendix C)
_US_UNITS = (  # name, mL (exact shares of the US gallon), and the smallest number of it that is shown
    ("US gal", US_GALLON_ML, 1.0),
    ("US qt", US_GALLON_ML / 4, 1.0),
    ("US cup", US_GALLON_ML / 16, 1.0),
    ("US fl oz", US_GALLON_ML / 128, 0.5),
    ("US tsp", US_GALLON_ML / 768, 0.1),
)
_WHOLE = 1e-6  # a ration that arithmetic leaves this much under a whole mL is that whole mL
_OUNCE_G = 28.349523125  # exact: avoirdupois ounce (NIST Handbook 44, appendix C)


def volume(volume_ml: float, units: str = "metric") -> str:
    """A volume in mL as text.

    Up to 1 mL in steps of 0.01 mL, up to 10 mL of 0.05 mL, up to 100 mL in whole mL, then in steps of 10 mL, from
    1000 mL in litres.
    `units` is "metric" or "us" (US customary beside metric). An amount above zero is never shown as zero.
    ValueError for a negative or not finite volume. Source of the steps: our choice.

    >>> volume(0.8), volume(187.5), volume(3812.5), volume(3812.5, "us")
    ('0.80 mL', '190 mL', '3.81 L', '3.81 L (1.01 US gal)')
    """
    _refuse_impossible("volume", volume_ml)
    text = _metric_volume(volume_ml)
    beside = _us_volume(volume_ml) if units == "us" else ""
    return f"{text} ({beside})" if beside else text


def litres(volume_l: float, units: str = "metric") -> str:
    """As `volume`, for a volume in L."""
    return volume(volume_l * ML_PER_L, units)


def ration(volume_ml: float, units: str = "metric") -> str:
    """A daily ration as text, in whole mL rounded down, so that a bottle lasts as many days as it should.

    >>> ration(120.0), ration(236.588, "us")
    ('120 mL', '236 mL (1.00 US cup)')
    """
    _refuse_impossible("ration", volume_ml)
    whole_ml = math.floor(volume_ml + _WHOLE)
    if not 1 <= whole_ml < 1000:
        return volume(volume_ml, units)
    beside = _us_volume(volume_ml) if units == "us" else ""
    return f"{whole_ml} mL ({beside})" if beside else f"{whole_ml} mL"


def _metric_volume(volume_ml: float) -> str:
    if volume_ml == 0.0:
        return "0 mL"
    if volume_ml < FINEST_ML:
        return f"under {FINEST_ML} mL"
    shown_ml = measured_ml(volume_ml)
    return f"{shown_ml:.{decimals(volume_ml)}f} mL" if shown_ml < 1000.0 else f"{shown_ml / 1000.0:.2f} L"


def _us_volume(volume_ml: float) -> str:
    for name, unit_ml, smallest in _US_UNITS:
        if round(volume_ml / unit_ml, 2) >= smallest:
            return f"{volume_ml / unit_ml:.2f} {name}"
    return ""


def mass(mass_g: float, units: str = "metric") -> str:
    """A mass in g as text: whole grams, from 1000 g in kg; ounces beside for "us".

    ValueError for a negative or not finite mass. Source of the step: our choice.

    >>> mass(112.4), mass(112.4, "us"), mass(1530.0)
    ('112 g', '112 g (4.0 oz)', '1.53 kg')
    """
    _refuse_impossible("mass", mass_g)
    if mass_g == 0.0:
        return "0 g"
    if mass_g < SCALE_STEP_G / 2:
        return "under 1 g"
    whole_g = measured_g(mass_g)
    text = f"{whole_g:.0f} g" if whole_g < 1000.0 else f"{whole_g / 1000.0:g} kg"
    return f"{text} ({mass_g / _OUNCE_G:.1f} oz)" if units == "us" else text


def temperature(temperature_c: float, units: str = "metric") -> str:
    """A temperature in degC as text, to a tenth; degF beside for "us".

    >>> temperature(22.0), temperature(22.0, "us")
    ('22 degC', '22 degC (71.6 degF)')
    """
    text = f"{round(temperature_c, 1):g} degC"
    return f"{text} ({round(temperature_c * 1.8 + 32.0, 1):g} degF)" if units == "us" else text


def millions(density_per_ml: float) -> str:
    """A density, given in cells/mL, as text in million cells/mL with two figures; its page names the unit.

    ValueError for a negative or not finite density. Source of the two figures: our choice, no count shows more.

    >>> [millions(each) for each in (93_250.0, 1.06e6, 2e6, 23.4e6, 0.0)]
    ['0.093', '1.1', '2.0', '23', '0']
    """
    _refuse_impossible("density", density_per_ml)
    if density_per_ml == 0.0:
        return "0"
    digits, power = f"{density_per_ml:.1e}".split("e")
    decimals_shown = max(0, 7 - int(power))  # 6 for the million, 1 for the second figure
    return f"{float(digits) * 10.0 ** (int(power) - 6):.{decimals_shown}f}"


def cells(cells_per_ml: float) -> str:
    """The density of feed in the tank's own water, in cells per mL, with two figures and without a power of ten.

    It is some thousand times thinner than a culture, so millions would be hard to read. ValueError as in `millions`.

    >>> cells(283.0), cells(5000.0)
    ('280', '5000')
    """
    _refuse_impossible("density", cells_per_ml)
    return f"{float(f'{cells_per_ml:.1e}'):.0f}" if cells_per_ml >= 1.0 else f"{cells_per_ml:.2g}"


def million_cells(density_per_ml: float) -> str:
    """As `millions`, with the unit.

    >>> million_cells(937_500.0)
    '0.94 million cells/mL'
    """
    return f"{millions(density_per_ml)} million cells/mL"


def _refuse_impossible(what: str, value: float) -> None:
    if not (math.isfinite(value) and value >= 0.0):
        raise ValueError(f"{what} {value} can not be measured out")
