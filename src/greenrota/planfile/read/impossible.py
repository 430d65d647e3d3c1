"""Figures of a plan that cannot be for what they stand beside: a dose for its medium, a density for its strain.

They are read from the file before it is checked, so that they are reported in the same run as every other problem. What
cannot be read here is left to the field it stands in.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING, Any

from pydantic_core import PydanticCustomError

from greenrota.culture.bounds import bounds_for
from greenrota.culture.bounds.bounds import Bounds, Verdict, impossible_text, judge, shown, usual_span
from greenrota.culture.bounds.plausible import DENSITY, DOSE
from greenrota.culture.data.medium import Medium, ion_umol_per_l, media, own_medium
from greenrota.culture.data.strain import Strain, strains
from greenrota.planfile.fields.naming import composed, named
from greenrota.planfile.text.refusal import refusal
from greenrota.planfile.text.units import QuantityError, measured, quantity

if TYPE_CHECKING:
    from greenrota.planfile.text.position import Path

_OF_FIELD = {"dose": DOSE, "density": DENSITY}  # what the fields themselves refuse


def impossible(document: Mapping[str, Any]) -> Iterator[tuple[Path, PydanticCustomError]]:
    """Every such figure of a TOML document, each with its path."""
    for number, _ in named(document, "nutrient"):
        table = document["nutrient"][number]
        medium = _medium(document, table.get("medium"))
        yield from _beyond(("nutrient", number, "dose"), table, "dose", bounds_for.dose_bounds(medium))
    for number, _ in named(document, "starter"):
        table = document["starter"][number]
        strain = _strain(document, table.get("strain", _default_strain(document)))
        if strain is not None:
            bounds = bounds_for.starter_bounds(strain)
            yield from _beyond(("starter", number, "density"), table, "density", bounds)
    own = document.get("strain")
    for name, table in own.items() if isinstance(own, dict) else ():
        strain = _strain(document, name)
        if strain is not None and isinstance(table, dict):
            bounds = bounds_for.ceiling_bounds(strain)
            yield from _beyond(("strain", name, "ceiling"), table, "density", bounds)


def _beyond(
    path: Path, table: Mapping[str, Any], kind: str, bounds: Bounds
) -> Iterator[tuple[Path, PydanticCustomError]]:
    """A refusal if the figure passes the bounds of its field and cannot be all the same."""
    try:
        value = quantity(str(table.get(str(path[-1]))), kind)
    except QuantityError:
        return
    beyond = judge(value, bounds) is Verdict.IMPOSSIBLE
    if beyond and judge(value, _OF_FIELD[kind]) is not Verdict.IMPOSSIBLE:
        span = f"{shown(bounds.least)} to {shown(bounds.most)} {bounds.unit}"
        hint = f"look at the number and at its unit; usual is {usual_span(bounds)}"
        yield path, refusal("out-of-range", impossible_text(value, bounds), hint, f"{span} is wanted")


def _medium(document: Mapping[str, Any], name: object) -> Medium | None:
    """The medium of that name, as it ships or as a table of the file has it; None if that cannot be read."""
    own = document.get("medium")
    table = own.get(name) if isinstance(own, dict) and isinstance(name, str) else None
    if not isinstance(table, dict):
        return media().get(str(name))
    try:
        nitrate, kind = measured(str(table.get("nitrate")), ("amount", "mass per volume"))
    except QuantityError:
        return None
    return own_medium(str(name), nitrate if kind == "amount" else ion_umol_per_l("nitrate", nitrate), 1.0)


def _strain(document: Mapping[str, Any], name: object) -> Strain | None:
    """The strain that ships behind a name of the file: itself, or the one that its table names as base."""
    own = document.get("strain")
    table = own.get(name) if isinstance(own, dict) and isinstance(name, str) else None
    base = table.get("base", name) if isinstance(table, dict) else name
    return strains().get(composed(base)) if isinstance(base, str) else None


def _default_strain(document: Mapping[str, Any]) -> object:
    rota = document.get("rota")
    return rota.get("strain") if isinstance(rota, dict) else None
