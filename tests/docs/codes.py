"""The codes of problems and warnings, read out of the source: what the reference has to explain.

A code is a word with a hyphen, so every string of that shape in the package is taken for one unless it stands in
`NO_CODES`; a new one has to be put into the reference or in there. What has no hyphen is found by the call it is in.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

from parsed import parsed

SOURCE = Path(__file__).parents[2] / "src" / "greenrota"
# Where warnings are made; codes elsewhere are those of problems.
WARNING_FILES = (
    "rota/warnings/place.py",
    "rota/warnings/simulated.py",
    "culture/bounds/bounds_for.py",
    "culture/bounds/plausible.py",
    "rota/schedule.py",
    "rota/feed/tank.py",
    "rota/warnings/amounts.py",
    "rota/search/homes.py",
    "rota/replay/gone_vessels.py",
)
# Strings of the shape of a code that are none.
NO_CODES = frozenset(
    {
        "given-away",  # kinds of entry
        "topped-up",
        "prepare-more",  # the end of a task id
        "air-failure",  # causes of a crash, in the logbook
        "light-failure",
        "over-age",
        "salinity-slip",
        "back-up",  # words on pages
        "re-seeded",
        "top-up",
        "carry-over",
        "month-day",
        "re-seed",
        "re-seeds",
        "sans-serif",  # names in files that are written
    }
)
_SHAPE = re.compile(r"[a-z]+(?:-[a-z]+)+")
# What an f-string that makes codes can hold: `unknown-{...}` of a reference, `tank-{ion}`.
_FILLED = {"unknown-": ("strain", "medium", "nutrient"), "tank-": ("nitrate", "phosphate")}
_MAKERS = {"Problem": 0, "refusal": 0, "QuantityError": 0, "file_problem": 0, "PlanWarning": 0}


@cache
def problem_codes() -> frozenset[str]:
    """Every code of a problem or a notice."""
    return frozenset(code for file, code in _codes() if file not in WARNING_FILES) - warning_codes()


@cache
def warning_codes() -> frozenset[str]:
    """Every code of a warning."""
    return frozenset(code for file, code in _codes() if file in WARNING_FILES)


def _codes() -> Iterator[tuple[str, str]]:
    for path in sorted(SOURCE.rglob("*.py")):
        name = path.relative_to(SOURCE).as_posix()
        found = _codes_of(parsed(path), name in WARNING_FILES)
        yield from ((name, code) for code in found)


def codes_in(source: str, yields_warnings: bool) -> set[str]:
    """The codes that a module's source makes; a warning may be yielded as (code, text)."""
    return _codes_of(ast.parse(source), yields_warnings)


def _codes_of(tree: ast.Module, yields_warnings: bool) -> set[str]:
    prose = {id(node.value) for node in ast.walk(tree) if isinstance(node, ast.Expr)}  # docstrings
    found: set[str] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in prose:
            found |= {node.value} if _SHAPE.fullmatch(node.value) else set()
        elif isinstance(node, ast.JoinedStr):
            found |= _filled(node)
        elif isinstance(node, ast.Call):
            found |= _first_word(node)
        elif yields_warnings and isinstance(node, ast.Yield) and isinstance(node.value, ast.Tuple):
            found |= _constant(node.value.elts[0])
    return found - NO_CODES


def _first_word(call: ast.Call) -> set[str]:
    name = call.func.attr if isinstance(call.func, ast.Attribute) else getattr(call.func, "id", "")
    place = _MAKERS.get(name)
    return set() if place is None or len(call.args) <= place else _constant(call.args[place])


def _constant(node: ast.expr) -> set[str]:
    is_word = isinstance(node, ast.Constant) and isinstance(node.value, str)
    return {node.value} if is_word and re.fullmatch(r"[a-z-]+", node.value) else set()  # type: ignore[attr-defined]


def _filled(text: ast.JoinedStr) -> set[str]:
    """The codes of an f-string of one fixed part and one filled in behind it."""
    if len(text.values) != 2 or not isinstance(text.values[1], ast.FormattedValue):
        return set()
    lead = text.values[0]
    start = lead.value if isinstance(lead, ast.Constant) else ""
    return {f"{start}{word}" for word in _FILLED.get(str(start), ())}
