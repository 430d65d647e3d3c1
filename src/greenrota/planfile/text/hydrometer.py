"""The reference of a hydrometer as it is printed on one."""

from __future__ import annotations

import re

from greenrota.culture.water.seawater import TEMPERATURE_MAX_C, Hydrometer
from greenrota.planfile.text.spelling import shown
from greenrota.planfile.text.units import QuantityError, quantity

PRINTED = r"([0-9]{1,3}(?:\.[0-9]{1,3})?)([CF])/([0-9]{1,3}(?:\.[0-9]{1,3})?)([CF])"


def read_hydrometer(text: str) -> Hydrometer:
    """What a hydrometer compares, from a text such as "25C/25C": sample and pure water, both 0..40 degC.

    Raises QuantityError with code "bad-hydrometer" or "out-of-range".

    >>> read_hydrometer("20C/4C")
    Hydrometer(sample_c=20.0, reference_c=4.0)
    """
    hint = 'it is printed on the hydrometer, for example "25C/25C", "20C/4C" or "60F/60F"'
    found = re.fullmatch(PRINTED, text)
    if found is None:
        raise QuantityError("bad-hydrometer", f'"{shown(text)}" is no reference of a hydrometer', hint)
    sample_c, reference_c = (
        quantity(f"{number} deg{scale}", "temperature")
        for number, scale in (found.group(1, 2), found.group(3, 4))
    )
    if not (0.0 <= sample_c <= TEMPERATURE_MAX_C and 0.0 <= reference_c <= TEMPERATURE_MAX_C):
        raise QuantityError("out-of-range", f'"{text}" is outside 0..{TEMPERATURE_MAX_C:g} degC', hint)
    return Hydrometer(sample_c, reference_c)
