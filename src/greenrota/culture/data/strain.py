"""Strains: growth, quota and range figures, each with its source and status.

The figures stand in `data/strains.toml`; this module reads them into frozen records.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from importlib import resources

from greenrota.frozen import FrozenDict

STATUSES = ("published", "copy", "from memory", "our choice", "common practice")


@dataclass(frozen=True, slots=True)
class Source:
    """Where a figure comes from. `status` is one of `STATUSES`, explained in `data/strains.toml`."""

    text: str
    status: str


@dataclass(frozen=True, slots=True)
class Strain:
    """The figures of one strain.

    rate_per_day: natural-log growth rate at the best temperature and salinity and 16 h or more of light.
    ceiling_per_ml: density that light and plain air carry in a vessel of `ceiling_volume_l`;
        a person's own ceiling has `ceiling_exponent` 0 and holds for every vessel.
    ceiling_exponent: the bench ceiling goes as (volume / ceiling_volume_l) ** -ceiling_exponent.
    rate_spread, ceiling_spread: standard deviation of the natural log between the jars of different keepers; the
        figure itself is the median.
    n_pmol, p_pmol, si_pmol: pmol of N, P, Si in one cell of a full-grown culture (Si 0: none needed).
    carbon_pg: pg of carbon in a cell.
    t_min_c, t_opt_c, t_max_c: cardinal temperatures, degC.
    salinity_*_psu: growth is full between the two optima and ends at the minimum and the maximum.
    light_low_lux, light_high_lux: usual range at the vessel. fridge_days: how long a bottle keeps at about 4 degC.
    base: the strain that ships and whose other figures a strain of the plan takes; "" for one that ships.
    """

    name: str
    title: str
    group: str
    rate_per_day: float
    rate_spread: float
    ceiling_per_ml: float
    ceiling_volume_l: float
    ceiling_exponent: float
    ceiling_spread: float
    n_pmol: float
    p_pmol: float
    si_pmol: float
    carbon_pg: float
    t_min_c: float
    t_opt_c: float
    t_max_c: float
    salinity_min_psu: float
    salinity_opt_low_psu: float
    salinity_opt_high_psu: float
    salinity_max_psu: float
    light_low_lux: float
    light_high_lux: float
    fridge_days: float
    sources: Mapping[str, Source] = field(default_factory=FrozenDict, compare=False, hash=False)
    base: str = ""

    @property
    def needs_silicate(self) -> bool:
        """True for a diatom that builds its wall from silicate."""
        return self.si_pmol > 0.0


class _Shipped(Mapping[str, Strain]):
    """The strains of a text in which every table head stands on a line of its own; each is read when it is asked for.

    A plan grows one or two strains, and their texts are long.
    """

    def __init__(self, text: str) -> None:
        _, *tables = re.split(r"^\[(.+)\]$", text, flags=re.MULTILINE)
        self._texts = dict(zip(tables[::2], tables[1::2], strict=True))
        self._read: dict[str, Strain] = {}

    def __getitem__(self, name: str) -> Strain:
        if name not in self._read:
            self._read[name] = _strain(name, tomllib.loads(self._texts[name]))
        return self._read[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._texts)

    def __len__(self) -> int:
        return len(self._texts)


@cache
def strains() -> Mapping[str, Strain]:
    """All strains that ship, by name. The file is read once. Source: `data/strains.toml`, figure by figure."""
    text = resources.files("greenrota.culture.data").joinpath("strains.toml").read_text(encoding="utf-8")
    return _Shipped(text)


def _strain(name: str, table: Mapping[str, object]) -> Strain:
    figures: dict[str, float] = {}
    sources: dict[str, Source] = {}
    texts: dict[str, str] = {}
    for key, entry in table.items():
        if isinstance(entry, dict):
            figures[key] = float(entry["value"])
            sources[key] = Source(str(entry["source"]), str(entry["status"]))
        else:
            texts[key] = str(entry)
    return Strain(name=name, sources=FrozenDict(sources), **texts, **figures)  # type: ignore[arg-type]
