"""From a plan file to records: what every key becomes, and what is taken where a key is left out."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st
from plan_texts import FULL, SHORT, changed

from greenrota.culture.data.medium import media
from greenrota.culture.data.strain import strains
from greenrota.culture.water.seawater import Hydrometer, salinity_from_gravity
from greenrota.planfile.read.blank import blank_plan
from greenrota.planfile.read.load import read_plan, read_plan_bytes
from greenrota.rota.plan import Away, CyclePlan, Nutrient, Plan, Starter, Tank, Vessel, Water, Work


def loaded(text: str) -> Plan:
    return read_plan(text, "plan.toml")


def test_every_promised_key() -> None:
    plan = loaded(FULL)
    assert (plan.name, plan.start, plan.days, plan.units) == ("shelf", date(2027, 2, 1), 31, "metric")
    assert plan.through == date(2027, 3, 3)
    assert plan.water == Water(26.0, 0.10, bucket_l=10.0)
    assert plan.nutrients == {"f2": Nutrient("f2", media()["f/2"], 0.2, 250.0)}
    assert plan.starters == (Starter("bought", "tetraselmis", 500.0, 2e6, date(2027, 1, 30), 0.25),)
    assert plan.vessels == (Vessel("north", "tetraselmis", "f2", 5.0, 4.0, 22.0, 14.0),)
    assert plan.cycle == CyclePlan(0.2, 8, 5, 1.0, 6)
    assert plan.tank == Tank(300.0, 120.0, 14)
    assert plan.work == Work(frozenset({2, 5, 6}), 4)
    assert plan.away == (Away(date(2027, 2, 13), date(2027, 2, 17)),)
    own = plan.strains["tetraselmis"]
    assert (own.rate_per_day, own.ceiling_per_ml, own.ceiling_exponent) == (0.55, 1.3e6, 0.0)


def test_what_is_left_out() -> None:
    plan = loaded(SHORT)
    assert (plan.starters, plan.away, plan.tank) == ((), (), None)
    assert (plan.cycle, plan.work) == (CyclePlan(), Work())
    assert plan.strains == {"tetraselmis": strains()["tetraselmis"]}
    assert plan.vessels[0].light_lux is None and plan.vessels[0].air_l_per_min is None


def test_the_optional_keys_of_a_vessel() -> None:
    more = (
        '\nstrain = "pavlova"\ntemperature = "77 degF"\nrole = "standby"\nlight = "58 umol/m2/s"\n'
        'air = "800 mL/min"\nlights_on = "20:30"\nnutrient = "f2"'
    )
    plan = loaded(changed('name = "north"', 'name = "north"' + more))
    vessel = plan.vessels[0]
    assert (vessel.strain, vessel.temperature_c, vessel.role) == ("pavlova", 25.0, "standby")
    assert vessel.light_lux == pytest.approx(4000.0)  # 58 / 0.0145, by hand
    assert (vessel.air_l_per_min, vessel.lights_on_h) == (0.8, 20.5)
    assert set(plan.strains) == {"pavlova"}


def test_a_back_up_may_be_larger_if_the_plan_says_so() -> None:
    plan = loaded(FULL.replace("renew_after  = 6", 'backup = "2 L"\nrenew_after  = 6'))
    assert plan.cycle == CyclePlan(0.2, 8, 5, 1.0, 6, backup_ml=2000.0)


def test_a_two_part_concentrate_and_its_date() -> None:
    second = '[[nutrient]]\nname = "B"\nmedium = "f/2-Si"\ndose = "0.2 mL/L"\n'
    text = changed('name = "f2"', 'name = "f2"\nopened = 2027-01-05\nother_part = "B"') + second
    plan = loaded(text)
    assert (plan.nutrients["f2"].other_part, plan.nutrients["f2"].opened) == ("B", date(2027, 1, 5))
    assert plan.vessels[0].nutrient == "f2"  # the second bottle is no choice of its own


@pytest.mark.parametrize(
    ("lines", "hydrometer"),
    [
        ('salinity = "1.020 SG"', Hydrometer(25.0, 25.0)),
        ('salinity = "1.020 SG"\nhydrometer = "20C/4C"', Hydrometer(20.0, 4.0)),
        ('hydrometer = "77F/77F"\nsalinity = "1.020 SG"', Hydrometer(25.0, 25.0)),
    ],
)
def test_a_reading_counts_with_its_reference(lines: str, hydrometer: Hydrometer) -> None:
    plan = loaded(changed('salinity = "26 psu"', lines))
    assert plan.water.salinity_psu == salinity_from_gravity(1.020, hydrometer)


def test_an_own_medium_in_both_units() -> None:
    own = '[medium.mix]\nnitrate = "62.005 mg/L"\nphosphate = "30 umol/L"\nsilicate = "60.084 mg/L"\n'
    medium = loaded(changed('medium = "f/2"', 'medium = "mix"') + own).nutrients["f2"].medium
    assert medium.name == "mix" and medium.phosphorus_umol_l == 30.0
    # one mmol/L by the molar masses of NO3 and SiO2 (62.005, 60.084 g/mol)
    assert (medium.nitrogen_umol_l, medium.silicon_umol_l) == (pytest.approx(1000.0), pytest.approx(1000.0))


def test_a_new_strain_on_a_built_in_one() -> None:
    own = '[strain.mine]\nbase = "isochrysis"\nrate = "0.4 /day"\n'
    plan = loaded(changed('strain = "tetraselmis"', 'strain = "mine"') + own)
    strain, base = plan.strains["mine"], strains()["isochrysis"]
    assert (strain.name, strain.rate_per_day) == ("mine", 0.4)
    assert (strain.ceiling_per_ml, strain.ceiling_exponent) == (base.ceiling_per_ml, base.ceiling_exponent)


@pytest.mark.parametrize("name", ["2", "north-2 left_side", "Süd", "槽一", "वन", "x" * 40])
def test_names_in_any_script(name: str) -> None:
    assert loaded(changed('name = "north"', f'name = "{name}"')).vessels[0].name == name


def test_two_ways_to_type_an_accent_are_one_name() -> None:
    plan = loaded(
        changed(
            'name = "f2"', 'name = "e\u0301"', changed('fill = "4 L"', 'fill = "4 L"\nnutrient = "\u00e9"')
        )
    )
    assert plan.vessels[0].nutrient == "\u00e9" and set(plan.nutrients) == {"\u00e9"}


@given(st.integers(10, 5000))  # 10 mL is the least a vessel may be filled with
def test_millilitres_and_litres_give_one_plan(ml: int) -> None:
    litres = f"{ml // 1000}.{ml % 1000:03d}"
    assert loaded(changed('fill = "4 L"', f'fill = "{ml} mL"')) == loaded(
        changed('fill = "4 L"', f'fill = "{litres} L"')
    )


def test_a_gallon_filled_to_the_brim_is_no_overflow() -> None:
    text = changed('volume = "5 L"', 'volume = "1 gal"', changed('fill = "4 L"', 'fill = "3.785411784 L"'))
    vessel = loaded(text).vessels[0]
    assert vessel.fill_l == vessel.brim_l


@pytest.mark.parametrize("data", [b"\xef\xbb\xbf" + FULL.encode(), FULL.replace("\n", "\r\n").encode()])
def test_byte_order_mark_and_windows_lines(data: bytes) -> None:
    assert read_plan_bytes(data, "plan.toml") == loaded(FULL)


def test_the_blank_plan_loads_as_written_and_with_every_line_in_use() -> None:
    text = blank_plan(date(2027, 1, 31))
    plan = loaded(text)
    assert (plan.start, plan.starters[0].on_hand) == (date(2027, 2, 1), date(2027, 1, 31))
    lines = text.split("[rota]", 1)[1].splitlines()
    used = "\n".join(line.removeprefix("# ") for line in lines)
    second = '[[nutrient]]\nname = "part B"\nmedium = "mine"\ndose = "0.2 mL/L"\n'
    full = loaded("[rota]" + used.replace("greenrota", "#") + "\n" + second)
    assert full.units == "us" and full.cycle.days == 8 and full.nutrients["f2"].other_part == "part B"


def test_the_blank_plan_names_every_strain_and_medium_that_ships(monkeypatch: pytest.MonkeyPatch) -> None:
    def named(head: str, until: str) -> list[str]:
        words = blank_plan(date(2027, 1, 31)).split(head, 1)[1].split(until, 1)[0]
        return [word.strip() for word in words.replace("#", " ").replace("\n", " ").split(",")]

    assert sorted(["tetraselmis", *named("knows also:", "\n\n")]) == sorted(strains())
    assert named('"f/2"', ", or a") == list(media())
    more = {**strains(), "newcomer": strains()["tetraselmis"]}
    monkeypatch.setattr("greenrota.planfile.read.blank.strains", lambda: more)
    assert "newcomer" in named("knows also:", "\n\n")


def test_ten_thousand_vessels() -> None:
    vessels = "".join(
        f'[[vessel]]\nname = "v{n}"\nvolume = "5 L"\nfill = "4 L"\nphotoperiod = "14 h"\n'
        for n in range(10_000)
    )
    plan = loaded(SHORT + vessels)
    assert len(plan.vessels) == 10_001 and plan.vessel("v9999").fill_l == 4.0
