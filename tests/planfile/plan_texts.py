"""Plans that several tests start from."""

from __future__ import annotations

import pytest

from greenrota.errors import Problem, ProblemsFound
from greenrota.planfile.read.load import read_plan

# Every key of the plan as it is promised to users, word for word.
FULL = """\
[rota]
name  = "shelf"
start = 2027-02-01           # first day of the rota
days  = 31                   # horizon
strain = "tetraselmis"       # default for vessels and starters

[room]
temperature = "22 degC"      # degC or degF

[water]
salinity       = "26 psu"    # psu, ppt, g/kg, or a hydrometer reading such as "1.020 SG"
hydrometer     = "25C/25C"   # what the reading compares with; default 25C/25C, used only with SG
salt_hydration = 0.10        # share of the dry mix that is bound water
bucket = "10 L"              # salt water is mixed in it

[[nutrient]]
name   = "f2"
medium = "f/2"               # f/2, f/2-Si, L1, Walne, or a [medium.NAME] table of this file
dose   = "0.20 mL/L"         # label dose that brings plain seawater to full strength
bottle = "250 mL"            # what is left in it (optional)

[[starter]]
name      = "bought"
volume    = "500 mL"
density   = "2e6 cells/mL"
on_hand   = 2027-01-30       # the day it arrived
keep_back = 0.25             # share held back in the fridge as insurance

[[vessel]]
name        = "north"
volume      = "5 L"          # brim
fill        = "4 L"          # working volume
photoperiod = "14 h"         # optional keys: strain, nutrient, temperature, role

[cycle]                      # all optional
inoculum     = 0.20          # share of the working volume carried over at re-seed
days         = 8             # pinned days from start or re-seed to harvest
feed_day     = 5             # second dose on this day of the batch
feed_dose    = 1.0           # in label doses
renew_after  = 6             # re-seeds before a vessel is broken down and restarted

[tank]
volume = "300 L"
ration = "120 mL/day"
keeps  = "14 days"           # how long harvested feed stays usable in the fridge

[work]                       # when there is time for it
days         = ["Wed", "Sat", "Sun"]   # default: every day
jobs_per_day = 4

[[away]]
from = 2027-02-13
to   = 2027-02-17            # both days included

[strain.tetraselmis]         # optional: own figures replace the built-in ones
rate    = "0.55 /day"
ceiling = "1.3e6 cells/mL"
"""

SHORT = """\
[rota]
name = "shelf"
start = 2027-02-01
days = 31
strain = "tetraselmis"
[room]
temperature = "22 degC"
[water]
salinity = "26 psu"
[[nutrient]]
name = "f2"
medium = "f/2"
dose = "0.20 mL/L"
[[vessel]]
name = "north"
volume = "5 L"
fill = "4 L"
photoperiod = "14 h"
"""


def problems(text: str) -> tuple[Problem, ...]:
    """All problems of a text that has some."""
    with pytest.raises(ProblemsFound) as caught:
        read_plan(text, "plan.toml")
    assert caught.value.status == 1
    return caught.value.problems


def only_problem(text: str) -> Problem:
    """The one problem of a text that has exactly one."""
    found = problems(text)
    assert len(found) == 1, [f"{p.where}: {p.what} [{p.code}]" for p in found]
    return found[0]


def changed(old: str, new: str, text: str = SHORT) -> str:
    """The text with one line replaced; it must be there."""
    assert f"{old}\n" in text
    return text.replace(f"{old}\n", f"{new}\n", 1)
