"""Observed: what notes in the logbook say was seen or measured in a vessel."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import NamedTuple

from greenrota.logbook.entry import Entry
from greenrota.rota.state.state import Culture


class Seen(NamedTuple):
    """The observations of one note. `values` by key: colour, smell, foam, clumping as text; ph, sg and
    temperature (degrees Celsius) as numbers."""

    vessel: str
    on: date
    values: Mapping[str, str | float]


def observations(entries: Iterable[Entry], vessels: Iterable[str], through: date) -> tuple[Seen, ...]:
    """The observations of some vessels up to and including a day, in the order of the entries (without voided ones).

    A note about a batch counts for its vessel.
    """
    names = frozenset(vessels)
    found = []
    for entry in entries:
        vessel = entry.subject if entry.subject in names else entry.subject.rpartition("/")[0]
        values = dict(entry.observed())
        if values and vessel in names and entry.on <= through:
            found.append(Seen(vessel, entry.on, values))
    return tuple(found)


def newest(seen: Iterable[Seen], culture: Mapping[str, Culture]) -> tuple[Seen, ...]:
    """The newest observation of every batch that stands in a vessel; none from before the batch began."""
    last: dict[str, Seen] = {}
    for each in seen:
        living = culture.get(each.vessel)
        if living is not None and each.on >= living.batch.started:
            last[each.vessel] = each
    return tuple(last[vessel] for vessel in culture if vessel in last)
