"""Kinds of field: an amount with its unit, a bare number, true or false, the reference of a hydrometer.

A kind stands in the `Annotated[...]` of a field. It reads one TOML value and converts nothing it does not know.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable
from typing import Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, ValidationInfo
from pydantic_core import CoreSchema, core_schema

from greenrota.culture.bounds.bounds import Bounds, shown
from greenrota.culture.water.seawater import Hydrometer
from greenrota.planfile.text.hydrometer import PRINTED, read_hydrometer
from greenrota.planfile.text.refusal import called, refusal
from greenrota.planfile.text.slips import meant
from greenrota.planfile.text.spelling import KINDS, SPELLINGS
from greenrota.planfile.text.units import LONGEST, NUMBER, QuantityError, measured

PERCENT = r"([0-9]+(?:\.[0-9]+)?) ?%"


def share_of(percent: float | str) -> str:
    """A percentage as the share that is written in its place.

    >>> share_of("20"), share_of(2.5)
    ('0.20', '0.025')
    """
    value = float(percent)
    return f"{value / 100:.2f}" if value == int(value) else f"{value / 100:g}"


class Figure:
    """Base of all kinds of field.

    `read` returns the checked value or raises the error that `refusal` makes; pydantic collects those errors.
    """

    def read(self, value: object, info: ValidationInfo) -> object:
        raise NotImplementedError

    def described(self) -> dict[str, Any]:
        """The part of the JSON Schema for this field."""
        raise NotImplementedError

    def __get_pydantic_core_schema__(self, _source: object, _handler: GetCoreSchemaHandler) -> CoreSchema:
        return core_schema.with_info_plain_validator_function(self.read)

    def __get_pydantic_json_schema__(
        self, _schema: CoreSchema, _handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return self.described()


class Amount(Figure):
    """A quantity with its unit, between two bounds in the base unit of the first of `kinds` (see `units.py`).

    Both bounds are allowed themselves. `convert` brings a figure of another kind to that base unit. It is called with
    the figure, the name of its kind and the validation info, and may raise ValueError.
    """

    def __init__(
        self,
        kinds: tuple[str, ...],
        least: float,
        most: float,
        convert: Callable[[float, str, ValidationInfo], float] | None = None,
    ) -> None:
        self.kinds, self.least, self.most, self.convert = kinds, least, most, convert

    @classmethod
    def within(
        cls,
        kinds: tuple[str, ...],
        bounds: Bounds,
        convert: Callable[[float, str, ValidationInfo], float] | None = None,
    ) -> Amount:
        """An amount between the possible ends of a quantity of `culture/bounds/plausible.py`."""
        return cls(kinds, bounds.least, bounds.most, convert)

    def read(self, value: object, info: ValidationInfo) -> float:
        if not isinstance(value, str):
            raise self._no_text(value)
        try:
            figure, kind = measured(value, self.kinds)
        except QuantityError as error:
            raise refusal(error.code, error.what, error.hint, self._wanted()) from None
        hint = f'look at the number and at its unit; a usual figure is "{KINDS[kind].example}"'
        try:
            figure = self.convert(figure, kind, info) if self.convert else figure
        except ValueError as error:
            raise refusal("out-of-range", f"{called(value)}: {error}", hint, self._wanted()) from None
        if not self.least <= figure <= self.most:
            bounds = f"{shown(self.least)} to {shown(self.most)} {self._unit()} are taken"
            raise refusal("out-of-range", f"{called(value)} is out of range; {bounds}", hint, self._wanted())
        return figure

    def _no_text(self, value: object) -> Exception:
        kind = KINDS[self.kinds[0]]
        hint = 'write it with a unit and in quotes, for example "{}"'
        if isinstance(value, bool) or not isinstance(value, int | float):
            what, hint = f"{called(value)} is not {kind.measures}", hint.format(kind.example)
        else:
            what = f"{called(value)} has no unit"
            slip = meant(called(value), [KINDS[each] for each in self.kinds])
            hint = slip or hint.format(f"{called(value)} {self._unit()}")
        return refusal("bad-quantity", what, hint, self._wanted())

    def _unit(self) -> str:
        return KINDS[self.kinds[0]].example.split(" ")[1]

    def _wanted(self) -> str:
        return f'{KINDS[self.kinds[0]].measures} such as "{KINDS[self.kinds[0]].example}" is wanted'

    def described(self) -> dict[str, Any]:
        examples = [KINDS[kind].example for kind in self.kinds]
        measures = {KINDS[kind].measures for kind in self.kinds}
        units = "|".join(re.escape(text) for text, unit in SPELLINGS.items() if unit.measures in measures)
        pattern = f"^{NUMBER} ?({units})$"
        return {"type": "string", "maxLength": LONGEST, "pattern": pattern, "examples": examples}


class Bare(Figure):
    """A bare number without a unit: a share, a count or a price.

    `what` and `example` are words for problems. The bounds are allowed themselves unless `open_ends` is set. `whole`
    asks for an integer; `share` adds hints for percentages; `code` is that of the problem outside the bounds.
    """

    def __init__(
        self,
        what: str,
        example: str,
        least: float,
        most: float,
        whole: bool = False,
        open_ends: bool = False,
        code: str = "out-of-range",
        share: bool = False,
    ) -> None:
        self.what, self.example, self.least, self.most = what, example, least, most
        self.whole, self.open_ends, self.code, self.share = whole, open_ends, code, share

    @classmethod
    def within(cls, what: str, example: str, bounds: Bounds, whole: bool = False) -> Bare:
        """A number between the possible ends of a quantity of `culture/bounds/plausible.py`."""
        least, most = (int(end) if end.is_integer() else end for end in (bounds.least, bounds.most))
        return cls(what, example, least, most, whole=whole)

    def read(self, value: object, info: ValidationInfo) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            hint = f"write a number without quotes and without a unit, for example {self.example}"
            if self.share and isinstance(value, str) and (found := re.fullmatch(PERCENT, value)):
                hint = f"a share is a bare number: write {share_of(found[1])}"
            raise refusal("wrong-type", f"{called(value)} is not {self.what}", hint, self._wanted())
        if self.whole and not isinstance(value, int):
            whole = f"{value:.0f}" if math.isfinite(value) and abs(value) < 1e15 else self.example
            hint = f"write a whole number, for example {whole}"
            raise refusal("wrong-type", f"{called(value)} is no whole number", hint, self._wanted())
        inside = self.least < value < self.most if self.open_ends else self.least <= value <= self.most
        if not inside:
            raise self._outside(value)
        return value if self.whole else float(value)

    def _outside(self, value: float) -> Exception:
        if self.share and 1 < value < 100:
            more = f"{called(value)} is more than the whole"
            return refusal(self.code, more, f"did you mean {share_of(value)}?", self._wanted())
        hint = f"for example {self.example}"
        return refusal(self.code, f"{called(value)} is out of range", hint, self._wanted())

    def _wanted(self) -> str:
        return f"{self.what} between {self.least:g} and {self.most:g} is wanted"

    def described(self) -> dict[str, Any]:
        low, high = ("exclusiveMinimum", "exclusiveMaximum") if self.open_ends else ("minimum", "maximum")
        return {"type": "integer" if self.whole else "number", low: self.least, high: self.most}


class Switch(Figure):
    """true or false, written without quotes."""

    def read(self, value: object, info: ValidationInfo) -> bool:
        if isinstance(value, bool):
            return value
        hint = "write true or false without quotes"
        raise refusal(
            "wrong-type", f"{called(value)} is neither true nor false", hint, "true or false is wanted"
        )

    def described(self) -> dict[str, Any]:
        return {"type": "boolean"}


class Comparison(Figure):
    """What a hydrometer compares: "25C/25C" is water at 25 degC with pure water at 25 degC."""

    def read(self, value: object, info: ValidationInfo) -> Hydrometer:
        wanted = 'a reference such as "25C/25C" is wanted'
        if not isinstance(value, str):
            hint = 'write it in quotes, for example "25C/25C"'
            raise refusal("wrong-type", f"{called(value)} is no reference of a hydrometer", hint, wanted)
        try:
            return read_hydrometer(value)
        except QuantityError as error:
            raise refusal(error.code, error.what, error.hint, wanted) from None

    def described(self) -> dict[str, Any]:
        return {"type": "string", "pattern": f"^{PRINTED}$", "examples": ["25C/25C", "60F/60F"]}
