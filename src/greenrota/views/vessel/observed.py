"""What was seen in a vessel, in words and for other programs."""

from __future__ import annotations

from collections.abc import Sequence

from greenrota.rota.replay.observed import Seen
from greenrota.views.text import amount
from greenrota.views.text.day import day_text
from greenrota.views.text.lettering import hanging, printable

_WORDS = {"ph": "pH", "sg": "SG"}
_FIELDS = ("colour", "smell", "foam", "clumping", "ph", "sg", "temperature")


def seen_lines(seen: Sequence[Seen], units: str, width: int | None) -> list[str]:
    """A line for every observation, with vessel and day."""
    lines: list[str] = []
    for each in seen:
        parts = [_part(key, each.values[key], units) for key in _FIELDS if key in each.values]
        lead = f"  {printable(each.vessel)}, {day_text(each.on)}: "
        lines += hanging(lead, printable(", ".join(parts)), width, 4)
    return lines


def _part(key: str, value: str | float, units: str) -> str:
    if key == "temperature" and not isinstance(value, str):
        return amount.temperature(value, units)
    shown = value if isinstance(value, str) else f"{value:.3f}" if key == "sg" else f"{value:g}"
    return f"{_WORDS.get(key, key)} {shown}"


def seen_object(seen: Seen) -> dict[str, object]:
    """An observation as it stands in JSON; what was not noted is null. The temperature is in degrees Celsius."""
    fields = {("temperature_c" if key == "temperature" else key): seen.values.get(key) for key in _FIELDS}
    return {"vessel": seen.vessel, "date": seen.on.isoformat(), **fields}
