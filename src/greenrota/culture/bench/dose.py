"""Doses: millilitres of a nutrient bottle, and roughly how many drops that is.

A label dose (mL per litre of seawater) brings plain seawater to the medium's full strength.
"""

from typing import NamedTuple

DROPS_PER_ML = 20.0  # official dropper, 1 mL of water in 20 drops, USP via a pharmacy teaching page (copy)
DROP_VOLUME_ERROR = 0.15  # volume error of a calibrated dropper up to 15 %, USP 32 <1101>


class Drops(NamedTuple):
    """A dose in drops, always beside its millilitres: drops are a hint, never the dose.

    number: drops of a 20-per-mL dropper; others give 18 to 22 to the mL.
    low_ml, high_ml: what `number` drops really bring, at 15 % error of the drop.
    """

    number: int
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


def drops(ml: float) -> Drops:
    """About how many drops a dose is, and what they may really bring. ValueError below zero.

    Source: USP's official dropper, 20 plus or minus 2 drops per mL of water; a concentrate drops differently.

    >>> drops(0.8).number
    16
    """
    _check_not_negative(ml=ml)
    number = round(ml * DROPS_PER_ML)
    return Drops(
        number=number,
        low_ml=number / DROPS_PER_ML * (1.0 - DROP_VOLUME_ERROR),
        high_ml=number / DROPS_PER_ML * (1.0 + DROP_VOLUME_ERROR),
    )


def _check_not_negative(**figures: float) -> None:
    for name, value in figures.items():
        if not value >= 0.0:
            raise ValueError(f"{name} is {value:g}; it cannot be below zero")
