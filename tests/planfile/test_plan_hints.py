"""A hint is followed once: what it says to write is read, or is the same for every spelling of the slip."""

from __future__ import annotations

import pytest
from plan_texts import SHORT, changed, only_problem

from greenrota.planfile.fields.days import wrong_day
from greenrota.planfile.read.load import read_plan
from greenrota.planfile.text.units import QuantityError, quantity

START, LIGHT = "start = 2027-02-01", 'photoperiod = "14 h"'
WATER, DOSE = 'salinity = "26 psu"', 'dose = "0.20 mL/L"'


@pytest.mark.parametrize(
    ("text", "what", "hint"),
    [  # calendar by hand: 28 days in February 2027, 30 in November
        (changed(START, "start = 2027-02-30"), "no day of the calendar", "2027-02 has 28 days"),
        (changed(START, 'start = "2027-02-30"'), "no day of the calendar", "2027-02 has 28 days"),
        (changed(START, "start = 2026-11-31"), "no day of the calendar", "2026-11 has 30 days"),
        (changed(START, "start = 2027-13-01"), "no day of the calendar", "12 months"),
        (changed(START, "start = 28.11.2026"), "year-month-day", "write 2026-11-28"),
        (changed(START, 'start = "28.11.2026"'), "year-month-day", "write 2026-11-28, without quotes"),
        (changed(START, 'start = "11/28/2026"'), "year-month-day", "write 2026-11-28, without quotes"),
        (changed(START, 'start = "3/4/2027"'), "year-month-day", "write 2027-03-04 or 2027-04-03"),
        (changed(START, 'start = "3.4.2027"'), "year-month-day", "write 2027-04-03, without quotes"),
        (changed(START, "start = 2027-2-1"), "year-month-day", "write 2027-02-01"),
        (changed(START, 'start = "2027-02-01"'), "not a date", "leave out the quotes: 2027-02-01"),
        (changed(START, 'start = "30.2.2027"'), "not a date", "for example 2027-02-01"),
        (changed(LIGHT, f"{LIGHT}\nlights_on = 7:30"), "not TOML", 'lights_on = "07:30"'),
        (changed(LIGHT, f"{LIGHT}\nlights_on = 7"), "no time of day", '"08:00"'),
        (f"{SHORT}[cycle]\ninoculum = 20%\n", "not TOML", "inoculum = 0.20"),
        (f'{SHORT}[cycle]\ninoculum = "20%"\n', "not a share", "write 0.20"),
        (f'{SHORT}[cycle]\ninoculum = "2.5 %"\n', "not a share", "write 0.025"),
        (changed(WATER, "salinity = 1.020"), "has no unit", 'write "1.02 SG"'),
        (changed(WATER, 'salinity = "1.021"'), "has no unit", 'write "1.021 SG"'),
        (changed(WATER, 'salinity = "1,021"'), "has no unit", 'write "1.021 SG"'),
        (changed(WATER, "salinity = 1021"), "has no unit", 'write "1.021 SG"'),
        (changed(WATER, 'salinity = "26"'), "has no unit", '"26 psu"'),
        (changed(WATER, 'salinity = "35000 ppm"'), "ppm", 'write "35 ppt"'),
        (changed(WATER, 'salinity = "3.5 %"'), "%", 'write "35 ppt"'),
        (changed(WATER, f'{WATER}\nbucket = "0 L"'), "out of range", 'a usual figure is "20 L"'),
        (changed(DOSE, 'dose = "10 drops per gallon"'), "quantity", 'write "10 drops/gal"'),
        (changed(DOSE, 'dose = "1 mL/10 L"'), "quantity", 'write "0.1 mL/L"'),
        (changed(DOSE, 'dose = "5 mL per 25 gallons"'), "quantity", 'write "0.2 mL/gal"'),
    ],
)
def test_one_slip_has_one_hint(text: str, what: str, hint: str) -> None:
    problem = only_problem(text)
    assert what in problem.what
    assert hint in problem.hint
    assert "psu" not in problem.hint or "SG" not in problem.hint


@pytest.mark.parametrize(
    ("old", "new"),
    [
        (START, "start = 2026-11-28"),
        (WATER, 'salinity = "1.02 SG"'),
        (WATER, 'salinity = "35 ppt"'),
        (DOSE, 'dose = "0.5 mL/gal"'),
        (LIGHT, f'{LIGHT}\nlights_on = "07:30"'),
        (LIGHT, f'{LIGHT}\nlights_on = "7:30"'),
        (LIGHT, f"{LIGHT}\nlights_on = 07:30:00"),
    ],
)
def test_what_a_hint_says_to_write_is_read(old: str, new: str) -> None:
    plan = read_plan(changed(old, new), "plan.toml")
    assert "lights_on" not in new or plan.vessels[0].lights_on_h == 7.5  # by hand


def test_ppm_of_an_ion_is_milligrams_in_a_litre() -> None:
    with pytest.raises(QuantityError) as caught:
        quantity("10 ppm", "mass per volume")
    assert 'write "10 mg/L"' in caught.value.hint


def test_a_day_of_no_year_at_all_is_told() -> None:
    assert wrong_day("0000-01-01")[0] == "0000-01-01 is no day of the calendar"
