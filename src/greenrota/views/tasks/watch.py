"""Signs to look for in every vessel, and what to look for under the microscope in a suspect."""

from __future__ import annotations

from collections.abc import Sequence

from greenrota.rota.replay.logged import Inspection
from greenrota.views.text.day import day_text
from greenrota.views.text.lettering import hanging, printable

# All of these: common practice, no source.
SIGNS = (
    ("colour", "deepens day by day; paling or browning: light, nutrient or temperature is off"),
    ("foam", "a thin ring is usual; a thick, lasting head means cells are breaking up"),
    ("clumping", "cells swirl up evenly; flocs or a carpet that will not: old, or something else grows"),
    ("smell", "fresh, like the sea; rotten or sour: do not feed it, do not seed from it"),
    ("clearing", "water that turns clear overnight: a crash or grazers; keep it apart from the others"),
)
_SIGNS_SHORT = "colour paling, foam that lasts, clumping, a bad smell, clearing"
# Common practice, no source.
UNDER_MAGNIFICATION = (
    "at 100x to 400x: anything that swims and is larger than the cells (ciliates, rotifers), chains or threads "
    "of another alga, cells of another size or shape, bacterial haze, cells that burst"
)
_UNDER_SHORT = "at 100x to 400x, anything larger that swims, threads, cells of another size or shape, haze"


def signs(width: int, brief: bool) -> list[str]:
    """What to look for in every vessel, as lines; `brief` names the signs and leaves out what they are signs of."""
    if brief:
        return hanging("", f"Watch every vessel for: {_SIGNS_SHORT} (common practice, no source)", width, 2)
    lines = hanging("", "Look at every vessel (common practice, no source)", width)
    for what, sign in SIGNS:
        lines += hanging(f"  {what:<10}", sign, width)
    return lines


def magnify(inspections: Sequence[Inspection], width: int | None, brief: bool) -> list[str]:
    """What has to be looked at under magnification, why, for what, and how to log what was seen; as lines."""
    if not inspections:
        return []
    lines = hanging("", "Look at it under magnification before it gives again", width)
    for look in inspections:
        text = f"suspect since {day_text(look.since)}: {look.because}"
        if brief:
            text = f"suspect since {look.since.isoformat()}"
        lines += hanging(f"  {printable(look.subject)}  ", printable(text), width)
    for_what = _UNDER_SHORT if brief else UNDER_MAGNIFICATION
    lines += hanging("  ", f"for: {for_what} (common practice, no source)", width)
    return [
        *lines,
        *hanging("  ", "then: greenrota log cleared NAME, or greenrota log condemned NAME", width),
    ]
