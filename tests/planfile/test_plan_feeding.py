"""What a plan says about feeding and prices: rations in two ways, diets, limits, consumers."""

from __future__ import annotations

import tomllib

import pytest
from jsonschema import Draft202012Validator
from plan_texts import SHORT, only_problem, problems

from greenrota.planfile.read.load import read_plan
from greenrota.planfile.tables.jsonschema import json_schema
from greenrota.planfile.text.units import quantity
from greenrota.rota.plan import Consumer, Diet, Plan, Prices, Tank

TANK = '[tank]\nvolume = "300 L"\n'
RATION = 'ration = "120 mL/day"\n'


def plan_with(text: str) -> Plan:
    return read_plan(SHORT + text, "plan.toml")


def tank_with(text: str, ration: str = RATION) -> Tank:
    tank = plan_with(TANK + ration + text).tank
    assert tank is not None
    return tank


def test_a_ration_as_volume_leaves_everything_else_at_its_default() -> None:
    assert tank_with("") == Tank(300.0, 120.0, 14)


def test_a_ration_in_cells_is_kept_in_cells() -> None:
    tank = tank_with("", 'ration = "5e3 cells/mL/day"\n')
    assert (tank.ration_cells_per_ml, tank.ration_ml_per_day) == (5000.0, 0.0)


def test_cells_per_litre_are_a_thousandth() -> None:
    # by hand: 5e6 cells in a litre are 5e3 in a mL
    assert quantity("5e6 cells/L/day", "cell ration") == 5000.0


@pytest.mark.parametrize(
    ("ration", "code"),
    [
        ('"120 mL"', "wrong-dimension"),
        ('"5e3 cells/mL"', "wrong-dimension"),
        ('"5e3 cells/ml/d"', "bad-quantity"),
        ('"0 cells/mL/day"', "out-of-range"),
        ('"1e9 cells/mL/day"', "out-of-range"),
        ("120", "bad-quantity"),
        ("true", "bad-quantity"),
    ],
)
def test_what_is_no_ration(ration: str, code: str) -> None:
    problem = only_problem(f"{SHORT}{TANK}ration = {ration}\n")
    assert problem.code == code
    assert problem.where.text == f"ration = {ration}"


def test_limits_are_kept_as_mg_per_l_of_the_ion() -> None:
    tank = tank_with('nitrate_limit = "10 mg/L"\nphosphate_limit = "1 umol/L"\nramp = true\n')
    assert tank.nitrate_limit_mg_per_l == 10.0
    # by hand: PO4 weighs 30.974 + 4 x 15.999 = 94.97 g/mol, so 1 umol/L is 0.09497 mg/L (IUPAC weights, 5 digits)
    assert tank.phosphate_limit_mg_per_l == pytest.approx(0.09497, rel=2e-5)
    assert tank.ramp


def test_ramp_is_true_or_false() -> None:
    assert only_problem(f'{SHORT}{TANK}{RATION}ramp = "yes"\n').code == "wrong-type"


def test_consumers_with_their_diets() -> None:
    text = (
        '[[consumer]]\nname = "copepods"\nration = "2e4 cells/mL/day"\nvolume = "10 L"\npriority = 1\n'
        "strains = { tetraselmis = 0.7, isochrysis = 0.3 }\n"
        '[[consumer]]\nname = "clams"\nration = "40 mL/day"\nstrains = ["isochrysis", "pavlova"]\n'
    )
    shares = Diet(shares=(("tetraselmis", 0.7), ("isochrysis", 0.3)))
    assert plan_with(text).consumers == (
        Consumer("copepods", 0.0, 20000.0, 10.0, shares, 1),
        Consumer("clams", 40.0, diet=Diet(any_of=("isochrysis", "pavlova"))),
    )
    schema = json_schema()
    shown = {**schema["$defs"]["ConsumerTable"], "$defs": schema["$defs"]}
    assert all(Draft202012Validator(shown).is_valid(table) for table in tomllib.loads(text)["consumer"])


@pytest.mark.parametrize(
    ("strains", "code"),
    [
        ("{ tetraselmis = 0.7, isochrysis = 0.2 }", "bad-shares"),
        ("{ tetraselmis = 70, isochrysis = 30 }", "out-of-range"),
        ('["tetraselmiss"]', "unknown-strain"),
        ("[]", "wrong-type"),
        ('"tetraselmis"', "wrong-type"),
        ("{}", "wrong-type"),
    ],
)
def test_what_is_no_diet(strains: str, code: str) -> None:
    assert only_problem(f"{SHORT}{TANK}{RATION}strains = {strains}\n").code == code


def test_cells_without_a_volume_of_water_are_told() -> None:
    problem = only_problem(f'{SHORT}[[consumer]]\nname = "copepods"\nration = "2e4 cells/mL/day"\n')
    assert problem.code == "missing-key"
    assert 'consumer "copepods": volume is missing' in problem.what


def test_consumers_have_names_of_their_own() -> None:
    one = '[[consumer]]\nname = "copepods"\nration = "40 mL/day"\n'
    assert only_problem(SHORT + one + one).code == "duplicate-name"
    assert only_problem(SHORT + TANK + RATION + one.replace("copepods", "tank")).code == "duplicate-name"
    assert plan_with(one.replace("copepods", "tank")).consumers[0].name == "tank"


def test_prices() -> None:
    plan = plan_with('[prices]\ncurrency = "EUR"\nsalt_per_kg = 4.5\nbleach_per_l = 2\n')
    assert plan.prices == Prices("EUR", 4.5, 2.0)
    assert plan_with("").prices == Prices()
    nutrient = 'dose = "0.20 mL/L"\n'
    priced = SHORT.replace(nutrient, nutrient + 'size = "250 mL"\nprice = 19.9\n')
    assert (read_plan(priced, "p").nutrients["f2"].size_ml, read_plan(priced, "p").nutrients["f2"].price) == (
        250.0,
        19.9,
    )


def test_prices_are_plain_numbers() -> None:
    found = problems(SHORT + '[prices]\nsalt_per_kg = "4.50 EUR"\nbleach_per_l = -1\n')
    assert [problem.code for problem in found] == ["wrong-type", "out-of-range"]
