"""Read text with a unit as a number.

The text must follow a strict grammar of our own: a plain finite number, at most one space, a unit of `spelling.py`.
The factor between two units is an exact fraction and the result is rounded to a float once, so "1500 mL" and "1.5 L"
give the same number.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from greenrota.planfile.text.factors import factor
from greenrota.planfile.text.slips import meant
from greenrota.planfile.text.spelling import KINDS, SPELLINGS, Kind, nearest_unit, shown

LONGEST = 64  # characters in a quantity; our choice
LONGEST_MESSAGE = 400  # characters, escapes not counted; our choice
NUMBER = r"[0-9]+(?:\.[0-9]+)?(?:[eE][+-]?[0-9]{1,2})?"
_QUANTITY = re.compile(rf"({NUMBER}) ?([^0-9\s.,+\-][^\s]*|1/day)")
# Texts, for they are seldom wanted: `re` compiles each when it is first used.
_COMMA = r"([0-9]+),([0-9]+)( ?\S*)"
_SPACED = r"([0-9]{1,3}(?:[ '_\u00a0\u202f][0-9]{3})+(?:\.[0-9]+)?)( ?\S*)"
_LOOSE = rf"({NUMBER})\s*(\S.*)"


class QuantityError(ValueError):
    """A text that is no quantity of the wanted kind; `code` is that of the problem, such as "bad-quantity"."""

    def __init__(self, code: str, what: str, hint: str) -> None:
        self.code, self.what, self.hint = code, shown(what, LONGEST_MESSAGE), shown(hint, LONGEST_MESSAGE)
        super().__init__(f"{self.what} ({self.hint})" if hint else self.what)


def quantity(text: str, kind: str) -> float:
    """The number in a text, in the base unit of `kind` (a key of `KINDS`).

    Base units: volume L, small volume mL, mass g, temperature degC, hours h, days d, salinity psu, gravity 1,
    light lux, photons umol/m2/s, density cells/mL, rate 1/day, dose mL/L, ration mL/day, cell ration
    cells/mL/day, air L/min, amount umol/L, mass per volume mg/L. "gal" is the US gallon, "imp_gal" the imperial one.
    "ppt" is what labels of the hobby print and is taken as practical salinity, one to one; "g/kg" is absolute
    salinity on the reference scale, 35.16504 g/kg at practical salinity 35 (Millero et al. 2008).
    Raises QuantityError. The number is finite; only a temperature in degF can come out below zero.

    >>> quantity("1 gal", "volume")
    3.785411784
    """
    return measured(text, (kind,))[0]


def measured(text: str, kinds: Sequence[str]) -> tuple[float, str]:
    """As `quantity`, for a key that takes several kinds: the number, and the kind that its unit has.

    >>> measured("1.020 SG", ("salinity", "gravity"))
    (1.02, 'gravity')
    """
    value = _measured(text, tuple(kinds))
    if isinstance(value, QuantityError):
        raise value.with_traceback(None)
    return value


@lru_cache(maxsize=4096)
def _measured(text: str, kinds: tuple[str, ...]) -> tuple[float, str] | QuantityError:
    wanted = [KINDS[kind] for kind in kinds]
    found = _QUANTITY.fullmatch(text) if len(text) <= LONGEST else None
    if found is None:
        return _misspelt(text, wanted)
    number, spelling = found.groups()
    unit = SPELLINGS.get(spelling)
    if unit is None:
        return _unknown_unit(text, number, spelling, wanted)
    for name, kind in zip(kinds, wanted, strict=True):
        if kind.measures == unit.measures:
            return _convert(number, unit.definition, kind.base), name
    first = wanted[0]
    what = f'"{text}" is {unit.measures}; {first.measures} such as "{first.example}" is wanted here'
    return QuantityError("wrong-dimension", what, _dimension_hint(spelling, number, first))


def _dimension_hint(spelling: str, number: str, wanted: Kind) -> str:
    if spelling == "oz" and wanted.measures == "a volume":
        return f'a fluid ounce is written "{number} fl_oz"'
    return f'write {wanted.measures}, for example "{wanted.example}"'


def _convert(number: str, definition: str, base: str) -> float:
    times, offset = factor(definition, base)
    return float(Fraction(number) * times + offset)


def _unknown_unit(text: str, number: str, spelling: str, wanted: Sequence[Kind]) -> QuantityError:
    example = wanted[0].example
    near = nearest_unit(spelling, wanted)
    slip = meant(text, wanted)
    hint = f'write "{number} {near}"' if near else f'{wanted[0].measures} is written like "{example}"'
    what = f'"{text}": "{spelling}" is no unit known here; {wanted[0].measures} such as "{example}" is wanted'
    return QuantityError("bad-quantity", what, slip or hint)


def _misspelt(text: str, wanted: Sequence[Kind]) -> QuantityError:
    """The error of a text that does not follow the grammar, with a hint how to write it."""
    example = wanted[0].example
    asked = f'{wanted[0].measures} such as "{example}" is wanted'

    def wrong(why: str, hint: str = f'write a number and a unit, for example "{example}"') -> QuantityError:
        return QuantityError("bad-quantity", f'"{shown(text, LONGEST)}" {why}; {asked}', hint)

    if len(text) > LONGEST:
        return wrong(f"is longer than {LONGEST} characters")
    if slip := meant(text, wanted):
        return wrong("has no unit" if text[-1:].isdigit() else "is not written as a quantity", slip)
    if found := re.fullmatch(_COMMA, text):
        whole, part, rest = found.groups()
        choices = f'"{whole}.{part}{rest}"' + (f' or "{whole}{part}{rest}"' if len(part) == 3 else "")
        return wrong(
            "has a comma in the number", f"write {choices}: a decimal point, and no mark for thousands"
        )
    if found := re.fullmatch(_SPACED, text):
        plain = "".join(c for c in found[1] if c.isascii() and (c.isdigit() or c == "."))
        return wrong("has a thousands mark", f'write "{plain}{found[2]}"')
    if text[:1] in "-+\u2212" and text:
        return wrong("has a sign", f'write a plain number without "{text[0]}"')
    if re.fullmatch(NUMBER, text):
        return wrong(
            "has no unit", f'write the unit after the number, such as "{text} {example.split(" ")[-1]}"'
        )
    if text != text.strip():
        return wrong("has a space around it", f'write "{text.strip()}"')
    if found := re.fullmatch(_LOOSE, text):
        number, rest = found[1], re.sub(r"\s+", " ", found[2])
        if near := nearest_unit(rest, wanted) if not rest[:1].isdigit() and "*" not in rest else "":
            return wrong("is not written as a quantity", f'write "{number} {near}"')
    return wrong("is not a plain number with a unit")
