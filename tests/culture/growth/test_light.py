"""Light: lux to PAR, daily light, photoperiod credit, timer clock."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from greenrota.culture.growth.light import (
    daily_light_mol,
    lamp_times,
    lux_from_par,
    par_band_umol_per_m2_s,
    par_umol_per_m2_s,
    photoperiod_factor,
)


@pytest.mark.parametrize("per_lux", [0.01491, 0.01473, 0.01434, 0.01396, 0.01441])
def test_band_covers_every_standard_white_led(per_lux):
    # derived: spectra of the CIE illuminants LED-B1..B5, 683.002 lm/W, 1924 luminosity curve, 400..700 nm
    low, high = par_band_umol_per_m2_s(1000.0)
    assert low <= 1000.0 * per_lux <= high


def test_band_is_five_percent_about_the_middle():
    low, high = par_band_umol_per_m2_s(4000.0)
    assert (low, high) == (
        pytest.approx(0.95 * 58.0),
        pytest.approx(1.05 * 58.0),
    )  # 0.0145 x 4000 = 58, by hand


@pytest.mark.parametrize(("lux", "par"), [(2500.0, 36.0), (5000.0, 72.0)])
def test_handbook_lux_range_in_par(lux, par):
    # FAO 361 Table 2.2 (published) optimum 2,500..5,000 lux; "about 36 / 72" is rounded to 1, hence 0.5
    assert par_umol_per_m2_s(lux) == pytest.approx(par, rel=0, abs=0.5)


@given(lux=st.floats(0.0, 200_000.0))
def test_lux_from_par_undoes_par(lux):
    assert lux_from_par(par_umol_per_m2_s(lux)) == pytest.approx(lux, rel=1e-12, abs=1e-300)


@pytest.mark.parametrize(
    ("par", "light_h", "mol"),
    [
        (38.1, 12.0, 1.6),  # published worked example, printed to 0.1
        (36.0, 16.0, 2.07),  # the rest by hand, printed to 0.01
        (72.0, 16.0, 4.15),
        (72.0, 24.0, 6.22),
    ],
)
def test_daily_light(par, light_h, mol):
    half_digit = 0.05 if mol == 1.6 else 0.005
    assert daily_light_mol(par, light_h) == pytest.approx(mol, rel=0, abs=half_digit)


@pytest.mark.parametrize(
    ("light_h", "factor"), [(0.0, 0.0), (8.0, 0.5), (12.0, 0.75), (16.0, 1.0), (24.0, 1.0)]
)
def test_photoperiod(light_h, factor):
    # full credit at 16 h and none above: Paasche 1968 (published); the line below is our choice
    assert photoperiod_factor(light_h) == factor


@pytest.mark.parametrize(
    ("on_h", "light_h", "off_h"),
    [
        (8.0, 14.0, 22.0),
        (20.0, 14.0, 10.0),
        (8.0, 16.0, 0.0),
        (6.5, 24.0, 6.5),
        (0.0, 24.0, 0.0),
        (23.5, 1.0, 0.5),
    ],
)
def test_timer(on_h, light_h, off_h):
    assert lamp_times(on_h, light_h) == (on_h, off_h)  # by hand


@given(on_h=st.floats(0.0, 24.0, exclude_max=True), light_h=st.floats(0.01, 24.0))
def test_timer_stays_on_the_clock(on_h, light_h):
    on, off = lamp_times(on_h, light_h)
    assert 0.0 <= on < 24.0
    assert 0.0 <= off < 24.0
    lit_h = (off - on) % 24.0 or 24.0
    # two clock roundings; close to a full day the difference may come out on either side of it
    assert min(abs(lit_h - light_h), abs(lit_h + 24.0 - light_h)) < 1e-9


@pytest.mark.parametrize(
    ("reckon", "named"),
    [
        (lambda: par_umol_per_m2_s(-1.0), "-1.0 lux"),
        (lambda: lux_from_par(float("nan")), "nan"),
        (lambda: daily_light_mol(-3.0, 12.0), "-3.0"),
        (lambda: daily_light_mol(36.0, 25.0), "25.0"),
        (lambda: photoperiod_factor(24.5), "24.5"),
        (lambda: photoperiod_factor(-1.0), "-1.0"),
        (lambda: lamp_times(24.0, 12.0), "24.0"),
        (lambda: lamp_times(8.0, 0.0), "0.0"),
        (lambda: lamp_times(8.0, 30.0), "30.0"),
    ],
)
def test_values_outside_are_named(reckon, named):
    with pytest.raises(ValueError, match=named):
        reckon()
