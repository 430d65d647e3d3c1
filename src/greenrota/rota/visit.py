"""Visits: the light records a forecast leaves behind, from which tasks, ledger, chart and score are made."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date

from greenrota.culture.broth import Broth
from greenrota.rota.outlook import Outlook
from greenrota.rota.shelf import Batch


@dataclass(frozen=True, slots=True)
class Visit:
    """One thing to be done to a batch on a day.

    `kind` is start, feed, harvest, reseed, renew or bank. `volume_ml` is the culture that is moved: inoculum,
    harvest, keep-back or bottle filling. `label_doses_l` is the nutrient poured, in litres at label strength;
    `light_h` a photoperiod the new batch is put under instead of the vessel's usual one.
    """

    kind: str
    on: date
    batch: Batch
    before: Broth | None
    after: Broth | None
    volume_ml: float = 0.0
    seawater_l: float = 0.0
    label_doses_l: float = 0.0
    light_h: float | None = None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch in which nothing touches a batch: the broth at its first day and the day it ends (included).

    `light_h` is a photoperiod other than the vessel's usual one.
    """

    batch: Batch
    first: date
    last: date
    broth: Broth
    light_h: float | None = None


@dataclass(frozen=True, slots=True)
class Wishes:
    """Days to use instead of the forecast's own choice: harvests by batch id, starts by vessel."""

    harvests: Mapping[str, date] = field(default_factory=dict)
    starts: Mapping[str, date] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Choice:
    """A harvest date that was chosen: the batch, what was looked at, and what was taken."""

    batch: Batch
    ahead: Outlook
    options: tuple[date, ...]
    taken: date | None


def first_starts(visits: Iterable[Visit]) -> dict[str, date]:
    """The days on which vessels are filled for the first time; restarts after a renewal or a crash are left out."""
    return {v.batch.vessel: v.on for v in visits if v.kind == "start" and v.batch.number == 1}
