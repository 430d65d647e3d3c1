"""The fields of every JSON format: those the program prints, and those the reference tells of.

A field is a path: `tasks[].amounts.salt_g`. In the reference, a part in capitals stands for any name: `runs_dry.NAME`.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any
from unittest.mock import patch

from typed import typed

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "reference" / "json.md"
EVERYWHERE = "Everywhere"  # the section of the fields that mean the same in every format
_SECTION = re.compile(r"^## `?(greenrota/[a-z-]+/1|Everywhere)`?$(.*?)(?=^## |\Z)", re.MULTILINE | re.DOTALL)
# A line of the list, or one set in below another: names in backticks, then a colon, or nothing but a group of fields.
_FIELD = re.compile(r"^(?P<within> *)- (?P<names>`[^`]+`(?:,\s+`[^`]+`)*)(?::|$)", re.MULTILINE)

# What is lived through before the commands are asked: counts, a contamination, something overdue and something suspect.
LOG = """\
2027-02-01 prepared north n=1
2027-02-01 started north from=starter:bought inoculum=375mL n=2
2027-02-01 counted north density=1.9e5/mL cells=76 squares=4 n=3
2027-02-04 counted north density=6e5/mL cells=240 squares=4 n=4
2027-02-07 counted north density=9.5e5/mL cells=380 squares=4 n=5
2027-02-10 counted north density=1.08e6/mL cells=432 squares=4 n=6
2027-02-10 harvested north volume=3200mL n=7
2027-02-10 reseeded north inoculum=800mL n=8
2027-02-10 started south from=north/1 inoculum=800mL n=9
2027-02-12 crashed south cause=contamination since=2027-02-09 n=10
2027-02-13 cleared north n=11
2027-02-13 note north colour=brown ph=8.4 n=12
"""
# A bottle that must not be given, and a count that looks like a crash.
LOW = """\
2027-02-01 started north from=starter:bought inoculum=375mL n=1
2027-02-10 harvested north volume=3200mL n=2
2027-02-10 reseeded north inoculum=800mL n=3
2027-02-11 suspected harvest:north/1 n=4
2027-02-13 counted north density=1e4/mL n=5
"""
# A line that a sync service has doubled: a notice, and nothing is wrong with the state.
DOUBTFUL = "2027-02-01 note - text=x n=1\n2027-02-01 note - text=x n=1\n"
_PRICED = '\nbottle = "1 mL"\nsize = "100 mL"\nprice = 20\n'
_ADDED = """
[tank]
volume = "300 L"
ration = "5000 mL/day"
nitrate_limit = "0.001 mg/L"
[prices]
currency = "EUR"
salt_per_kg = 4
"""
# A plan of its own, with nothing logged: so long away that a harvest is early and a vessel, broken down, stays empty.
_GONE = """
[cycle]
renew_after = 1
[tank]
volume = "300 L"
ration = "100 mL/day"
[[away]]
from = 2027-02-11
to = 2027-02-23
"""
_DAY = ("--on", "2027-02-14")
RUNS: tuple[tuple[str, ...], ...] = (
    ("tasks", "PLAN", *_DAY, "--why", "north/2/harvest"),
    ("tasks", "PLAN", "--on", "2027-02-12"),
    ("tasks", "PLAN", "--on", "2027-02-19"),
    ("check", "PLAN", *_DAY),
    ("check", "FAULTY"),
    ("check", "GONE"),
    ("today", "PLAN", "--on", "2027-02-12"),
    ("today", "PLAN", *_DAY),
    ("today", "LOW", *_DAY),
    ("today", "PLAN", "--on", "2027-02-19"),
    ("log", "prepared", "south", "LIVED"),
    ("log", "list", "PLAN"),
    ("card", "PLAN", *_DAY),
    ("away", "GONE"),
    ("growth", "north", "PLAN", *_DAY),
    ("bottles", "PLAN", *_DAY),
    ("changes", "PLAN", *_DAY),
    ("lineage", "PLAN", *_DAY, "--from", "north/1", "--since", "2027-02-05"),
    ("calibrate", "north", "PLAN", *_DAY),
    ("supplies", "PLAN", "--on", "2027-02-01"),
    ("risk", "PLAN", *_DAY, "--seasons", "50", "--hazard", "2"),
    ("size", "PLAN", "--seasons", "100", "--most", "1"),
    ("reckon", "salinity", "1.020 SG"),
    ("reckon", "salt", "4 L", "26 psu"),
    ("reckon", "dilute", "4 L", "26 psu", "--from", "35 psu"),
    ("reckon", "topup", "3.8 L", "28 psu", "26 psu"),
    ("reckon", "dose", "4 L", "0.20 mL/L", "--medium", "f/2"),
    ("reckon", "starter", "500 mL", "2e6 cells/mL"),
    ("reckon", "inoculum", "4 L", "--density", "1e5 cells/mL", "--from", "1.5e6 cells/mL"),
    ("reckon", "count", "184"),
    ("reckon", "secchi", "14", "--pair", "10=9e5", "--pair", "20=4e5"),
    ("reckon", "bleach", "4 L", "25 mg/L", "--percent", "5.25"),
    ("reckon", "light", "4000 lux"),
    ("reckon", "salt", "4 L", "26 psu", "--hydration", "0.2"),
    ("reckon", "dose", "4 L", "20 mL/L"),
    ("reckon", "starter", "500 mL", "2e7 cells/mL"),
    ("reckon", "inoculum", "4 L", "--share", "0.2", "--from", "1e9 cells/mL"),
    ("reckon", "count", "184", "--squares", "0.01", "--dilution", "10"),
    ("reckon", "bleach", "4 L", "5000 mg/L", "--percent", "5.25"),
    ("reckon", "light", "4000 lux", "--hours", "1.4 h"),
    ("log", "archive", "PLAN", "--through", "2027-02-03", *_DAY),
    ("check", "PLAN", *_DAY),
)


def told() -> dict[str, list[str]]:
    """The fields in the reference, by format; those of every format stand under `EVERYWHERE`."""
    return {name: list(_named(text)) for name, text in _SECTION.findall(PAGE.read_text(encoding="utf-8"))}


def _named(text: str) -> Iterator[str]:
    group = ""
    for line in _FIELD.finditer(text):
        names = re.findall(r"`([^`]+)`", line["names"])
        if line["within"]:
            yield from (f"{group}.{name}" for name in names)
        elif text.startswith("\n  - ", line.end()):
            [group] = names
        else:
            yield from names


def printed(folder: Path, plan_text: str) -> dict[str, set[str]]:
    """The fields that the commands print, by format; the plan and its logbook are put into the folder."""
    plan = folder / "plan.toml"
    dose = 'dose = "0.20 mL/L"'
    plan.write_text(plan_text.replace(dose, dose + _PRICED) + _ADDED, encoding="utf-8")
    (folder / "plan.log").write_text(LOG, encoding="utf-8")
    gone = folder / "gone.toml"
    gone.write_text(plan_text + _GONE, encoding="utf-8")
    faulty = folder / "faulty.toml"
    faulty.write_text(plan_text.replace("days =", "dayz ="), encoding="utf-8")
    low = folder / "low.toml"
    low.write_text(plan_text, encoding="utf-8")
    (folder / "low.log").write_text(LOW, encoding="utf-8")
    lived = folder / "lived.toml"
    lived.write_text(plan_text, encoding="utf-8")
    (folder / "gone.log").write_text(DOUBTFUL, encoding="utf-8")
    files = {
        "PLAN": str(plan),
        "GONE": str(gone),
        "FAULTY": str(faulty),
        "LIVED": str(lived),
        "LOW": str(low),
    }
    answers = [_answer([files.get(word, word) for word in run]) for run in RUNS]
    with patch("greenrota.cli.system.clock.today", return_value=date(2027, 2, 14)):
        typed("calendar", str(folder / "plan.ics"), str(plan), *_DAY)
    answers.append(json.loads((folder / "plan.calendar.json").read_text(encoding="utf-8")))
    found: dict[str, set[str]] = {}
    for answer in answers:
        found.setdefault(answer["format"], set()).update(_paths(answer))
    return found


def _answer(words: list[str]) -> Any:
    result = typed(*words, "--json")
    faulty = words[0] == "check" and "faulty" in words[1]
    assert result.exit_code == int(faulty), (words, result.output, result.exception)
    return json.loads(result.stdout)


def _paths(value: Any, path: str = "") -> Iterator[str]:
    if isinstance(value, dict):
        for key, item in value.items():
            yield from _paths(item, f"{path}.{key}" if path else key)
    elif isinstance(value, list):
        for item in value:
            yield from _paths(item, f"{path}[]")
        if not value:
            yield f"{path}[]"
    else:
        yield path


def pattern(field: str) -> re.Pattern[str]:
    """What a field of the reference stands for; parts in capitals are any name, FIELDS any path."""
    return re.compile(re.sub(r"\b[A-Z]+\b", "[^.]+", re.escape(field).replace("FIELDS", ".+")))
