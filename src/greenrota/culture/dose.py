"""Doses: millilitres of a nutrient bottle, what they bring, and roughly how many drops that is.

A label dose (mL per litre of seawater) brings plain seawater to the medium's full strength.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from greenrota.culture.medium import Medium

DROPS_PER_ML = 20.0  # official dropper, 1 mL of water in 20 drops, USP via a pharmacy teaching page (copy)
DROPS_PER_ML_SPREAD = 2.0  # the same: 20 plus or minus 2 drops
DROP_VOLUME_ERROR = 0.15  # volume error of a calibrated dropper up to 15 %, USP 32 <1101>


@dataclass(frozen=True, slots=True)
class Drops:
    """A dose in drops, always beside its millilitres: drops are a hint, never the dose.

    count: drops of a 20-per-mL dropper; fewest, most: what droppers of 18 and 22 drops per mL need.
    low_ml, high_ml: what `count` drops really bring, at 15 % error of the drop.
    """

    ml: float
    count: int
    fewest: int
    most: int
    low_ml: float
    high_ml: float


def dose_ml(volume_l: float, label_dose_ml_per_l: float, strength: float = 1.0) -> float:
    """Millilitres of a nutrient bottle for a volume of water.

    `strength` in label doses: 1 is the full medium. ValueError if a figure is below zero.
    Source: proportion, derived by hand.

    >>> dose_ml(4.0, 0.20)
    0.8
    """
    _check_not_negative(volume_l=volume_l, label_dose_ml_per_l=label_dose_ml_per_l, strength=strength)
    return volume_l * label_dose_ml_per_l * strength


def strength(dose_ml_per_l: float, label_dose_ml_per_l: float) -> float:
    """Strength of a dose in label doses; 1 is the full medium. ValueError for a label dose of zero or below.

    >>> round(strength(0.13, 0.20), 2)
    0.65
    """
    _check_not_negative(dose_ml_per_l=dose_ml_per_l)
    if not label_dose_ml_per_l > 0.0:
        raise ValueError(f"label dose {label_dose_ml_per_l:g} mL/L must be above zero")
    return dose_ml_per_l / label_dose_ml_per_l


def dose_by_part_ml(
    parts: Iterable[str], volume_l: float, label_dose_ml_per_l: float, strength: float = 1.0
) -> Mapping[str, float]:
    """Millilitres of each bottle of a concentrate sold in parts: every part gets the whole dose.

    ValueError if a part is named twice, or as `dose_ml`. Source: common practice, no source.

    >>> dose_by_part_ml(("A", "B"), 4.0, 0.25)
    {'A': 1.0, 'B': 1.0}
    """
    names = list(parts)
    if len(set(names)) < len(names):
        raise ValueError(f"a part is named twice: {', '.join(names)}")
    each_ml = dose_ml(volume_l, label_dose_ml_per_l, strength)
    return dict.fromkeys(names, each_ml)


def delivered_umol(medium: Medium, dose_ml: float, label_dose_ml_per_l: float) -> tuple[float, float, float]:
    """Micromoles of N, P and Si, in this order, that some millilitres of the bottle bring to any volume.

    ValueError as in `strength`. Source: dose / label dose is the litres brought to full strength.

    >>> from greenrota.culture.medium import media
    >>> [round(x) for x in delivered_umol(media()["f/2"], 0.8, 0.20)]
    [3530, 145, 422]
    """
    litres = strength(dose_ml, label_dose_ml_per_l)
    return litres * medium.nitrogen_umol_l, litres * medium.phosphorus_umol_l, litres * medium.silicon_umol_l


def drops(ml: float) -> Drops:
    """About how many drops a dose is, with the spread of droppers and of drops. ValueError below zero.

    Source: USP's official dropper, 20 plus or minus 2 drops per mL of water; a concentrate drops differently.

    >>> drops(0.8).count
    16
    """
    _check_not_negative(ml=ml)
    count = round(ml * DROPS_PER_ML)
    return Drops(
        ml=ml,
        count=count,
        fewest=math.floor(ml * (DROPS_PER_ML - DROPS_PER_ML_SPREAD)),
        most=math.ceil(ml * (DROPS_PER_ML + DROPS_PER_ML_SPREAD)),
        low_ml=count / DROPS_PER_ML * (1.0 - DROP_VOLUME_ERROR),
        high_ml=count / DROPS_PER_ML * (1.0 + DROP_VOLUME_ERROR),
    )


def _check_not_negative(**figures: float) -> None:
    for name, value in figures.items():
        if not value >= 0.0:
            raise ValueError(f"{name} is {value:g}; it cannot be below zero")
