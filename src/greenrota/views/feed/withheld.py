"""The harvest bottles that must not be given: the same lines on every page."""

from __future__ import annotations

from collections.abc import Sequence

from greenrota.rota.feed.bottles import BottleRecord
from greenrota.views.text import amount
from greenrota.views.text.day import day_text
from greenrota.views.text.lettering import hanging, printable

OFFERED_DAYS = 14  # past its date, a bottle is spoken of so long: after that it was poured away; our choice


def withheld_lines(records: Sequence[BottleRecord], units: str, width: int | None = None) -> list[str]:
    """The bottles of which nobody may be given anything, each with the reason and what to do; [] if there is none."""
    apart = [record for record in records if record.withheld and not record.planned]
    if not apart:
        return []
    lines = hanging("", "DO NOT GIVE any of these to an animal, and start nothing from them", width)
    for record in apart:
        bottle = record.bottle
        left = amount.volume(record.left_ml, units)
        text = f"{left} of {day_text(bottle.on)}: {record.state_words}, {record.because}"
        lines += hanging(f"  {printable(bottle.id)}  ", printable(text.removesuffix(", ")), width, 4)
    then = "pour away and log it (greenrota log discarded NAME), or log cleared NAME once it was looked at"
    return [*lines, *hanging("  ", then, width)]
