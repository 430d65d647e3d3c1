"""Carbon in plain air against carbon in growth."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from greenrota.culture.growth.carbon import (
    CARBON_G_PER_MOL,
    DEFAULT_AIR_VVM,
    air_flow_l_per_min,
    carbon_share,
    demand_mg_per_day,
    fastest_growth_per_ml_day,
    supply_mg_per_day,
)


@pytest.mark.parametrize(
    ("flow_l_per_min", "mmol_per_day"), [(0.4, 10.0), (0.8, 20.0), (1.0, 25.0), (2.0, 49.9)]
)
def test_carbon_dioxide_in_plain_air(flow_l_per_min: float, mmol_per_day: float) -> None:
    # derived by hand from the ideal gas law at 420 ppm and 22 degC, to one decimal
    assert supply_mg_per_day(flow_l_per_min, 22.0) / CARBON_G_PER_MOL == pytest.approx(mmol_per_day, abs=0.05)


def test_against_the_molar_volume() -> None:
    # independent route: 22.414 L/mol at 0 degC and 1 atm (CODATA 2018, through scipy)
    litres_per_mol = constants.value("molar volume of ideal gas (273.15 K, 101.325 kPa)") * 1e3
    mol_per_day = 1.0 * 1440.0 / litres_per_mol * 420e-6
    assert supply_mg_per_day(1.0, 0.0) == pytest.approx(mol_per_day * 12011.0, rel=1e-9)


def test_usual_air_when_no_flow_is_given() -> None:
    # derived by hand: 0.2 volumes a minute (Gabrielyan 2022, an optimum) of 4 L
    assert DEFAULT_AIR_VVM == 0.2
    assert air_flow_l_per_min(4.0) == pytest.approx(0.8, rel=1e-12)
    assert air_flow_l_per_min(4.0, 0.5) == pytest.approx(2.0, rel=1e-12)


def test_demand_of_growth() -> None:
    # derived by hand: 1e5 cells/mL x 4000 mL x 60e-12 g = 24 mg
    assert demand_mg_per_day(1e5, 4.0, 60.0) == pytest.approx(24.0, rel=1e-12)


@given(st.floats(0.01, 3.0), st.floats(1e4, 1e8), st.floats(0.0, 1.0))
def test_no_moment_grows_faster_than_the_fastest(rate: float, ceiling: float, share: float) -> None:
    assert rate * share * ceiling * (1.0 - share) <= fastest_growth_per_ml_day(rate, ceiling) * (1.0 + 1e-12)
    assert rate * 0.5 * ceiling * 0.5 == pytest.approx(fastest_growth_per_ml_day(rate, ceiling), rel=1e-12)


def test_share_of_the_air() -> None:
    assert carbon_share(24.0, 240.0) == pytest.approx(0.1, rel=1e-12)
    assert carbon_share(0.0, 0.0) == 0.0
    assert carbon_share(1.0, 0.0) == float("inf")


def test_what_is_below_zero_is_refused() -> None:
    for refused in (
        lambda: air_flow_l_per_min(-1.0),
        lambda: supply_mg_per_day(-1.0, 22.0),
        lambda: supply_mg_per_day(1.0, -300.0),
        lambda: demand_mg_per_day(-1.0, 4.0, 60.0),
        lambda: fastest_growth_per_ml_day(-0.1, 1e6),
        lambda: carbon_share(-1.0, 1.0),
    ):
        with pytest.raises(ValueError, match="zero"):
            refused()
