"""Lineage: which culture comes from which, and how far a contamination may have travelled."""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date

from greenrota.rota.state.state import State


@dataclass(frozen=True, slots=True)
class Link:
    """A batch or bottle, what it took its culture from (None: bought), and on which day."""

    child: str
    parent: str | None
    on: date
    strain: str


@dataclass(frozen=True, slots=True)
class Suspicion:
    """Why a batch or bottle is suspect, and from which day on."""

    since: date
    because: str


def links(state: State) -> dict[str, Link]:
    """Every batch and bottle the shelf has ever known, by id."""
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
    return found


def children_of(family: Mapping[str, Link]) -> dict[str, list[Link]]:
    """The links that took their culture from each id, by day and id."""
    children: dict[str, list[Link]] = defaultdict(list)
    for link in sorted(family.values(), key=lambda link: (link.on, link.child)):
        if link.parent is not None:
            children[link.parent].append(link)
    return children


def suspects(
    family: Mapping[str, Link], outbreaks: Iterable[tuple[str, date]], cleared: Mapping[str, date]
) -> dict[str, Suspicion]:
    """Everything that shares culture with a contaminated batch from the day the contamination is reckoned from.

    Suspicion goes back to the parents that still held the culture on that day, and on to whatever took inoculum from
    a suspect on or after it. An id that was cleared is no longer suspect, nor is what it gave from that day on.
    """
    children = children_of(family)
    found: dict[str, Suspicion] = {}
    queue: deque[tuple[str, date, str]] = deque()
    for batch, since in outbreaks:
        queue.append((batch, since, f"contaminated since {since}"))
        queue.extend((parent, since, f"{batch} came from it") for parent in _ancestors(family, batch, since))
    while queue:
        name, since, because = queue.popleft()
        if name in found and found[name].since <= since:
            continue
        found[name] = Suspicion(since, because)
        for link in children[name]:
            if link.on >= since and not _released(cleared, name, link.on):
                queue.append((link.child, max(since, link.on), f"took inoculum from {name} on {link.on}"))
    return {name: why for name, why in found.items() if name not in cleared or cleared[name] < why.since}


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
