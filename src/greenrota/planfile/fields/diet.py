"""Kinds of field for feeding: a ration as volume or as cells, and the strains it may come from."""

import math
from typing import Any, NamedTuple

from pydantic import ValidationInfo

from greenrota.culture.bounds import plausible
from greenrota.culture.data.medium import ion_mg_per_l
from greenrota.planfile.fields.figure import Amount, Bare, Figure
from greenrota.planfile.fields.naming import Reference
from greenrota.planfile.text.refusal import called, refusal
from greenrota.planfile.text.spelling import SPELLINGS
from greenrota.rota.plan import Diet

VOLUME = Amount.within(("ration",), plausible.RATION_ML)
CELLS = Amount.within(("cell ration",), plausible.RATION_CELLS)
SUM_SLACK = 1e-6  # of shares that are written with six digits and add up to 1; our choice

_STRAIN = Reference("strain")
_SHARE = Bare("a share", "0.50", 0.001, 1, share=True)


class Given(NamedTuple):
    """A daily ration: `ml` a day, or `cells_per_ml` a day for each mL of the consumer's water. One is None."""

    ml: float | None
    cells_per_ml: float | None


class Ration(Figure):
    """A daily ration such as "120 mL/day", or "5e3 cells/mL/day" for each mL of water."""

    def read(self, value: object, info: ValidationInfo) -> Given:
        unit = value.lstrip("0123456789.eE+- ") if isinstance(value, str) else ""
        if unit in SPELLINGS and SPELLINGS[unit].measures == "a daily cell density":
            return Given(None, CELLS.read(value, info))
        return Given(VOLUME.read(value, info), None)

    def described(self) -> dict[str, Any]:
        return {"anyOf": [VOLUME.described(), CELLS.described()]}


class Strains(Figure):
    """A list of strains, any of which will do; or a table of shares (0.001 to 1) that add up to 1."""

    def read(self, value: object, info: ValidationInfo) -> Diet:
        if isinstance(value, list) and value:
            names = [_STRAIN.read(name, info) for name in value]
            return Diet(any_of=tuple(dict.fromkeys(names)))
        if isinstance(value, dict) and value:
            shares = tuple(
                (_STRAIN.read(name, info), _SHARE.read(share, info)) for name, share in value.items()
            )
            total = math.fsum(share for _, share in shares)
            if abs(total - 1.0) > SUM_SLACK:
                hint = "shares of a ration add up to 1, for example { tetraselmis = 0.7, isochrysis = 0.3 }"
                wanted = "shares that add up to 1 are wanted"
                raise refusal("bad-shares", f"the shares add up to {total:g}", hint, wanted)
            return Diet(shares=shares)
        hint = (
            'write ["tetraselmis", "isochrysis"], or { tetraselmis = 0.7, isochrysis = 0.3 } for fixed shares'
        )
        wanted = "a list of strains or a table of shares is wanted"
        raise refusal("wrong-type", f"{called(value)} names no strains", hint, wanted)

    def described(self) -> dict[str, Any]:
        names = {"type": "array", "items": {"type": "string"}, "minItems": 1}
        shares = {"type": "object", "additionalProperties": _SHARE.described(), "minProperties": 1}
        return {"anyOf": [names, shares]}


def mg_per_l(figure: float, kind: str, info: ValidationInfo) -> float:
    """A limit in mg/L, converted where it is given in umol/L.

    The ion is read from the name of the key: "nitrate_limit" is weighed as NO3. KeyError for an ion not known.
    """
    ion = str(info.field_name).removesuffix("_limit")
    return figure if kind == "mass per volume" else ion_mg_per_l(ion, figure)
