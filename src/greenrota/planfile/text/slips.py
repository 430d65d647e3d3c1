"""Quantities in a unit of the hobby that is not taken here, and the text that says the same in one that is."""

from __future__ import annotations

import re
from collections.abc import Sequence

from greenrota.planfile.text.spelling import Kind

LEAST_GRAVITY, MOST_GRAVITY = (
    0.99,
    1.06,
)  # our choice: what hydrometers for seawater show, 1.000 to 1.040, and some
_NUMBER = r"([0-9]+(?:\.[0-9]+)?)"
# Texts, for they are seldom wanted: `re` compiles each when it is first used.
_DROPS = _NUMBER + r" ?(?:drops?|gtts?)(?: ?/ ?| per | an? )(L|l|litre|liter|gal|gallon)"
_SHARED_OUT = _NUMBER + r" ?m[Ll](?: ?/ ?| per )([0-9]+(?:\.[0-9]+)?) ?(L|l|litres?|liters?|gal|gallons?)"
_IN_PPM = _NUMBER + r" ?ppm"
_IN_PERCENT = _NUMBER + r" ?%"


def meant(text: str, wanted: Sequence[Kind]) -> str:
    """A hint that says what to write; empty if the text is none of the slips that are known.

    >>> from greenrota.planfile.text.spelling import KINDS
    >>> meant("10 ppm", [KINDS["mass per volume"]])
    'write "10 mg/L"; in water 1 ppm is 1 mg/L'
    """
    measures = {kind.measures for kind in wanted}
    if "a specific gravity" in measures and (gravity := _bare_gravity(text)):
        return f'a specific gravity carries its unit: write "{gravity} SG"'
    if "a salinity" in measures and (found := re.fullmatch(_IN_PPM, text)):
        return f'write "{float(found[1]) / 1000.0:g} ppt"; 1000 ppm are 1 ppt'
    if "a salinity" in measures and (found := re.fullmatch(_IN_PERCENT, text)):
        return f'write "{float(found[1]) * 10.0:g} ppt"; 1 % is 10 ppt'
    if "a mass concentration" in measures and (found := re.fullmatch(_IN_PPM, text)):
        return f'write "{found[1]} mg/L"; in water 1 ppm is 1 mg/L'
    if "a dose" in measures:
        return _dose_meant(text)
    return ""


def _bare_gravity(text: str) -> str:
    """The reading of a hydrometer without a unit, also with a comma or as whole thousandths; "" for another text."""
    found = re.fullmatch(r"(1|0)[.,]([0-9]{1,4})", text)
    spelled = f"{found[1]}.{found[2]}" if found else ""
    if re.fullmatch(r"10[0-6][0-9]", text):  # "1021": thousandths, as some hydrometers print them
        spelled = f"1.{text[1:]}"
    return spelled if spelled and LEAST_GRAVITY <= float(spelled) <= MOST_GRAVITY else ""


def _dose_meant(text: str) -> str:
    if found := re.fullmatch(_DROPS, text):
        return f'write "{float(found[1]):g} drops/{_per(found[2])}"'
    if (found := re.fullmatch(_SHARED_OUT, text)) and float(found[2]) > 0.0:
        return f'write "{float(found[1]) / float(found[2]):g} mL/{_per(found[3])}"'
    return ""


def _per(word: str) -> str:
    return "gal" if word.startswith("gal") else "L"
