"""Lineage: which culture comes from which, and how far a contamination may have travelled."""

from collections import defaultdict, deque
from collections.abc import Iterable, Mapping
from datetime import date
from typing import NamedTuple

from greenrota.rota.state.state import State


class Link(NamedTuple):
    """A batch or bottle, what it took its culture from (None: bought), and on which day.

    `is_harvest`: a harvest bottle, from which nothing is started.
    """

    child: str
    parent: str | None
    on: date
    strain: str
    is_harvest: bool = False


class Suspicion(NamedTuple):
    """Why a batch or bottle is suspect, from which day on, and the day on which that was logged (`known`)."""

    since: date
    because: str
    known: date


class Outbreak(NamedTuple):
    """A batch or bottle that is taken to be contaminated since a day, logged on the day `known`.

    `alone`: only what was harvested from it is doubted, not its forebears and heirs.
    """

    id: str
    since: date
    known: date
    because: str
    alone: bool = False


def links(state: State) -> dict[str, Link]:
    """Every batch and bottle the state has ever known, by id; fridge bottles before batches before harvest bottles."""
    found = {
        bottle.id: Link(bottle.id, bottle.parent, bottle.filled, bottle.strain)
        for bottle in state.filled.values()
    }
    found.update(
        {
            batch.id: Link(batch.id, batch.parent, batch.started, batch.strain)
            for batch in state.batches.values()
        }
    )
    for harvest in state.harvests:
        if not harvest.is_back_up:
            found[harvest.id] = Link(harvest.id, harvest.batch, harvest.on, harvest.strain, is_harvest=True)
    return found


def children_of(family: Mapping[str, Link]) -> dict[str, list[Link]]:
    """The links that took their culture from each id, by day and id."""
    children: dict[str, list[Link]] = defaultdict(list)
    for link in sorted(family.values(), key=lambda link: (link.on, link.child)):
        if link.parent is not None:
            children[link.parent].append(link)
    return children


def suspects(
    family: Mapping[str, Link], outbreaks: Iterable[Outbreak], cleared: Mapping[str, date]
) -> dict[str, Suspicion]:
    """Everything that shares culture with a contaminated batch since the day of its contamination.

    Suspicion goes back to the parents that still held the culture on that day, and on to whatever took inoculum or
    was harvested from a suspect on or after it. An id that was cleared is no longer suspect, nor is what it gave from
    that day on.
    """
    children = children_of(family)
    found: dict[str, Suspicion] = {}
    queue: deque[tuple[str, Suspicion]] = deque()
    for seen in outbreaks:
        if seen.alone:
            doubt = Suspicion(seen.since, seen.because, seen.known)
            held = [seen.id, *_ancestors(family, seen.id, seen.since)]
            queue.extend((each.child, doubt) for each in _harvested(children, held, seen.since, cleared))
            continue
        queue.append((seen.id, Suspicion(seen.since, seen.because, seen.known)))
        because = f"{seen.id} came from it"
        forebears = _ancestors(family, seen.id, seen.since)
        queue.extend((parent, Suspicion(seen.since, because, seen.known)) for parent in forebears)
    while queue:
        name, why = queue.popleft()
        if name in found and found[name].since <= why.since:
            continue
        found[name] = why
        for link in children[name]:
            if link.on >= why.since and not _released(cleared, name, link.on):
                how = "was harvested from" if link.is_harvest else "took inoculum from"
                because = f"{how} {name} on {link.on}"
                queue.append((link.child, Suspicion(max(why.since, link.on), because, why.known)))
    return {name: why for name, why in found.items() if name not in cleared or cleared[name] < why.since}


def _harvested(
    children: Mapping[str, list[Link]], batches: Iterable[str], since: date, cleared: Mapping[str, date]
) -> list[Link]:
    """The harvest bottles filled from some batches on a day or later, unless the batch was cleared by then."""
    own = [
        link for batch in batches for link in children.get(batch, ()) if link.is_harvest and link.on >= since
    ]
    return [link for link in own if link.parent is None or not _released(cleared, link.parent, link.on)]


def _ancestors(family: Mapping[str, Link], batch: str, since: date) -> list[str]:
    """The parents, back to the one that held the culture on the day `since`."""
    found = []
    link = family.get(batch)
    while link is not None and link.parent is not None and link.on >= since:
        found.append(link.parent)
        link = family.get(link.parent)
    return found


def _released(cleared: Mapping[str, date], name: str, on: date) -> bool:
    return name in cleared and cleared[name] <= on
