"""The unit door: exact definitions, the strict grammar, and what is refused with which hint."""

from __future__ import annotations

import subprocess
import sys
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from greenrota.culture.water.seawater import reference_salinity_g_per_kg
from greenrota.planfile.text.factors import by_pint, factor
from greenrota.planfile.text.spelling import KINDS, SPELLINGS
from greenrota.planfile.text.units import QuantityError, measured, quantity

US_GALLON_L = (
    Fraction(231) * Fraction("2.54") ** 3 / 1000
)  # 231 cubic inches of 2.54 cm: exact, by definition

# Published, exact: NIST Handbook 44 (Appendix C) for the parts of a US gallon, Weights and Measures Act 1985
# for the imperial gallon.
VOLUMES_L = {
    "gal": US_GALLON_L,
    "qt": US_GALLON_L / 4,
    "cup": US_GALLON_L / 16,
    "fl_oz": US_GALLON_L / 128,
    "tbsp": US_GALLON_L / 256,
    "tsp": US_GALLON_L / 768,
    "imp_gal": Fraction("4.54609"),
    "L": Fraction(1),
    "l": Fraction(1),
    "mL": Fraction(1, 1000),
    "ml": Fraction(1, 1000),
}


def refused(text: str, kind: str = "volume") -> QuantityError:
    with pytest.raises(QuantityError) as caught:
        quantity(text, kind)
    return caught.value


def test_us_gallon_is_exact() -> None:
    assert Fraction("3.785411784") == US_GALLON_L
    assert quantity("1 gal", "volume") == 3.785411784
    assert quantity("1 imp_gal", "volume") == 4.54609


@pytest.mark.parametrize("unit", VOLUMES_L)
@given(number=st.decimals(min_value=0, max_value=10**6, places=3))
def test_volumes_are_the_nearest_float_to_the_exact_value(unit: str, number: object) -> None:
    assert quantity(f"{number:f} {unit}", "volume") == float(Fraction(str(number)) * VOLUMES_L[unit])


def test_every_volume_spelling_is_checked_above() -> None:
    assert {text for text, unit in SPELLINGS.items() if unit.measures == "a volume"} == set(VOLUMES_L)


@pytest.mark.parametrize(
    ("text", "kind", "value"),
    [  # by hand from the definitions
        ("250 g", "mass", 250.0),
        ("1.5 kg", "mass", 1500.0),
        ("1500 mg", "mass", 1.5),
        ("1 lb", "mass", 453.59237),
        ("1 oz", "mass", 28.349523125),
        ("22 degC", "temperature", 22.0),
        ("77 degF", "temperature", 25.0),
        ("32 degF", "temperature", 0.0),
        ("25 °C", "temperature", 25.0),
        ("26 psu", "salinity", 26.0),
        ("35 ppt", "salinity", 35.0),
        ("35.16504 g/kg", "salinity", 35.0),
        ("1.020 SG", "gravity", 1.02),
        ("2e6 cells/mL", "density", 2e6),
        ("2.5E+6/mL", "density", 2.5e6),
        ("2e9 cells/L", "density", 2e6),
        ("0.55 /day", "rate", 0.55),
        ("0.55/day", "rate", 0.55),
        ("14 h", "hours", 14.0),
        ("90 min", "hours", 1.5),
        ("14 days", "days", 14.0),
        ("36 h", "days", 1.5),
        ("4000 lux", "light", 4000.0),
        ("60 umol/m2/s", "photons", 60.0),
        ("60 \u00b5mol/m2/s", "photons", 60.0),
        ("0.20 mL/L", "dose", 0.2),
        ("1 mL/gal", "dose", float(1 / US_GALLON_L)),
        ("120 mL/day", "ration", 120.0),
        ("4 fl_oz/day", "ration", float(US_GALLON_L * 1000 / 32)),
        ("0.8 L/min", "air", 0.8),
        ("880 umol/L", "amount", 880.0),
        ("0.88 mmol/L", "amount", 880.0),
        ("55 mg/L", "mass per volume", 55.0),
        ("1.5L", "volume", 1.5),
        ("1.5 l", "volume", 1.5),
        ("1 tsp", "small volume", float(US_GALLON_L * 1000 / 768)),
    ],
)
def test_reads(text: str, kind: str, value: float) -> None:
    assert quantity(text, kind) == value


def test_absolute_salinity_agrees_with_the_seawater_core() -> None:
    # two routes to Millero et al. 2008; rel 1e-14: a few roundings
    assert reference_salinity_g_per_kg(quantity("30 g/kg", "salinity")) == pytest.approx(30.0, rel=1e-14)


@pytest.mark.parametrize(
    ("text", "hint"),
    [
        ("1,5 L", 'write "1.5 L"'),
        ("1,5 l", 'write "1.5 l"'),
        ("1,500 mL", '"1.500 mL" or "1500 mL"'),
        ("1 500 mL", 'write "1500 mL"'),
        ("1 500 ml", 'write "1500 ml"'),
        ("1'500 mL", 'write "1500 mL"'),
        ("nan L", "a number and a unit"),
        ("nan l", "a number and a unit"),
        ("inf L", "a number and a unit"),
        ("inf l", "a number and a unit"),
        ("-1 l", 'without "-"'),
        ("+1 L", 'without "+"'),
        ("9**9**9 l", "a number and a unit"),
        ("1 ML", 'write "1 mL"'),
        ("1 Gal", 'write "1 gal"'),
        ("1 gallons", 'write "1 gal"'),
        ("1 fl oz", 'write "1 fl_oz"'),
        ("1  L", 'write "1 L"'),
        ("1\u00a0L", 'write "1 L"'),
        ("1\tL", 'write "1 L"'),
        (" 1 L", 'write "1 L"'),
        ("1 L\n", 'write "1 L"'),
        ("5", '"5 L"'),
        ("", "a number and a unit"),
        ("L", "a number and a unit"),
        (".5 L", "a number and a unit"),
        ("5. L", "a number and a unit"),
        ("0x10 L", "a number and a unit"),
        ("1_000 L", 'write "1000 L"'),
        ("1e999 L", "a number and a unit"),
        ("1/2 L", "a number and a unit"),
        ("1 L L", "a number and a unit"),
        ("\u0663 L", "a number and a unit"),
        ("1" * 65 + " L", "a number and a unit"),
    ],
)
def test_refuses_what_is_no_plain_quantity(text: str, hint: str) -> None:
    error = refused(text)
    assert error.code == "bad-quantity"
    assert hint in error.hint
    assert 'a volume such as "1.5 L" is wanted' in error.what


@pytest.mark.parametrize(
    ("text", "kind", "hint"),
    [
        ("25 C", "temperature", 'write "25 degC"'),
        ("77 F", "temperature", 'write "77 degF"'),
        ("14 hours", "hours", 'write "14 h"'),
        ("14 d", "days", 'write "14 days"'),
        ("2e6 cells per mL", "density", 'write "2e6 cells/mL"'),
        ("1.020 sg", "gravity", 'write "1.020 SG"'),
        ("60 umol/m²/s", "photons", 'write "60 umol/m2/s"'),
    ],
)
def test_tells_the_right_spelling(text: str, kind: str, hint: str) -> None:
    error = refused(text, kind)
    assert (error.code, error.hint) == ("bad-quantity", hint)


@pytest.mark.parametrize(
    ("text", "kind", "what"),
    [
        ("1500 mg", "volume", '"1500 mg" is a mass; a volume such as "1.5 L" is wanted here'),
        ("35 ppt", "volume", '"35 ppt" is a salinity; a volume such as "1.5 L" is wanted here'),
        ("5 L", "temperature", '"5 L" is a volume; a temperature such as "22 degC" is wanted here'),
        ("14 days", "salinity", '"14 days" is a time; a salinity such as "26 psu" is wanted here'),
    ],
)
def test_a_wrong_dimension_says_what_it_is(text: str, kind: str, what: str) -> None:
    error = refused(text, kind)
    assert (error.code, error.what) == ("wrong-dimension", what)


def test_an_ounce_for_a_volume_is_told_apart() -> None:
    assert '"16 fl_oz"' in refused("16 oz").hint


def test_a_key_of_two_kinds_tells_which_it_got() -> None:
    assert measured("1.020 SG", ("salinity", "gravity")) == (1.02, "gravity")
    assert measured("26 psu", ("salinity", "gravity")) == (26.0, "salinity")


def test_messages_hold_no_control_characters() -> None:
    error = refused("1 \x1b[31mL")
    assert error.what.isprintable() and error.hint.isprintable()


@given(st.text(max_size=80), st.sampled_from(sorted(KINDS)))
def test_any_text_is_read_or_refused(text: str, kind: str) -> None:
    try:
        value = quantity(text, kind)
    except QuantityError as error:
        assert error.code in ("bad-quantity", "wrong-dimension")
        assert error.what and error.hint and error.what.isprintable()
    else:
        assert value == value and abs(value) < float("inf")
        assert any(text.endswith(unit) for unit in SPELLINGS)


@given(st.integers(min_value=0, max_value=10**9))
def test_millilitres_and_litres_are_one_number(ml: int) -> None:
    assert quantity(f"{ml} mL", "volume") == quantity(f"{ml // 1000}.{ml % 1000:03d} L", "volume")


PAIRS = sorted(
    {
        (unit.definition, kind.base)
        for unit in SPELLINGS.values()
        for kind in KINDS.values()
        if unit.measures == kind.measures
    }
)


@pytest.mark.parametrize(("unit", "base"), PAIRS)
def test_a_factor_is_that_of_the_unit_library(unit: str, base: str) -> None:
    # independent route: pint reads the unit file and converts, with fractions that are never rounded
    assert factor(unit, base) == by_pint(unit, base)
    assert factor(unit, base)[0] > 0


def test_pint_is_loaded_only_where_the_line_of_a_unit_is_not_simple() -> None:
    code = (
        "import sys; from greenrota.planfile.text.units import quantity; quantity('1 gal', 'volume');"
        "assert 'pint' not in sys.modules; quantity('35 g/kg', 'salinity'); assert 'pint' in sys.modules"
    )
    subprocess.run([sys.executable, "-c", code], check=True)
