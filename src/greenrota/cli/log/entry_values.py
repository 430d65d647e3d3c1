"""The values of a new logbook entry, from the options of `greenrota log`: each option is named after its key."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING

from greenrota.cli.options.quantities import in_range, read_quantity
from greenrota.errors import Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from greenrota.logbook.entry import Entry

_INSTEAD = {
    "volume": ("keep",),
    "nutrient": ("dose",),
}  # keys that are not taken from the task where the other one was given
_COUNT = ("cells", "squares", "dilution")


def entry_from(on: date, kind: str, subject: str, given: Mapping[str, str]) -> Entry:
    """The entry that the options spell; ProblemsFound (status 2) with everything that is wrong with them.

    `given` holds the options that were used, by key. A count in cells and squares becomes a density as well.
    """
    from greenrota.logbook.entry import make_entry

    texts = {key: _spelled(key, text) for key, text in given.items()}
    if kind == "counted" and "density" not in texts:
        texts = {"density": _counted_density(texts), **texts}
    try:
        return make_entry(on, kind, subject, texts.items(), lambda name: Place(_option(name)))
    except ProblemsFound as found:
        raise ProblemsFound(found.problems, status=2) from None


def with_defaults(entry: Entry, planned: tuple[tuple[str, object], ...]) -> tuple[Entry, tuple[str, ...]]:
    """The entry with the planned values it does not give itself, and the keys that were taken from the plan."""
    from dataclasses import replace

    own = dict(entry.values)
    fresh = {
        key: value
        for key, value in planned
        if key not in own and not any(other in own for other in _INSTEAD.get(key, ()))
    }
    return replace(entry, values=(*fresh.items(), *entry.values)), tuple(fresh)  # type: ignore[arg-type]


def _option(name: str) -> str:
    return {"kind": "KIND", "subject": "VESSEL"}.get(name, f"--{name}")


def _spelled(key: str, text: str) -> str:
    """The text as the logbook spells it; other units than its own are converted."""
    from greenrota.logbook import amount
    from greenrota.logbook.vocabulary import KEYS, Sort

    with in_range(f"--{key}"):
        if KEYS[key] is Sort.VOLUME and amount.read_volume_ml(text) is None:
            return f"{amount.plain(round(read_quantity(text, 'small volume', f'--{key}'), 1))}mL"
        if KEYS[key] is Sort.DENSITY and amount.read_density_per_ml(text) is None:
            return f"{amount.short(read_quantity(text, 'density', f'--{key}'))}/mL"
        if KEYS[key] is Sort.TEMPERATURE and amount.read_temperature_c(text) is None:
            return f"{amount.plain(round(read_quantity(text, 'temperature', f'--{key}'), 1))}degC"
        if KEYS[key] is Sort.GRAVITY:
            return text.removesuffix("SG").strip()
    return text


def _counted_density(texts: Mapping[str, str]) -> str:
    from greenrota.culture.bench.count import count_density
    from greenrota.logbook import amount

    if "cells" not in texts or "squares" not in texts:
        hint = "give --density 9.1e5/mL, or --cells with --squares (large squares counted) and --dilution"
        what = "a count needs a density, or the cells and the squares they were counted in"
        raise ProblemsFound([Problem("count-missing", Place("--density"), what, hint)], status=2)
    figures = {key: _figure(key, texts.get(key, "1")) for key in _COUNT}
    with in_range("--cells"):
        if figures["cells"] != int(figures["cells"]):
            raise ValueError(f"{figures['cells']:g} cells is not a whole number")
        counted = count_density(int(figures["cells"]), figures["squares"], figures["dilution"])
    return f"{amount.short(float(f'{counted.density_per_ml:.3g}'))}/mL"


def _figure(key: str, text: str) -> float:
    from greenrota.logbook import amount, fault
    from greenrota.logbook.vocabulary import Sort

    number = amount.read_figure(text)
    if number is None:
        raise ProblemsFound([fault.unread(Place(f"--{key}"), text, Sort.FIGURE)], status=2)
    return number
