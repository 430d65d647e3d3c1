"""What stands in a vessel on a day of a rota, read from its simulation."""

from __future__ import annotations

from datetime import date

from greenrota.culture.broth import Broth
from greenrota.rota.rota import Rota
from greenrota.rota.simulate.events import HarvestChoice, Interval


def vessel_intervals(rota: Rota, vessel: str) -> list[Interval]:
    """The intervals of a vessel in the order of time: those of the logbook, then the simulated ones."""
    intervals = (*rota.past, *rota.simulation.intervals)
    return sorted(
        (interval for interval in intervals if interval.batch.vessel == vessel),
        key=lambda interval: (interval.first, interval.last),
    )


def grown(rota: Rota, interval: Interval, on: date) -> Broth:
    """The broth of an interval on one of its days."""
    return (
        rota.benches[interval.batch.vessel]
        .lit(interval.light_h)
        .grow(interval.broth, float((on - interval.first).days))
    )


def before_work(rota: Rota, vessel: str, on: date) -> tuple[Interval, Broth] | None:
    """What stands in a vessel before anything is done on a day; None if it is empty then.

    On the day the rota stands at, what was logged for that day has been done already.
    """
    if on == rota.as_of:
        culture = rota.state.cultures.get(vessel)
        if culture is None:
            return None
        interval = Interval(culture.batch, culture.on, on, culture.broth, culture.light_h)
        return interval, grown(rota, interval, on)
    for interval in vessel_intervals(rota, vessel):
        if interval.first < on <= interval.last:
            return interval, grown(rota, interval, on)
    return None


def after_work(rota: Rota, vessel: str, on: date) -> tuple[Interval, Broth] | None:
    """What stands in a vessel when the day's tasks are done; None if it is empty then.

    An interval that ends on a day on which no other begins ended with the vessel being emptied.
    """
    end = max(rota.as_of, rota.through)
    emptied = {event.batch.id for event in rota.simulation.events if event.kind == "renew" and event.on == on}
    for interval in reversed(vessel_intervals(rota, vessel)):
        if interval.first <= on <= interval.last and interval.batch.id not in emptied:
            return (interval, grown(rota, interval, on)) if on < interval.last or on == end else None
    return None


def choice_of(rota: Rota, batch: str) -> HarvestChoice | None:
    """The harvest that was chosen for a batch, with its projection; None where none was chosen."""
    return next((choice for choice in rota.simulation.choices if choice.batch.id == batch), None)
