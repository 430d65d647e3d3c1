"""Seawater against UNESCO 44, against TEOS-10 (gsw), and gravity against salinity both ways."""

from __future__ import annotations

import gsw
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from greenrota.culture.water.seawater import (
    Hydrometer,
    density_kg_per_m3,
    gravity_from_salinity,
    reference_salinity_g_per_kg,
    salinity_from_gravity,
)

ITS90_PER_IPTS68 = 1.0 / 1.00024  # the published check values stand on IPTS-68


@pytest.mark.parametrize(
    ("salinity_psu", "t68_c", "published", "half_digit"),
    [
        # published: UNESCO 44 (Fofonoff & Millard 1983), p. 22, as printed in a docstring of public code
        (0.0, 0.0, 999.842594, 1e-6),
        (0.0, 30.0, 995.65113374, 1e-6),
        (35.0, 0.0, 1028.10633141, 1e-6),
        (35.0, 30.0, 1021.72863949, 1e-6),
        # published: Millero & Poisson 1981 / Gill 1982 table A3.2, as printed in public code
        (0.0, 5.0, 999.96675, 5.1e-6),
        (0.0, 25.0, 997.04796, 5.1e-6),
        (35.0, 5.0, 1027.67547, 5.1e-6),
        (35.0, 25.0, 1023.34306, 5.1e-6),
    ],
)
def test_density_meets_the_published_check_values(salinity_psu, t68_c, published, half_digit):
    # tolerance: half of the last printed digit, and rounding of the scale change
    assert density_kg_per_m3(salinity_psu, t68_c * ITS90_PER_IPTS68) == pytest.approx(
        published, rel=0, abs=half_digit
    )


def test_temperature_scale_matters_at_the_printed_digits():
    # published value (35, 25 on IPTS-68) 1023.34306 must not come out for 25 degC of today's scale
    assert abs(density_kg_per_m3(35.0, 25.0) - 1023.34306) > 1e-3


def test_density_against_teos10_over_the_whole_range():
    # independent library. Tolerance 0.01 kg/m3: EOS-80 states a standard error of 0.0036, and the two were
    # fitted to different data; 0.01 kg/m3 is 0.013 psu
    for salinity_psu in np.linspace(0.0, 42.0, 22):
        for temperature_c in np.linspace(0.0, 40.0, 21):
            teos10 = gsw.rho_t_exact(gsw.SR_from_SP(salinity_psu), temperature_c, 0.0)
            ours = density_kg_per_m3(float(salinity_psu), float(temperature_c))
            assert ours == pytest.approx(teos10, rel=0, abs=0.01), (salinity_psu, temperature_c)


def _teos10_salinity(gravity: float, sample_c: float, reference_c: float) -> float:
    water = gsw.rho_t_exact(0.0, reference_c, 0.0)
    return brentq(lambda s: gsw.rho_t_exact(gsw.SR_from_SP(s), sample_c, 0.0) / water - gravity, 0.0, 45.0)


@pytest.mark.parametrize(
    "hydrometer",
    [
        Hydrometer(20.0, 20.0),
        Hydrometer(25.0, 25.0),
        Hydrometer(140.0 / 9.0, 140.0 / 9.0),  # 60F/60F
        Hydrometer(15.0, 4.0),
        Hydrometer(20.0, 4.0),
        Hydrometer(25.0, 4.0),
        Hydrometer(25.0, 15.0),
        Hydrometer(24.0, 24.0),
        Hydrometer(15.0, 15.0),
    ],
    ids=str,
)
@pytest.mark.parametrize("gravity", [1.018, 1.020, 1.022, 1.023, 1.024, 1.025, 1.026, 1.0264])
def test_gravity_conventions_against_teos10(hydrometer, gravity):
    # independent library and root search; 0.01 psu is the bound claimed for the choice of equation
    expected = _teos10_salinity(gravity, hydrometer.sample_c, hydrometer.reference_c)
    assert salinity_from_gravity(gravity, hydrometer) == pytest.approx(expected, rel=0, abs=0.01)


def test_conventions_spread_one_reading_over_four_and_a_half_psu():
    # derived by the independent library: 26.05 (15C/15C) and 30.54 (25C/4C) at a reading of 1.020
    low = salinity_from_gravity(1.020, Hydrometer(15.0, 15.0))
    high = salinity_from_gravity(1.020, Hydrometer(25.0, 4.0))
    assert high - low == pytest.approx(
        _teos10_salinity(1.020, 25.0, 4.0) - _teos10_salinity(1.020, 15.0, 15.0), abs=0.01
    )
    assert high - low > 4.4


@pytest.mark.parametrize(
    ("sample_c", "uncorrected_psu"),
    [(20.0, 28.38), (22.0, 27.69), (24.0, 26.96), (28.0, 25.35)],
)
def test_reading_at_another_temperature_is_corrected(sample_c, uncorrected_psu):
    # water of 26.57 psu under a 25C/25C instrument. Uncorrected: computed with TEOS-10, two decimals
    hydrometer = Hydrometer(25.0, 25.0)
    shown = gsw.rho_t_exact(gsw.SR_from_SP(26.57), sample_c, 0.0) / gsw.rho_t_exact(0.0, 25.0, 0.0)
    assert salinity_from_gravity(shown, hydrometer) == pytest.approx(uncorrected_psu, abs=0.015)
    assert salinity_from_gravity(shown, hydrometer, sample_c) == pytest.approx(26.57, abs=0.01)


@given(
    salinity_psu=st.floats(0.0, 43.0),
    sample_c=st.floats(0.0, 40.0),
    reference_c=st.floats(0.0, 40.0),
    water_c=st.none() | st.floats(0.0, 40.0),
)
def test_salinity_from_gravity_undoes_gravity_from_salinity(salinity_psu, sample_c, reference_c, water_c):
    hydrometer = Hydrometer(sample_c, reference_c)
    shown = gravity_from_salinity(salinity_psu, hydrometer, water_c)
    again = salinity_from_gravity(shown, hydrometer, water_c)
    # the search ends within 1e-10 psu; a rounding of the reading (2e-16) is worth about 3e-13 psu
    assert again == pytest.approx(salinity_psu, rel=0, abs=2e-10)
    assert gravity_from_salinity(again, hydrometer, water_c) == pytest.approx(shown, rel=1e-12)


@given(low=st.floats(0.0, 42.0), more=st.floats(0.001, 1.0), temperature_c=st.floats(0.0, 40.0))
def test_density_rises_with_salinity(low, more, temperature_c):
    assert density_kg_per_m3(low + more, temperature_c) > density_kg_per_m3(low, temperature_c)


def test_reference_salinity_against_teos10():
    for salinity_psu in (5.0, 20.0, 25.0, 30.0, 35.0, 42.0):
        # rtol: float rounding only, both use 35.16504/35
        assert reference_salinity_g_per_kg(salinity_psu) == pytest.approx(
            gsw.SR_from_SP(salinity_psu), rel=1e-12
        )


@pytest.mark.parametrize(
    ("reckon", "named"),
    [
        (lambda: density_kg_per_m3(43.5, 20.0), "43.5"),
        (lambda: density_kg_per_m3(-0.1, 20.0), "-0.1"),
        (lambda: density_kg_per_m3(35.0, 40.5), "40.5"),
        (lambda: density_kg_per_m3(35.0, -1.0), "-1.0"),
        (lambda: density_kg_per_m3(float("nan"), 20.0), "nan"),
        (lambda: reference_salinity_g_per_kg(50.0), "50.0"),
        (lambda: salinity_from_gravity(1.2, Hydrometer(25.0, 25.0)), "1.2"),
        (lambda: salinity_from_gravity(0.99, Hydrometer(25.0, 25.0)), "0.99"),
        (lambda: salinity_from_gravity(float("nan"), Hydrometer(25.0, 25.0)), "nan"),
        (lambda: salinity_from_gravity(1.02, Hydrometer(77.0, 77.0)), "77.0"),
        (lambda: salinity_from_gravity(1.02, Hydrometer(60.0, 4.0), sample_c=25.0), "60.0"),
    ],
)
def test_values_outside_are_named(reckon, named):
    with pytest.raises(ValueError, match=named):
        reckon()


def test_plain_water_reads_one():
    # definition: water against itself at one temperature
    assert salinity_from_gravity(1.0, Hydrometer(25.0, 25.0)) == pytest.approx(0.0, abs=1e-10)
