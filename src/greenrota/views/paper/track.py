"""The series of all charts, over days counted from the day the rota is planned from."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta
from itertools import groupby
from typing import NamedTuple

from greenrota.rota.answers.contents import choice_of, grown
from greenrota.rota.feed.daily import DailyRations
from greenrota.rota.kinds import TASK_KINDS
from greenrota.rota.rota import Rota
from greenrota.rota.simulate.events import Interval

Point = tuple[float, float]
MILLION = 1e6  # cells; densities are drawn and printed in millions


def _sign_names() -> Iterator[tuple[str, str]]:
    """Sign and name in the order in which a batch meets them."""
    for kind, record in TASK_KINDS.items():
        if kind == "harvest":
            yield "r", "ripe"
        if record.sign:
            yield record.sign, "top-up" if kind == "topup" else kind
    yield "X", "crash"


SIGN_NAMES = dict(_sign_names())


class Stretch(NamedTuple):
    """Days from first to last, as x values."""

    first: float
    last: float


def day_number(rota: Rota, on: date) -> float:
    """The x value of a day: 0 on the day the rota is planned from."""
    return float((on - rota.as_of).days)


def density_tracks(rota: Rota, intervals: Iterable[Interval]) -> list[list[Point]]:
    """Density in million cells/mL on every day, a list of points for each batch; `spans` of one vessel, in order."""
    return [
        [point for interval in of_batch for point in _daily(rota, interval)]
        for _, of_batch in groupby(intervals, key=lambda interval: interval.batch.id)
    ]


def _daily(rota: Rota, interval: Interval) -> Iterable[Point]:
    for n in range((interval.last - interval.first).days + 1):
        on = interval.first + timedelta(days=n)
        yield day_number(rota, on), grown(rota, interval, on).density_per_ml / MILLION


def ceiling_tracks(rota: Rota, intervals: Iterable[Interval]) -> list[list[Point]]:
    """The ceiling in million cells/mL at both ends of every stretch, a list for each batch."""
    return [
        [point for interval in of_batch for point in _ends(rota, interval)]
        for _, of_batch in groupby(intervals, key=lambda interval: interval.batch.id)
    ]


def _ends(rota: Rota, interval: Interval) -> list[Point]:
    top = rota.benches[interval.batch.vessel].ceiling(interval.broth).per_ml / MILLION
    return [(day_number(rota, interval.first), top), (day_number(rota, interval.last), top)]


def deed_signs(rota: Rota, vessel: str) -> list[tuple[float, str]]:
    """Day and sign of everything planned for a vessel that has a sign, and X for its crashes."""
    planned = [
        (day_number(rota, event.on), TASK_KINDS[event.kind].sign)
        for event in rota.simulation.events
        if event.batch.vessel == vessel and TASK_KINDS[event.kind].sign
    ]
    return planned + [(day_number(rota, crash.on), "X") for crash in rota.crashes if crash.vessel == vessel]


def harvest_windows(rota: Rota, intervals: Sequence[Interval]) -> list[Stretch]:
    """From ripe, or the day the plan sets, to over-ripe, harvest or horizon, whichever is first; one for each batch."""
    windows = []
    for batch in dict.fromkeys(interval.batch.id for interval in intervals):
        choice = choice_of(rota, batch)
        ripe_on = None if choice is None else choice.projection.pinned_on or choice.projection.ripe_on
        if choice is None or ripe_on is None or ripe_on > rota.through:
            continue
        ends = (choice.projection.over_on, choice.taken, rota.through)
        last = min(day for day in ends if day is not None)
        if ripe_on <= last:
            windows.append(Stretch(day_number(rota, ripe_on), day_number(rota, last)))
    return windows


def feed_track(rations: DailyRations) -> list[Point]:
    """Feed on hand in the evening of every day, mL."""
    return [(float(n), day.on_hand_ml) for n, day in enumerate(rations.days)]
