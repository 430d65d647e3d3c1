"""The kinds of logbook entries, the keys of each kind, and what each key holds."""

from collections.abc import Mapping
from enum import Enum
from types import MappingProxyType
from typing import Literal, NamedTuple, TypeGuard, assert_never, get_args

LogKind = Literal[
    "prepared",
    "started",
    "topped-up",
    "fed",
    "harvested",
    "reseeded",
    "counted",
    "crashed",
    "banked",
    "discarded",
    "skipped",
    "void",
    "note",
    "cleared",
    "condemned",
    "suspected",
    "given",
    "given-away",
    "measured",
]
# Whom an entry may be about; "anything" is a vessel, a batch or a bottle.
Subject = Literal["vessel", "anything", "consumer", "anything or nobody"]


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


class Rule(NamedTuple):
    """What holds for a kind of entry: whom it is about, the keys it may have, and those it must have.

    `instead` are keys that together stand for the required ones; of `any_of`, one at least must be there. `ends`: what
    it names is gone afterwards. `repeats`: it may stand twice on a day about one subject, with other values.
    """

    subject: Subject
    keys: frozenset[str]
    required: tuple[str, ...] = ()
    instead: tuple[str, ...] = ()
    any_of: tuple[str, ...] = ()
    ends: bool = False
    repeats: bool = False

    @property
    def subject_free(self) -> bool:
        """True where `-` (no vessel) may be the subject."""
        return self.subject == "anything or nobody"


KEYS: Mapping[str, Sort] = MappingProxyType(
    {
        "from": Sort.TEXT,
        "inoculum": Sort.VOLUME,
        "volume": Sort.VOLUME,
        "seawater": Sort.VOLUME,
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
    subject: Subject,
    keys: str,
    *required: str,
    instead: str = "",
    any_of: tuple[str, ...] = (),
    ends: bool = False,
    repeats: bool = False,
) -> Rule:
    taken = frozenset(keys.split()) | {"reason", "text"} | set(any_of)
    return Rule(subject, taken, required, tuple(instead.split()), any_of, ends, repeats)


def _of_kind(kind: LogKind) -> Rule:
    match kind:
        case "prepared":
            return _rule("vessel", "volume")
        case "started":
            return _rule("vessel", "from inoculum volume density nutrient")
        case "topped-up":
            return _rule("vessel", "seawater nutrient")
        case "fed":
            return _rule("vessel", "dose nutrient")
        case "harvested":
            return _rule("vessel", "volume density keep")
        case "reseeded":
            return _rule("vessel", "inoculum volume nutrient light")
        case "counted":
            return _rule("vessel", "density cells squares dilution", "density", instead="cells squares")
        case "crashed":
            return _rule("vessel", "cause since", ends=True)
        case "banked":
            return _rule("vessel", "volume density")
        case "discarded":
            return _rule("anything", "volume", ends=True)
        case "skipped":
            return _rule("vessel", "task", "task", repeats=True)
        case "void":
            return _rule("anything or nobody", "entry", "entry")
        case "note":
            return _rule("anything or nobody", "", any_of=("text", *OBSERVED), repeats=True)
        case "cleared":
            return _rule("anything", "")
        case "condemned":
            return _rule("anything", "since", ends=True)
        case "suspected":
            return _rule("anything", "since")
        case "given":
            return _rule("consumer", "volume from", repeats=True)
        case "given-away":
            return _rule("anything", "volume")
        case "measured":
            return _rule("anything", "volume", "volume")
        case _:
            assert_never(kind)


KINDS: Mapping[LogKind, Rule] = MappingProxyType({kind: _of_kind(kind) for kind in get_args(LogKind)})


def is_kind(text: str) -> TypeGuard[LogKind]:
    """True for a text that is a kind of entry.

    >>> is_kind("fed"), is_kind("feed")
    (True, False)
    """
    return text in get_args(LogKind)
