"""The series of all charts, over days counted from the day the rota is planned from."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from greenrota.rota.ledger import Ledger
from greenrota.rota.rota import Rota
from greenrota.rota.standing import choice_of, grown
from greenrota.rota.visit import Span

Point = tuple[float, float]
MILLION = 1e6  # cells; densities are drawn and printed in millions
SIGNS = {"start": "S", "feed": "F", "harvest": "H", "renew": "N"}  # our choice
SIGN_NAMES = {"S": "start", "F": "feed", "r": "ripe", "H": "harvest", "N": "renew", "X": "crash"}


@dataclass(frozen=True, slots=True)
class Stretch:
    """Days from first to last, as x values."""

    first: float
    last: float


def day_number(rota: Rota, on: date) -> float:
    """The x value of a day: 0 on the day the rota is planned from."""
    return float((on - rota.as_of).days)


def density_tracks(rota: Rota, spans: Iterable[Span]) -> list[list[Point]]:
    """Density in million cells/mL on every day, a list of points for each batch; `spans` of one vessel, in order."""
    return [
        [point for span in of_batch for point in _daily(rota, span)]
        for _, of_batch in groupby(spans, key=lambda span: span.batch.id)
    ]


def _daily(rota: Rota, span: Span) -> Iterable[Point]:
    for n in range((span.last - span.first).days + 1):
        on = span.first + timedelta(days=n)
        yield day_number(rota, on), grown(rota, span, on).density_per_ml / MILLION


def ceiling_tracks(rota: Rota, spans: Iterable[Span]) -> list[list[Point]]:
    """The ceiling in million cells/mL at both ends of every stretch, a list for each batch."""
    return [
        [point for span in of_batch for point in _ends(rota, span)]
        for _, of_batch in groupby(spans, key=lambda span: span.batch.id)
    ]


def _ends(rota: Rota, span: Span) -> list[Point]:
    top = rota.benches[span.batch.vessel].ceiling(span.broth).per_ml / MILLION
    return [(day_number(rota, span.first), top), (day_number(rota, span.last), top)]


def deed_signs(rota: Rota, vessel: str) -> list[tuple[float, str]]:
    """Day and sign of everything planned for a vessel that has a sign in `SIGNS`, and X for its crashes."""
    planned = [
        (day_number(rota, visit.on), SIGNS[visit.kind])
        for visit in rota.forecast.visits
        if visit.batch.vessel == vessel and visit.kind in SIGNS
    ]
    return planned + [(day_number(rota, crash.on), "X") for crash in rota.crashes if crash.vessel == vessel]


def harvest_windows(rota: Rota, spans: Sequence[Span]) -> list[Stretch]:
    """From ripe, or the day the plan sets, to over-ripe, harvest or horizon, whichever is first; one for each batch."""
    windows = []
    for batch in dict.fromkeys(span.batch.id for span in spans):
        choice = choice_of(rota, batch)
        ripe_on = None if choice is None else choice.ahead.pinned_on or choice.ahead.ripe_on
        if choice is None or ripe_on is None or ripe_on > rota.through:
            continue
        ends = (choice.ahead.over_on, choice.taken, rota.through)
        last = min(day for day in ends if day is not None)
        if ripe_on <= last:
            windows.append(Stretch(day_number(rota, ripe_on), day_number(rota, last)))
    return windows


def feed_track(ledger: Ledger) -> list[Point]:
    """Feed on hand in the evening of every day, mL."""
    return [(float(n), day.on_hand_ml) for n, day in enumerate(ledger.days)]
