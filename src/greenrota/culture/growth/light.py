"""Lamp light: lux to light that plants use (PAR), light per day, credit for the hours, times for a timer."""

from __future__ import annotations

HOURS_PER_DAY = 24.0  # definition
PAR_PER_LUX = 0.0145  # umol/m2/s per lux, 400..700 nm; computed from CIE illuminants LED-B1..B5
PAR_BAND = 0.05  # the same five spectra lie within 0.0140..0.0149, so 5 % either way covers them
FULL_CREDIT_H = 16.0  # Paasche 1968: no better above 16:8; FAO 361 Table 2.2: 16:8 at least


def par_umol_per_m2_s(lux: float) -> float:
    """PAR (400..700 nm, umol/m2/s) of phosphor white LED light that reads `lux`; good to `PAR_BAND`, 5 %.

    Fails for lamps with added red or blue, which a lux meter weighs as the eye does. ValueError names a negative
    reading.
    Source: computed from the CIE illuminants LED-B1 to LED-B5.

    >>> round(par_umol_per_m2_s(2500.0), 2)
    36.25
    """
    _check_not_negative("light", lux, "lux")
    return PAR_PER_LUX * lux


def lux_from_par(par_umol_per_m2_s: float) -> float:
    """Lux of phosphor white LED light of so much PAR (umol/m2/s); undoes `par_umol_per_m2_s`, same limits.

    >>> round(lux_from_par(72.5))
    5000
    """
    _check_not_negative("light", par_umol_per_m2_s, "umol/m2/s")
    return par_umol_per_m2_s / PAR_PER_LUX


def par_band_umol_per_m2_s(lux: float) -> tuple[float, float]:
    """Lowest and highest PAR (umol/m2/s) that white LED light of `lux` stands for: 5 % either way.

    Limits, error and source as `par_umol_per_m2_s`.

    >>> low, high = par_band_umol_per_m2_s(2500.0)
    >>> round(low, 1), round(high, 1)
    (34.4, 38.1)
    """
    par = par_umol_per_m2_s(lux)
    return par * (1.0 - PAR_BAND), par * (1.0 + PAR_BAND)


def daily_light_mol(par_umol_per_m2_s: float, light_h: float) -> float:
    """Light of one day, mol/m2/day, of so much PAR (umol/m2/s) for `light_h` hours (0..24).

    ValueError names a negative PAR or hours outside. Source: definition, 3600 s an hour.

    >>> round(daily_light_mol(36.0, 16.0), 2)
    2.07
    """
    _check_not_negative("light", par_umol_per_m2_s, "umol/m2/s")
    _check_light_hours(light_h)
    return par_umol_per_m2_s * 3600.0 * light_h / 1e6


def photoperiod_factor(light_h: float) -> float:
    """Share of the full growth rate, 0..1, under `light_h` hours of light a day.

    Full credit from 16 h, none above it, in proportion below. ValueError names hours outside 0..24.
    Source: Paasche (1968) for the full credit; the straight line below it is our choice.

    >>> photoperiod_factor(12.0)
    0.75
    """
    _check_light_hours(light_h)
    return min(1.0, light_h / FULL_CREDIT_H)


def lamp_times(on_h: float, light_h: float) -> tuple[float, float]:
    """When a timer puts the lamp on and off: two clock times in hours, 0 <= time < 24.

    `light_h` above 0 and up to 24; a lamp that burns 24 h has off = on. The off time may lie past midnight.
    ValueError names hours outside. Source: arithmetic of the clock.

    >>> lamp_times(20.0, 14.0)
    (20.0, 10.0)
    """
    if not 0.0 <= on_h < HOURS_PER_DAY:
        raise ValueError(f"lamp on at {on_h} h is outside 0..24 h")
    _check_light_hours(light_h)
    if light_h == 0.0:
        raise ValueError(f"light for {light_h} h a day needs no timer")
    off_h = on_h + light_h
    return on_h, off_h if off_h < HOURS_PER_DAY else off_h - HOURS_PER_DAY


def _check_light_hours(light_h: float) -> None:
    if not 0.0 <= light_h <= HOURS_PER_DAY:
        raise ValueError(f"light for {light_h} h a day is outside 0..24 h")


def _check_not_negative(what: str, value: float, unit: str) -> None:
    if not 0.0 <= value < float("inf"):
        raise ValueError(f"{what} of {value} {unit} is not zero or more")
