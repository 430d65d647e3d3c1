"""Salt, dilution and evaporation against mass balances done with another density library."""

from __future__ import annotations

import gsw
import pytest
from hypothesis import given
from hypothesis import strategies as st

from greenrota.culture.water.saltmix import dilution, salt_g, top_up_l
from greenrota.culture.water.seawater import Hydrometer, density_kg_per_m3, salinity_from_gravity

BENCH_C = 25.0


@pytest.mark.parametrize(
    ("gravity", "anhydrous_g"),
    [
        (1.018, 24.39),
        (1.020, 27.15),
        (1.022, 29.91),
        (1.023, 31.30),
        (1.024, 32.69),
        (1.025, 34.08),
        (1.0264, 36.02),
    ],
)
def test_salt_in_a_litre(gravity, anhydrous_g):
    # derived with TEOS-10: reference salinity times density, printed to 0.01 g. Tolerance: that digit
    # plus the 0.003 psu between the equations at 25C/25C
    salinity_psu = salinity_from_gravity(gravity, Hydrometer(25.0, 25.0))
    assert salt_g(1.0, salinity_psu, BENCH_C, 0.0) == pytest.approx(anhydrous_g, rel=0, abs=0.01)


@pytest.mark.parametrize(
    ("gravity", "hydration", "mix_g"),
    [
        (1.020, 0.05, 28.58),
        (1.020, 0.10, 30.17),
        (1.020, 0.15, 31.94),
        (1.025, 0.05, 35.87),
        (1.025, 0.10, 37.86),
        (1.025, 0.15, 40.09),
    ],
)
def test_dry_mix_in_a_litre(gravity, hydration, mix_g):
    # derived with TEOS-10, anhydrous / (1 - hydration), printed to 0.01 g
    salinity_psu = salinity_from_gravity(gravity, Hydrometer(25.0, 25.0))
    assert salt_g(1.0, salinity_psu, BENCH_C, hydration) == pytest.approx(mix_g, rel=0, abs=0.015)


@pytest.mark.parametrize(("salinity_psu", "temperature_c"), [(20.0, 15.0), (26.57, 22.0), (35.0, 25.0)])
def test_salt_against_teos10(salinity_psu, temperature_c):
    absolute = gsw.SR_from_SP(salinity_psu)
    expected_g = 4.0 * gsw.rho_t_exact(absolute, temperature_c, 0.0) / 1000.0 * absolute / 0.9
    # rtol: the equations of state differ by up to 1e-5
    assert salt_g(4.0, salinity_psu, temperature_c, 0.10) == pytest.approx(expected_g, rel=1e-5)


@given(volume_l=st.floats(0.01, 1000.0), salinity_psu=st.floats(0.0, 43.0), hydration=st.floats(0.0, 0.3))
def test_twice_the_volume_is_twice_the_salt(volume_l, salinity_psu, hydration):
    once = salt_g(volume_l, salinity_psu, BENCH_C, hydration)
    assert salt_g(2.0 * volume_l, salinity_psu, BENCH_C, hydration) == pytest.approx(2.0 * once, rel=1e-12)


def test_dilution_worked_example():
    # derived with TEOS-10 mass balance at 25 degC: 3.018 L + 0.983 L from 35 to 26.57 psu, printed to 0.001 L
    mix = dilution(4.0, 26.57, 35.0, BENCH_C)
    assert mix.strong_l == pytest.approx(3.018, rel=0, abs=0.0006)
    assert mix.fresh_l == pytest.approx(0.983, rel=0, abs=0.0006)
    # the plain volume rule, 4 x 26.57 / 35 = 3.037 L, is 0.6 % too salt
    assert mix.strong_l < 4.0 * 26.57 / 35.0 - 0.015


@given(
    volume_l=st.floats(0.01, 1000.0),
    strong_psu=st.floats(1.0, 43.0),
    share=st.floats(0.0, 1.0),
    temperature_c=st.floats(0.0, 40.0),
)
def test_dilution_conserves_salt_and_mass(volume_l, strong_psu, share, temperature_c):
    goal_psu = share * strong_psu
    mix = dilution(volume_l, goal_psu, strong_psu, temperature_c)
    strong_kg = mix.strong_l * density_kg_per_m3(strong_psu, temperature_c)
    fresh_kg = mix.fresh_l * density_kg_per_m3(0.0, temperature_c)
    total_kg = volume_l * density_kg_per_m3(goal_psu, temperature_c)
    assert min(mix.strong_l, mix.fresh_l) >= 0.0
    assert strong_kg + fresh_kg == pytest.approx(total_kg, rel=1e-12)
    assert strong_kg * strong_psu == pytest.approx(total_kg * goal_psu, rel=1e-12, abs=1e-12)


@pytest.mark.parametrize(("lost_l", "salinity_psu"), [(0.1, 27.24), (0.2, 27.94), (0.4, 29.46)])
def test_evaporation_rows(lost_l, salinity_psu):
    # derived with TEOS-10: what 4.0 L of 26.57 psu come to, printed to 0.01 psu, which is 1.5 mL of fresh water
    left_kg = 4.0 * density_kg_per_m3(26.57, BENCH_C) - lost_l * density_kg_per_m3(0.0, BENCH_C)
    left_l = left_kg / density_kg_per_m3(salinity_psu, BENCH_C)
    assert top_up_l(left_l, salinity_psu, 26.57, BENCH_C) == pytest.approx(lost_l, rel=0, abs=0.0015)


@given(salinity_psu=st.floats(1.0, 43.0), goal_share=st.floats(0.3, 1.0), temperature_c=st.floats(0.0, 40.0))
def test_a_top_up_leaves_the_salt_as_it_is(salinity_psu, goal_share, temperature_c):
    goal_psu = goal_share * salinity_psu
    fresh_l = top_up_l(4.0, salinity_psu, goal_psu, temperature_c)
    before_kg = 4.0 * density_kg_per_m3(salinity_psu, temperature_c)
    after_kg = before_kg + fresh_l * density_kg_per_m3(0.0, temperature_c)
    assert after_kg * goal_psu == pytest.approx(before_kg * salinity_psu, rel=1e-12)


@pytest.mark.parametrize(
    ("reckon", "named"),
    [
        (lambda: salt_g(0.0, 35.0, 25.0, 0.1), "volume 0.0"),
        (lambda: salt_g(float("inf"), 35.0, 25.0, 0.1), "volume inf"),
        (lambda: salt_g(1.0, 44.0, 25.0, 0.1), "44.0"),
        (lambda: salt_g(1.0, 35.0, 25.0, 0.9), "hydration 0.9"),
        (lambda: salt_g(1.0, 35.0, 25.0, -0.1), "hydration -0.1"),
        (lambda: dilution(4.0, 36.0, 35.0, 25.0), "35.0 psu cannot be diluted to 36.0"),
        (lambda: dilution(4.0, 0.0, 0.0, 25.0), "0.0 psu cannot"),
        (lambda: dilution(-1.0, 20.0, 35.0, 25.0), "volume -1.0"),
        (lambda: top_up_l(4.0, 26.0, 27.0, 25.0), "26.0 psu to 27.0"),
        (lambda: top_up_l(4.0, 26.0, 0.0, 25.0), "to 0.0"),
    ],
)
def test_values_outside_are_named(reckon, named):
    with pytest.raises(ValueError, match=named):
        reckon()
