"""What stands in a vessel on a day of a rota, read from its simulation."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from greenrota.culture.growth.broth import ML_PER_L, Broth
from greenrota.errors import checked_day
from greenrota.rota.rota import Rota
from greenrota.rota.simulate.events import HarvestChoice, Interval

SOON_DAYS = 7  # for a vessel that is ripe within a week the range of the day is shown; our choice


@dataclass(frozen=True, slots=True)
class Contents:
    """What a vessel holds on a day, as logged or projected. Volumes in mL, densities in cells per mL.

    `ceiling_by` is what sets the ceiling: bench, nitrogen, phosphorus or silicon. `ripe_on` is the day from which the
    batch is ripe, None where no harvest was chosen for it.
    """

    vessel: str
    batch: str
    strain: str
    on: date
    age_days: int
    volume_ml: float
    density_per_ml: float
    ceiling_per_ml: float
    ceiling_by: str
    ripe_on: date | None

    @property
    def share_of_ceiling(self) -> float:
        """How far it has grown, as a share of the ceiling."""
        return self.density_per_ml / self.ceiling_per_ml


def contents_of(rota: Rota, vessel: str, on: date, worked: bool = False) -> Contents | None:
    """What a vessel holds on a day, before the day's work or, with `worked`, after it; None if it is empty then.

    On the day the rota stands at, what was logged for that day has been done already. KeyError for a vessel that is
    not in the plan, ValueError for a day after the last one of the rota, TypeError for what is no `datetime.date`.
    """
    checked_day("on", on)
    if vessel not in rota.benches:
        raise KeyError(f"no vessel {vessel!r} in the plan; it has {', '.join(rota.benches)}")
    last = max(rota.as_of, rota.through)
    if on > last:
        raise ValueError(f"{on} is after {last}, the last day of the rota")
    found = after_work(rota, vessel, on) if worked else before_work(rota, vessel, on)
    if found is None:
        return None
    interval, broth = found
    batch, ceiling, choice = (
        interval.batch,
        rota.benches[vessel].ceiling(broth),
        choice_of(rota, interval.batch.id),
    )
    return Contents(
        vessel=vessel,
        batch=batch.id,
        strain=batch.strain,
        on=on,
        age_days=(on - batch.started).days,
        volume_ml=broth.volume_l * ML_PER_L,
        density_per_ml=broth.density_per_ml,
        ceiling_per_ml=ceiling.per_ml,
        ceiling_by=ceiling.by,
        ripe_on=None if choice is None else choice.projection.ripe_on,
    )


def vessel_contents(rota: Rota, on: date) -> list[Contents]:
    """What every vessel holds before the day's work, in the order of the plan; empty ones and unknown days left out."""
    if on > max(rota.as_of, rota.through):
        return []
    held = (contents_of(rota, name, on) for name in rota.benches)
    return [each for each in held if each is not None]


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


def soon_ripe(rota: Rota, on: date) -> list[str]:
    """The vessels in which something stands that the rota expects to be ripe within a week of a day, or before it."""
    last = on + timedelta(days=SOON_DAYS)
    return [
        each.vessel for each in vessel_contents(rota, on) if each.ripe_on is not None and each.ripe_on <= last
    ]
