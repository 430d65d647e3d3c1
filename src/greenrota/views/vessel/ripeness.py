"""Ripe days with their range as text and for JSON, and what the counts of a vessel have changed."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import TYPE_CHECKING

from greenrota.rota.wording import numbered
from greenrota.views.text import amount
from greenrota.views.text.day import dated, weekday
from greenrota.views.text.document import figure

if TYPE_CHECKING:
    from greenrota.culture.fit.estimate import Estimate
    from greenrota.rota.answers.ripeness import RipeDay, VesselRipeness


def ripe_text(ripe: RipeDay, as_of: date) -> str:
    """The ripe day in words, as seen from a day.

    >>> from greenrota.rota.answers.ripeness import RipeDay
    >>> day = RipeDay("a/1", date(2027, 2, 20), date(2027, 2, 18), date(2027, 2, 23))
    >>> ripe_text(day, date(2027, 2, 10))
    'ripe Sat 20 Feb, between Thu 18 and Tue 23'
    >>> ripe_text(day, date(2027, 2, 19))
    'ripe Sat 20 Feb, between now and Tue 23'
    """
    if ripe.on is None:
        return "never ripe by these figures"
    near = ripe.on
    on = dated(near, as_of)
    if ripe.latest is not None and ripe.latest <= as_of:
        return "ripe"
    if ripe.latest is None:
        return f"ripe {on}, {_near(ripe.earliest or near, near)} at the earliest, perhaps never"
    if near <= as_of:
        return f"likely ripe, by {_near(ripe.latest, as_of)} at the latest"
    if (ripe.earliest or near) <= as_of:
        return f"ripe {on}, between now and {_near(ripe.latest, near)}"
    earliest = ripe.earliest or near
    return f"ripe {on}, between {_near(earliest, near)} and {_near(ripe.latest, earliest)}"


def _near(day: date, named: date) -> str:
    """A day beside one that was named: its month only where that is another."""
    if (day.year, day.month) == (named.year, named.month):
        return f"{weekday(day)} {day.day}"
    return dated(day, named)


def ripe_object(ripe: RipeDay) -> dict[str, str | None]:
    """The ripe day for JSON; null where the culture never gets there, or has been harvested."""
    days = {"ripe_on": ripe.on, "ripe_from": ripe.earliest, "ripe_to": ripe.latest}
    return {key: None if day is None else day.isoformat() for key, day in days.items()}


def known_lines(ripeness: VesselRipeness) -> Iterator[str]:
    """Rate and ceiling with their ranges, and what they were before the counts."""
    if not ripeness.counts:
        yield "by the strain's figures, before any count: " + _figures(ripeness.before)
        return
    yield f"with {numbered(ripeness.counts, 'count')} of yours: {_figures(ripeness.after)}"
    yield f"before any count:{' ' * (len(str(ripeness.counts)) + 2)}{_figures(ripeness.before)}"
    yield "A count that is taken back (log undo) takes its part out again."


def _figures(known: Estimate) -> str:
    low, high = known.rate_range_per_day
    least, most = known.ceiling_range_per_ml
    return (
        f"rate {known.rate_per_day:.2f} /day ({low:.2f} to {high:.2f}), "
        f"ceiling of light and air {amount.million_cells(known.ceiling_per_ml)} "
        f"({amount.millions(least)} to {amount.millions(most)})"
    )


def known_object(ripeness: VesselRipeness) -> dict[str, object]:
    """Rate and ceiling for JSON, with what they were before the counts."""
    low, high = ripeness.after.rate_range_per_day
    least, most = ripeness.after.ceiling_range_per_ml
    return {
        "counts": ripeness.counts,
        "rate_per_day": figure(ripeness.after.rate_per_day),
        "rate_low_per_day": figure(low),
        "rate_high_per_day": figure(high),
        "rate_before_per_day": figure(ripeness.before.rate_per_day),
        "ceiling_per_ml": figure(ripeness.after.ceiling_per_ml),
        "ceiling_low_per_ml": figure(least),
        "ceiling_high_per_ml": figure(most),
        "ceiling_before_per_ml": figure(ripeness.before.ceiling_per_ml),
    }
