"""Bleach and thiosulphate amounts; every caution carries its source and how far it was seen."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from greenrota.culture.bench.sanitation import CAUTIONS, bleach_ml, caution, thiosulphate
from greenrota.culture.data.strain import STATUSES

CL2_G_PER_MOL = 70.906  # molar masses: standard atomic weights
NAOCL_G_PER_MOL = 74.442
THIOSULPHATE_5H2O_G_PER_MOL = 248.184


@pytest.mark.parametrize(
    ("percent", "chlorine_mg_per_l", "ml_per_l"),
    [
        # derived by hand, C1 V1 = C2 V2, to the digits shown
        (5.25, 2.0, 0.040),
        (5.25, 10.0, 0.20),
        (5.25, 20.0, 0.40),
        (5.25, 50.0, 1.00),
        (5.25, 200.0, 4.00),
        (5.25, 500.0, 10.0),
        (5.25, 1000.0, 20.0),
        (8.25, 10.0, 0.13),
        (8.25, 20.0, 0.25),
        (8.25, 50.0, 0.64),
        (8.25, 200.0, 2.55),
        (8.25, 500.0, 6.36),
        (8.25, 1000.0, 12.7),
    ],
)
def test_bleach_rows(percent, chlorine_mg_per_l, ml_per_l):
    # tolerance: half of the last printed digit, 2.4 % of the coarsest row
    assert bleach_ml(1.0, chlorine_mg_per_l, percent) == pytest.approx(ml_per_l, rel=0.03)
    exact = chlorine_mg_per_l / (percent * 10.0 * CL2_G_PER_MOL / NAOCL_G_PER_MOL)
    assert bleach_ml(1.0, chlorine_mg_per_l, percent) == pytest.approx(exact, rel=1e-4)  # 0.9525 has 4 digits


def test_home_dilution():
    # published: CDC CS316270A, 5 tablespoons (73.93 mL) and a gallon (3.785 L) of water. By hand:
    # 73.93 mL x 50.0 mg/mL / 3.859 L = 958 mg/L as Cl2 at 5.25 %; three digits
    finished_l = 3.785411784 + 0.07393
    assert bleach_ml(finished_l, 958.0, 5.25) == pytest.approx(73.93, rel=1e-3)


def test_hospital_dilution():
    # published: WHO 2014 Annex G, 5 % bleach is 50,000 ppm (as NaOCl) and 1:100 is 500 ppm
    chlorine_mg_per_l = 500.0 * CL2_G_PER_MOL / NAOCL_G_PER_MOL
    assert bleach_ml(1.0, chlorine_mg_per_l, 5.0) == pytest.approx(10.0, rel=1e-4)


@given(volume_l=st.floats(0.01, 1000.0), chlorine=st.floats(0.0, 5000.0), percent=st.floats(1.0, 15.0))
def test_bleach_brings_the_chlorine_wanted(volume_l, chlorine, percent):
    brought_mg = bleach_ml(volume_l, chlorine, percent) * percent * 10.0 * CL2_G_PER_MOL / NAOCL_G_PER_MOL
    assert brought_mg == pytest.approx(volume_l * chlorine, rel=1e-4)  # 0.9525 has four digits


def test_thiosulphate_ceiling_is_two_to_one():
    # derived by hand: 2 S2O3 to 1 Cl2; the constant has two digits
    per_g = 2.0 * THIOSULPHATE_5H2O_G_PER_MOL / CL2_G_PER_MOL
    assert thiosulphate(1.0, 1000.0).ceiling_g == pytest.approx(per_g, rel=1e-3)


def test_thiosulphate_practice_lies_between_the_two_routes():
    dose = thiosulphate(10.0, 20.0)  # 0.2 g of chlorine
    # copies of practice: 3 and 5 g/g; sulphate route (1 to 4) derived by hand: 0.875 g/g
    assert (dose.practice_low_g, dose.practice_high_g) == (pytest.approx(0.6), pytest.approx(1.0))
    assert dose.practice_low_g > 0.2 * THIOSULPHATE_5H2O_G_PER_MOL / 4.0 / CL2_G_PER_MOL
    assert dose.practice_high_g < dose.ceiling_g


@pytest.mark.parametrize(
    ("reckon", "named"),
    [
        (lambda: bleach_ml(0.0, 10.0, 5.0), "volume 0.0"),
        (lambda: bleach_ml(1.0, -1.0, 5.0), "-1.0 mg/L"),
        (lambda: bleach_ml(1.0, 10.0, 0.0), "bleach of 0.0"),
        (lambda: bleach_ml(1.0, 10.0, 52.5), "bleach of 52.5"),
        (lambda: bleach_ml(1.0, 60_000.0, 5.0), "60000.0 mg/L is more"),
        (lambda: thiosulphate(-2.0, 10.0), "volume -2.0"),
        (lambda: thiosulphate(1.0, float("nan")), "nan"),
    ],
)
def test_values_outside_are_named(reckon, named):
    with pytest.raises(ValueError, match=named):
        reckon()


@pytest.mark.parametrize("key", sorted(CAUTIONS))
def test_every_caution_says_where_it_comes_from(key):
    told = caution(key)
    assert told.key == key
    assert told.text.endswith(".")
    assert len(told.text) <= 260  # our choice: three lines of a printed card
    assert told.source
    assert told.status in STATUSES
    if "no source" in told.source or "inferred" in told.source:
        assert told.status in ("from memory", "common practice")
    if "seen in" in told.source or "quoted" in told.source:
        assert told.status != "published"


def test_the_topics_of_the_culture_room_are_all_there():
    wanted = {"bleach", "mains", "glass", "hot_water", "air_line", "food_fridge", "nutrient"}
    assert wanted <= set(CAUTIONS)


def test_electrical_and_chemical_cautions_defer():
    assert "licensed electrician" in caution("mains").text
    assert "codes" in caution("mains").text
    assert "label" in caution("bleach").text
    assert "siphon" in caution("air_line").text
    assert "vent" in caution("air_line").text


def test_unknown_caution_is_named():
    with pytest.raises(KeyError, match="lava"):
        caution("lava")
