"""Exact factors between units, all of them from `units.txt`. No other module knows pint, and pint sees no plan.

The lines of the usual units are simple, a number and one other unit, and are read here, for importing pint would add
more than a third to what a daily command takes. Whatever else stands in the file is left to pint.
"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction
from functools import cache
from importlib import resources
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pint import UnitRegistry

Scale = tuple[Fraction, Fraction]  # factor and offset
_NONE = Fraction(0)


@cache
def factor(unit: str, base: str) -> Scale:
    """Exact factor and offset from one unit to another that measures the same; either may be a quotient.

    >>> factor("us_quart", "us_gallon"), factor("millilitre / us_gallon", "millilitre / litre")[0].denominator
    ((Fraction(1, 4), Fraction(0, 1)), 473176473)
    """
    if unit == base:
        return Fraction(1), Fraction(0)
    own, others = _in_bases(unit), _in_bases(base)
    if own is None or others is None or others[1]:
        return by_pint(unit, base)
    return own[0] / others[0], own[1] / others[0]


def by_pint(unit: str, base: str) -> Scale:
    """As `factor`, of any units of the file."""
    new = registry().Quantity
    zero, one = (Fraction(new(Fraction(n), unit).to(base).magnitude) for n in (0, 1))
    return one - zero, zero


def _in_bases(unit: str) -> Scale | None:
    """Factor and offset of a unit or a quotient of units to base units; None where a line is not simple."""
    first, *below = (_simple().get(name) for name in unit.split(" / "))
    if first is None or (below and first[1]):
        return None
    times, offset = first
    for part in below:
        if part is None or part[1]:
            return None
        times /= part[0]
    return times, offset


@cache
def _simple() -> dict[str, Scale]:
    """Factor and offset to its base unit of every unit whose line is simple; a line may build on those above it."""
    found: dict[str, Scale] = {}
    for line in _lines():
        unit, _, made = line.partition(" = ")
        scale = _scale(made.replace(";", "").split(), found)
        if scale is not None:
            found[unit] = scale
    return found


def _scale(words: list[str], known: Mapping[str, Scale]) -> Scale | None:
    """What a simple line says in the words behind its equals sign; None for any other line."""
    if words and words[0].startswith("["):
        return Fraction(1), _NONE
    if len(words) == 3:
        left, sign, right = words
        if sign == "*" and right in known:
            return Fraction(left) * known[right][0], _NONE
        if sign == "/" and left in known:
            return known[left][0] / Fraction(right), _NONE
    if words[3:4] == ["*"] and words[5:6] == ["offset:"] and known.get(words[4]) == (Fraction(1), _NONE):
        times, offset = (Fraction(words[at]) / Fraction(words[at + 2]) for at in (0, 6))
        return times, offset
    return None


@cache
def registry() -> UnitRegistry[Fraction]:
    """Our own small pint registry, built on first use: exact fractions, no cache on disk."""
    import pint

    made: UnitRegistry[Fraction] = pint.UnitRegistry(None, non_int_type=Fraction, cache_folder=None)
    made.load_definitions(_lines())
    return made


@cache
def _lines() -> list[str]:
    file = resources.files("greenrota.planfile.text").joinpath("units.txt")
    return file.read_text(encoding="utf-8").splitlines()
