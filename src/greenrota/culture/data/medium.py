"""Media: what a litre of seawater at full strength holds, reckoned from the weighed salts.

Recipes stand in `data/media.toml`; a person's own medium is given by what it brings per litre.
Concentrations are per litre of made-up medium; the fraction of a percent that the stocks add to the
volume is neglected.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from types import MappingProxyType
from typing import Any

from greenrota.frozen import FrozenDict

NITRATE_G_PER_MOL = 62.005  # NO3, IUPAC abridged standard atomic weights 2021
PHOSPHATE_G_PER_MOL = 94.971  # PO4, the same
SILICA_G_PER_MOL = 60.084  # SiO2, the same; silicate is read and sold as SiO2
ION_G_PER_MOL: Mapping[str, float] = MappingProxyType(
    {"nitrate": NITRATE_G_PER_MOL, "phosphate": PHOSPHATE_G_PER_MOL, "silicate": SILICA_G_PER_MOL}
)


@dataclass(frozen=True, slots=True)
class Compound:
    """One weighed salt of a recipe.

    stock_g_per_l: grams per litre of its stock, or of the trace or vitamin solution named by `via`.
    dose_ml_per_l: mL of that stock per litre of seawater at full strength.
    molar_mass: g/mol, crystal water included.
    delivers: "nitrogen", "phosphorus" or "silicon" where a molecule brings one usable atom of it, else "".
    """

    name: str
    formula: str
    stock_g_per_l: float
    dose_ml_per_l: float
    molar_mass: float
    via: str = ""
    delivers: str = ""
    source: str = ""
    status: str = ""

    @property
    def final_mg_per_l(self) -> float:
        """Milligrams of the salt in a litre of full-strength medium (g/L of stock times mL per litre).

        >>> Compound("sodium nitrate", "NaNO3", 75.0, 1.0, 84.995).final_mg_per_l
        75.0
        """
        return self.stock_g_per_l * self.dose_ml_per_l

    @property
    def final_umol_per_l(self) -> float:
        """Micromoles of the salt in a litre of full-strength medium.

        >>> round(Compound("sodium nitrate", "NaNO3", 75.0, 1.0, 84.995).final_umol_per_l, 1)
        882.4
        """
        return self.final_mg_per_l / self.molar_mass * 1000.0


@dataclass(frozen=True, slots=True)
class Medium:
    """A medium at full strength. N, P and Si in umol/L, as far as algae can take them up.

    For a shipped medium the three are sums over `compounds`; a person's own medium has no compounds.
    """

    name: str
    title: str
    compounds: tuple[Compound, ...]
    nitrogen_umol_l: float
    phosphorus_umol_l: float
    silicon_umol_l: float
    source: str
    status: str


@cache
def media() -> Mapping[str, Medium]:
    """The media that ship, by the name a plan uses; the file is read once. Source: `data/media.toml`.

    >>> sorted(media())
    ['L1', 'Walne', 'f/2', 'f/2-Si']
    """
    text = resources.files("greenrota.culture.data").joinpath("media.toml").read_text(encoding="utf-8")
    document = tomllib.loads(text)
    found: dict[str, Medium] = {}
    for name, table in document["medium"].items():
        if "base" in table:
            left_out = set(table["without"])
            compounds = tuple(c for c in found[table["base"]].compounds if c.name not in left_out)
        else:
            compounds = tuple(_compound(line, table, document["compound"]) for line in table["recipe"])
        found[name] = _medium(name, table, compounds)
    return FrozenDict(found)


def _compound(line: Mapping[str, Any], medium: Mapping[str, Any], salts: Mapping[str, Any]) -> Compound:
    salt = salts[line["compound"]]
    return Compound(
        name=line["compound"],
        formula=salt["formula"],
        stock_g_per_l=line["stock_g_per_l"],
        dose_ml_per_l=line["dose_ml_per_l"],
        molar_mass=salt["molar_mass"],
        via=line.get("via", ""),
        delivers=salt.get("delivers", ""),
        source=line.get("source", medium["source"]),
        status=line.get("status", medium["status"]),
    )


def _medium(name: str, table: Mapping[str, Any], compounds: tuple[Compound, ...]) -> Medium:
    return Medium(
        name=name,
        title=table["title"],
        compounds=compounds,
        nitrogen_umol_l=delivered(compounds, "nitrogen"),
        phosphorus_umol_l=delivered(compounds, "phosphorus"),
        silicon_umol_l=delivered(compounds, "silicon"),
        source=table["source"],
        status=table["status"],
    )


def delivered(compounds: Iterable[Compound], nutrient: str) -> float:
    """umol/L of "nitrogen", "phosphorus" or "silicon" that the compounds bring at full strength.

    >>> round(delivered(media()["f/2"].compounds, "silicon"), 2)
    105.56
    """
    return sum((c.final_umol_per_l for c in compounds if c.delivers == nutrient), 0.0)


def own_medium(
    name: str, nitrate_umol_l: float, phosphate_umol_l: float, silicate_umol_l: float = 0.0
) -> Medium:
    """A person's own medium from what a litre holds after the label dose, in umol/L.

    Label figures in mg/L of the ion go through `ion_umol_per_l` first.
    Raises ValueError if a figure is below zero or both nitrate and phosphate are zero.

    >>> own_medium("mine", 600.0, 30.0).nitrogen_umol_l
    600.0
    """
    if min(nitrate_umol_l, phosphate_umol_l, silicate_umol_l) < 0.0:
        raise ValueError(f"medium {name}: a concentration cannot be below zero")
    if nitrate_umol_l == 0.0 and phosphate_umol_l == 0.0:
        raise ValueError(f"medium {name}: neither nitrate nor phosphate; it feeds nothing")
    return Medium(name, name, (), nitrate_umol_l, phosphate_umol_l, silicate_umol_l, "the plan", "our choice")


def ion_umol_per_l(ion: str, mg_per_l: float) -> float:
    """mg/L of an ion in umol/L.

    `ion` is "nitrate" (weighed as NO3), "phosphate" (PO4) or "silicate" (SiO2); another one is a KeyError.

    >>> round(ion_umol_per_l("nitrate", 54.714), 1)
    882.4
    """
    return mg_per_l / ION_G_PER_MOL[ion] * 1000.0


def ion_mg_per_l(ion: str, umol_per_l: float) -> float:
    """umol/L of an ion in mg/L: undoes `ion_umol_per_l`. KeyError for an unknown ion.

    >>> round(ion_mg_per_l("phosphate", 36.234), 3)
    3.441
    """
    return umol_per_l * ION_G_PER_MOL[ion] / 1000.0
