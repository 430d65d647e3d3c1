"""Amounts for people: steps of the instruments, and exact US definitions beside."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from greenrota.planfile.text.units import quantity
from greenrota.views.text.amount import US_GALLON_ML, mass, millions, temperature, volume


@pytest.mark.parametrize(
    ("volume_ml", "shown"),
    [  # by hand from the steps: 0.01 mL to 1 mL, 0.05 mL to 10 mL, 1 mL to 100 mL, 10 mL above, litres from 1000 mL
        (0.0, "0 mL"),
        (0.009, "under 0.01 mL"),
        (0.01, "0.01 mL"),
        (0.124, "0.12 mL"),
        (0.994, "0.99 mL"),
        (0.996, "1.00 mL"),
        (1.13, "1.15 mL"),
        (9.97, "9.95 mL"),
        (9.99, "10 mL"),
        (12.4, "12 mL"),
        (99.6, "100 mL"),
        (187.5, "190 mL"),
        (994.0, "990 mL"),
        (996.0, "1.00 L"),
        (3812.5, "3.81 L"),
        (40000.0, "40.00 L"),
    ],
)
def test_volume_steps(volume_ml: float, shown: str) -> None:
    assert volume(volume_ml) == shown


@pytest.mark.parametrize(
    ("volume_ml", "beside"),
    [  # exact definitions, NIST Handbook 44 appendix C: 1 gal = 4 qt = 16 cup = 128 fl oz = 768 tsp
        (US_GALLON_ML, "1.00 US gal"),
        (US_GALLON_ML / 4, "1.00 US qt"),
        (US_GALLON_ML / 16, "1.00 US cup"),
        (US_GALLON_ML / 128, "1.00 US fl oz"),
        (US_GALLON_ML / 768, "1.00 US tsp"),
    ],
)
def test_us_units_stand_beside(volume_ml: float, beside: str) -> None:
    assert volume(volume_ml, "us") == f"{volume(volume_ml)} ({beside})"


def test_a_dose_too_small_for_a_teaspoon_is_metric_only() -> None:
    assert volume(0.3, "us") == volume(0.3)


def test_the_gallon_is_the_one_of_the_unit_door() -> None:
    assert quantity("1 gal", "small volume") == US_GALLON_ML


@given(st.floats(0.01, 1e5))
def test_a_shown_volume_is_within_half_a_step(volume_ml: float) -> None:
    number, unit = volume(volume_ml).split(" ")
    shown_ml = float(number) * (1000.0 if unit == "L" else 1.0)
    step_ml = next(
        s for most, s in ((1.0, 0.01), (10.0, 0.05), (100.0, 1.0), (1e9, 10.0)) if volume_ml < most
    )
    assert math.isclose(
        shown_ml, volume_ml, rel_tol=0.0, abs_tol=step_ml / 2 + 1e-9
    )  # 1e-9: rounding of floats


def test_mass_and_temperature() -> None:
    assert mass(0.0) == "0 g"
    assert mass(0.3) == "under 1 g"
    assert mass(999.7) == "1 kg"
    assert mass(28.349523125, "us") == "28 g (1.0 oz)"  # exact: avoirdupois ounce
    assert temperature(25.0, "us") == "25 degC (77 degF)"  # exact: 25 degC is 77 degF


def test_density_has_two_figures_of_a_million() -> None:
    assert [millions(d) for d in (0.0, 45000.0, 999_999.0, 250e6)] == ["0", "0.045", "1.0", "250"]


@pytest.mark.parametrize("wrong", [-1.0, math.nan, math.inf])
def test_impossible_amounts_are_refused(wrong: float) -> None:
    for show in (volume, mass, millions):
        with pytest.raises(ValueError, match="can not be measured out"):
            show(wrong)
