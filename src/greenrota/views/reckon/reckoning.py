"""An answer of `greenrota reckon`: lines of text, and figures with the unit in the key for JSON."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType
from typing import NamedTuple

from greenrota.culture.bench.sanitation import caution
from greenrota.culture.bounds.bounds import Doubt
from greenrota.views.tasks import care
from greenrota.views.text.document import json_document
from greenrota.views.text.lettering import display_width, pad, printable, wrap

# The cautions of each answer: for salt water beside pumps and heaters, concentrates, bleach, the fridge.
CARE: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "salt": ("mains",),
        "dilute": ("mains",),
        "topup": ("mains",),
        "dose": ("nutrient",),
        "starter": ("food_fridge",),
        "bleach": ("bleach", "bleach_kind", "bleach_rinse", "chlorine_test", "hot_water"),
    }
)
_GAP = "  "
_NARROWEST = 24  # our choice: columns a text keeps even where the screen is too small for it


class Reckoning(NamedTuple):
    """One answer. `lines` are (label, text) for people; `figures` the same for programs, unrounded.

    `cautions` name what can hurt; they are shown whole, every time. `doubts` are figures that may be slips.
    """

    name: str
    lines: tuple[tuple[str, str], ...]
    figures: Mapping[str, float | str | None]
    cautions: tuple[str, ...] = ()
    doubts: tuple[Doubt, ...] = ()


def care_for(answer: str) -> tuple[str, ...]:
    """The cautions of an answer of that name, whole."""
    return tuple(caution(key).text for key in CARE[answer])


def render_reckoning(reckoning: Reckoning, width: int | None = None) -> str:
    """The answer as text, labels in a column of their own, warnings and cautions below; no newline at the end.

    `width` wraps to the screen; None leaves every text on one line. Raises nothing.

    >>> print(render_reckoning(Reckoning("salt", (("dry mix", "112 g"), ("for", "4.00 L")), {})))
    dry mix  112 g
    for      4.00 L
    """
    warnings = [("warning", f"{each.text} [{each.code}]") for each in reckoning.doubts]
    entries = [*reckoning.lines, *warnings, *(("caution", care.marked(text)) for text in reckoning.cautions)]
    widest = max((display_width(label) for label, _ in entries), default=0)
    rows: list[str] = []
    for label, raw in entries:
        text = printable(raw)
        room = None if width is None else max(_NARROWEST, width - widest - len(_GAP))
        first, *rest = [text] if room is None else wrap(text, room)
        rows.append(f"{pad(label, widest)}{_GAP}{first}".rstrip())
        rows += [" " * (widest + len(_GAP)) + line for line in rest]
    return "\n".join(rows)


def reckoning_json(reckoning: Reckoning) -> str:
    """The answer as one JSON object: `format`, the figures, and cautions and warnings if there are any.

    >>> print(reckoning_json(Reckoning("salt", (), {"salt_g": 112.5})))
    {
     "format": "greenrota/reckon-salt/1",
     "salt_g": 112.5
    }
    """
    answer: dict[str, object] = dict(reckoning.figures)
    if reckoning.cautions:
        answer["cautions"] = list(reckoning.cautions)
    if reckoning.doubts:
        answer["warnings"] = [{"code": each.code, "text": each.text} for each in reckoning.doubts]
    return json_document(f"greenrota/reckon-{reckoning.name}/1", answer)
