"""What the instruments of the bench can show: syringes, a jug and a kitchen scale, and amounts read off them."""

from __future__ import annotations

import math

_INSTRUMENTS = (  # below so many mL: steps of so many mL, and decimals of a mL that are shown
    (1.0, 0.01, 2),  # 1 mL (tuberculin) syringe, graduated by 0.01 mL: 411answers.com, seen in a copy
    (10.0, 0.05, 2),  # our choice: half a mark of a syringe graduated by 0.1 mL
    (100.0, 1.0, 0),  # our choice: a large syringe or cylinder with 1 mL marks
    (math.inf, 10.0, 0),  # our choice: a jug with 10 mL marks
)
_ROUNDING = 1e-6  # our choice: of a step; a volume this close to a whole step counts as that step
FINEST_ML = _INSTRUMENTS[0][1]
SCALE_STEP_G = 1.0  # our choice: a kitchen scale


def step_ml(volume_ml: float) -> float:
    """The step (mL) of the smallest instrument that holds this volume once it is rounded to that step.

    >>> step_ml(0.8), step_ml(9.97), step_ml(9.99), step_ml(187.5)
    (0.01, 0.05, 1.0, 10.0)
    """
    return _instrument(volume_ml)[0]


def decimals(volume_ml: float) -> int:
    """Decimals of a mL that the instrument for this volume shows.

    >>> decimals(0.8), decimals(85.0)
    (2, 0)
    """
    return _instrument(volume_ml)[1]


def measured_ml(volume_ml: float) -> float:
    """The volume that is read off the instrument: the nearest of its steps.

    >>> measured_ml(187.5), measured_ml(0.123)
    (190.0, 0.12)
    """
    return _to_step(volume_ml, step_ml(volume_ml))


def below_ml(volume_ml: float) -> float:
    """The last step of the instrument that is not above a volume; 0 for less than a step or nothing.

    For amounts that must not be exceeded.

    >>> below_ml(3810.0), below_ml(3915.0), below_ml(99.9)
    (3810.0, 3910.0, 99.0)
    """
    room_ml = max(0.0, volume_ml)
    step = next(step for most, step, _ in _INSTRUMENTS if room_ml < most - _ROUNDING * step)
    return math.floor(room_ml / step + _ROUNDING) * step


def measured_g(mass_g: float) -> float:
    """The mass that a kitchen scale shows, in whole grams.

    >>> measured_g(112.4)
    112.0
    """
    return _to_step(mass_g, SCALE_STEP_G)


def _instrument(volume_ml: float) -> tuple[float, int]:
    for most, step, places in _INSTRUMENTS[:-1]:
        if _to_step(volume_ml, step) < most:
            return step, places
    return _INSTRUMENTS[-1][1:]


def _to_step(value: float, step: float) -> float:
    return round(value / step) * step
