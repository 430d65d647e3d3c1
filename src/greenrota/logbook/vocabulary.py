"""The kinds of logbook entries, the keys of each kind, and what each key holds."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from types import MappingProxyType


class Sort(Enum):
    """What a key holds. The value is the text that a problem shows for what is wanted."""

    VOLUME = "a volume such as 187.5mL or 1.5L"
    DENSITY = "a density such as 9.1e5/mL"
    FIGURE = "a bare number such as 0.5"
    HOURS = "hours of light a day, 0 to 24, such as 10"
    DATE = "a date such as 2027-02-09"
    ENTRY = "the number of an entry such as 3"
    PH = "a pH, 0 to 14, such as 8.4"
    GRAVITY = "a specific gravity, 0.990 to 1.100, such as 1.020"
    TEMPERATURE = "a temperature in water such as 24degC"
    DEGREE = "none, some or much"
    CAUSE = "a cause such as contamination"
    TEXT = "a text"


@dataclass(frozen=True, slots=True)
class Rule:
    """The keys a kind may have, those it must have, and whether `-` (no vessel) may be its subject.

    `instead` are keys that together stand for the required ones; of `any_of`, one at least must be there.
    """

    keys: frozenset[str]
    required: tuple[str, ...] = ()
    instead: tuple[str, ...] = ()
    any_of: tuple[str, ...] = ()
    subject_free: bool = False


KEYS: Mapping[str, Sort] = MappingProxyType(
    {
        "from": Sort.TEXT,
        "inoculum": Sort.VOLUME,
        "volume": Sort.VOLUME,
        "keep": Sort.VOLUME,
        "nutrient": Sort.VOLUME,
        "density": Sort.DENSITY,
        "dose": Sort.FIGURE,
        "cells": Sort.FIGURE,
        "squares": Sort.FIGURE,
        "dilution": Sort.FIGURE,
        "light": Sort.HOURS,
        "cause": Sort.CAUSE,
        "since": Sort.DATE,
        "task": Sort.TEXT,
        "entry": Sort.ENTRY,
        "reason": Sort.TEXT,
        "text": Sort.TEXT,
        "colour": Sort.TEXT,
        "smell": Sort.TEXT,
        "foam": Sort.DEGREE,
        "clumping": Sort.DEGREE,
        "ph": Sort.PH,
        "sg": Sort.GRAVITY,
        "temperature": Sort.TEMPERATURE,
    }
)

OBSERVED = ("colour", "smell", "foam", "clumping", "ph", "sg", "temperature")  # keys of a note: what was seen
DEGREES = ("none", "some", "much")  # how much foam or clumping; our choice

CAUSES = (
    "contamination",
    "overheating",
    "light-failure",
    "air-failure",
    "salinity-slip",
    "over-age",
    "unknown",
)


def _rule(
    keys: str,
    *required: str,
    instead: str = "",
    any_of: tuple[str, ...] = (),
    subject_free: bool = False,
) -> Rule:
    taken = frozenset(keys.split()) | {"reason", "text"} | set(any_of)
    return Rule(taken, required, tuple(instead.split()), any_of, subject_free)


KINDS: Mapping[str, Rule] = MappingProxyType(
    {
        "prepared": _rule("volume"),
        "started": _rule("from inoculum volume density nutrient"),
        "fed": _rule("dose nutrient"),
        "harvested": _rule("volume density keep"),
        "reseeded": _rule("inoculum volume nutrient light"),
        "counted": _rule("density cells squares dilution", "density", instead="cells squares"),
        "crashed": _rule("cause since"),
        "banked": _rule("volume density"),
        "discarded": _rule("volume"),
        "skipped": _rule("task", "task"),
        "void": _rule("entry", "entry", subject_free=True),
        "note": _rule("", any_of=("text", *OBSERVED), subject_free=True),
        "cleared": _rule(""),
        "condemned": _rule("since"),
        "suspected": _rule("since"),
        "given": _rule("volume from"),
        "given-away": _rule("volume"),
        "measured": _rule("volume", "volume"),
    }
)
