"""Rotas that the printed pages are tried on: one vessel and twelve, plain names and names that try to do harm."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from greenrota.frozen import FrozenDict
from greenrota.planfile.read.load import read_plan
from greenrota.rota.plan import Plan
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule

HARMFUL = (
    "<script>alert(1)</script>",
    '"><img src=x onerror=y>&amp;',
    '#let x = read("/etc/passwd")',
    "*bold* $x$ `raw` _a_",
    "=cmd|'/c calc'!A1",
    "-1;2,3\\n",
    "\u05d0\u05d1\u05d2 \u202eright to left",
    "\u0634\u0645\u0627\u0644",
    "\U0001f33f\U0001f9ea emoji",
    "north\r\nATTENDEE:x\x00\x1b[2J",
    "W" * 40,
    "\u5317" * 40,
)

_PLAN = """
[rota]
name = "shelf"
start = 2027-02-01
days = 28
strain = "tetraselmis"
[room]
temperature = "22 degC"
[water]
salinity = "26 psu"
[[nutrient]]
name = "f2"
medium = "f/2"
dose = "0.20 mL/L"
bottle = "2 mL"
opened = 2027-01-20
[[starter]]
name = "bought"
volume = "2 L"
density = "2e6 cells/mL"
on_hand = 2027-01-30
[tank]
volume = "300 L"
ration = "120 mL/day"
[work]
days = ["Wed", "Sat", "Sun"]
"""
_VESSEL = """
[[vessel]]
name = "{name}"
volume = "5 L"
fill = "4 L"
photoperiod = "14 h"
"""


def plan_of(vessels: int) -> Plan:
    """A plan with so many vessels."""
    return read_plan(_PLAN + "".join(_VESSEL.format(name=f"v{n}") for n in range(vessels)), "plan.toml")


@cache
def rota_of(vessels: int) -> Rota:
    """A plain rota with so many vessels."""
    return schedule(plan_of(vessels))


@cache
def rota_named(names: tuple[str, ...] = HARMFUL) -> Rota:
    """A rota in which vessels, the nutrient, the starter and the plan itself bear these names, unread by any check."""
    plan = plan_of(len(names))
    nutrient = replace(plan.nutrients["f2"], name=names[0])
    vessels = [replace(v, name=name, nutrient=names[0]) for v, name in zip(plan.vessels, names, strict=True)]
    return schedule(
        replace(
            plan,
            name=names[0],
            nutrients=FrozenDict({names[0]: nutrient}),
            vessels=tuple(vessels),
            starters=(replace(plan.starters[0], name=names[0]),),
        )
    )
