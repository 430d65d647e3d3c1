"""Spellings of units: which are read, what each measures, and which known word is spelled most like a wrong one.

Only what stands in `SPELLINGS` is read. A kind (`KINDS`) is what a key of the plan asks for, such as a volume.
"""

from collections.abc import Iterable
from typing import NamedTuple

from greenrota import errors


class Unit(NamedTuple):
    """A unit: what it measures, and its definition in the names of `units.txt`."""

    measures: str
    definition: str


class Kind(NamedTuple):
    """What a key asks for: what is measured, the base unit of the number, and an example of the text."""

    measures: str
    base: str
    example: str


_VOLUMES = {
    "L": "litre",
    "l": "litre",
    "mL": "millilitre",
    "ml": "millilitre",
    "gal": "us_gallon",
    "qt": "us_quart",
    "cup": "us_cup",
    "fl_oz": "us_fluid_ounce",
    "tbsp": "us_tablespoon",
    "tsp": "us_teaspoon",
    "imp_gal": "imp_gallon",
}
_MASSES = {"g": "gram", "mg": "milligram", "kg": "kilogram", "oz": "ounce", "lb": "pound"}
_TEMPERATURES = {"degC": "degC", "degF": "degF", "°C": "degC", "°F": "degF"}
_TIMES = {"h": "hour", "min": "minute", "day": "day", "days": "day"}
_LITRES = {"L": "litre", "l": "litre", "mL": "millilitre", "ml": "millilitre"}
_DOSED = {**_LITRES, "gal": "us_gallon", "imp_gal": "imp_gallon"}


def _spellings() -> dict[str, Unit]:
    table: dict[str, Unit] = {}
    for measures, units in (
        ("a volume", _VOLUMES),
        ("a mass", _MASSES),
        ("a temperature", _TEMPERATURES),
        ("a time", _TIMES),
        ("a salinity", {"psu": "psu", "ppt": "psu", "g/kg": "gram_per_kilogram"}),
        ("a specific gravity", {"SG": "gravity"}),
        ("an illuminance", {"lux": "lux", "lx": "lux"}),
        ("a photon flux", dict.fromkeys(("umol/m2/s", "µmol/m2/s", "μmol/m2/s"), "micromole_photons")),
        ("a rate", dict.fromkeys(("/day", "1/day", "/d"), "1 / day")),
        ("a daily volume", {f"{text}/day": f"{name} / day" for text, name in _VOLUMES.items()}),
        ("an air flow", {f"{text}/min": f"{name} / minute" for text, name in _LITRES.items()}),
    ):
        table |= {text: Unit(measures, definition) for text, definition in units.items()}
    for text, name in _LITRES.items():
        table |= {
            f"{cells}/{text}": Unit("a cell density", f"cell / {name}") for cells in ("cells", "cell", "")
        }
        table |= {
            f"{cells}/{text}/day": Unit("a daily cell density", f"cell / {name} / day")
            for cells in ("cells", "cell")
        }
        table |= {f"umol/{text}": Unit("a molar concentration", f"micromole / {name}")}
        table |= {f"mmol/{text}": Unit("a molar concentration", f"millimole / {name}")}
        table |= {
            f"{mass}/{text}": Unit("a mass concentration", f"{_MASSES[mass]} / {name}")
            for mass in ("mg", "g")
        }
    for text, name in _DOSED.items():
        table |= {f"{part}/{text}": Unit("a dose", f"millilitre / {name}") for part in ("mL", "ml")}
        table |= {f"{part}/{text}": Unit("a dose", f"drop / {name}") for part in ("drops", "drop")}
    return table


SPELLINGS = _spellings()

KINDS = {
    "volume": Kind("a volume", "litre", "1.5 L"),
    "bucket": Kind("a volume", "litre", "20 L"),
    "small volume": Kind("a volume", "millilitre", "500 mL"),
    "mass": Kind("a mass", "gram", "250 g"),
    "temperature": Kind("a temperature", "degC", "22 degC"),
    "hours": Kind("a time", "hour", "14 h"),
    "days": Kind("a time", "day", "14 days"),
    "salinity": Kind("a salinity", "psu", "26 psu"),
    "gravity": Kind("a specific gravity", "gravity", "1.020 SG"),
    "light": Kind("an illuminance", "lux", "4000 lux"),
    "photons": Kind("a photon flux", "micromole_photons", "60 umol/m2/s"),
    "density": Kind("a cell density", "cell / millilitre", "2e6 cells/mL"),
    "rate": Kind("a rate", "1 / day", "0.55 /day"),
    "dose": Kind("a dose", "millilitre / litre", "0.20 mL/L"),
    "ration": Kind("a daily volume", "millilitre / day", "120 mL/day"),
    "cell ration": Kind("a daily cell density", "cell / millilitre / day", "5e3 cells/mL/day"),
    "air": Kind("an air flow", "litre / minute", "0.8 L/min"),
    "amount": Kind("a molar concentration", "micromole / litre", "880 umol/L"),
    "mass per volume": Kind("a mass concentration", "milligram / litre", "55 mg/L"),
}

# Spellings that are not read, each with the one that was probably meant.
_MEANT = {
    "ML": "mL",
    "Ml": "mL",
    "cc": "mL",
    "C": "degC",
    "F": "degF",
    "c": "degC",
    "f": "degF",
    "deg C": "degC",
    "deg F": "degF",
    "celsius": "degC",
    "fahrenheit": "degF",
    "fl oz": "fl_oz",
    "floz": "fl_oz",
    "US gal": "gal",
    "us_gal": "gal",
    "imp gal": "imp_gal",
    "gallon": "gal",
    "gallons": "gal",
    "litre": "L",
    "litres": "L",
    "liter": "L",
    "liters": "L",
    "millilitre": "mL",
    "quart": "qt",
    "cups": "cup",
    "hours": "h",
    "hour": "h",
    "hr": "h",
    "hrs": "h",
    "d": "days",
    "cells / mL": "cells/mL",
    "cells per mL": "cells/mL",
    "sg": "SG",
    "s.g.": "SG",
    "per day": "/day",
    "umol/m²/s": "umol/m2/s",
}


def shown(text: str, longest: int = 64) -> str:
    """The text as it is written in a message: cut to a length, with control characters as escapes.

    >>> shown("1\\tL")
    '1\\\\tL'
    """
    cut = text if len(text) <= longest else text[:20] + "..."
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode() for c in cut)


def nearest(word: str, words: Iterable[str]) -> str:
    """The one of `words` that is spelled most like `word`, whatever the case; "" if none is alike.

    >>> nearest("photoperiode", ["fill", "photoperiod"])
    'photoperiod'
    """
    return errors.nearest(word, words) or ""


def nearest_unit(text: str, kinds: Iterable[Kind]) -> str:
    """The spelling of one of the kinds that a wrong unit was probably meant to be; "" if none is alike.

    >>> nearest_unit("ML", [KINDS["volume"]])
    'mL'
    """
    measured = {kind.measures for kind in kinds}
    fitting = [spelling for spelling, unit in SPELLINGS.items() if unit.measures in measured]
    meant = _MEANT.get(text, "")
    return meant if meant in fitting else nearest(text, reversed(fitting))
