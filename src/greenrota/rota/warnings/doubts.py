"""Doubt: what in a new entry is more likely a slip than the truth, given the state before it and what was due.

A doubt is no error: the entry may be true all the same. Whoever writes it down is asked first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import date

from greenrota.logbook.entry import Entry
from greenrota.rota.simulate.context import Context
from greenrota.rota.tasks.task import Task
from greenrota.rota.warnings import doubt_amounts as amounts
from greenrota.rota.warnings import doubt_events as events
from greenrota.rota.warnings.doubt_scene import Doubt, Scene, scenes

Check = Callable[[Scene, Entry], Iterable[Doubt]]


def doubts(
    context: Context,
    written: Sequence[Entry],
    held: Sequence[Entry],
    fresh: Sequence[Entry],
    tasks: Sequence[Task] = (),
    latest: date | None = None,
) -> list[tuple[Entry, Doubt]]:
    """Every doubt about new entries, each with the entry it is about.

    `written` is the book as it is, `held` are those of its entries that stand, `tasks` the open tasks. `latest` is
    the last day that has come; None: days are not looked at.
    """
    found = [] if latest is None else list(_still_to_come(fresh, latest))
    for entry, scene in scenes(context, written, held, fresh, tasks):
        found += [(entry, doubt) for check in CHECKS for doubt in check(scene, entry)]
    return found


def _still_to_come(fresh: Sequence[Entry], latest: date) -> Iterator[tuple[Entry, Doubt]]:
    """One doubt for all entries whose day has not come."""
    late = [entry for entry in fresh if entry.on > latest]
    if late:
        last = max(entry.on for entry in late)
        what = f"{last} lies" if len(late) == 1 else f"{len(late)} entries, up to {last}, lie"
        text = f"{what} ahead: after {latest}"
        yield late[0], Doubt("log-future", text, "what is still to come is planned, not logged")


# Asked in this order.
CHECKS: tuple[Check, ...] = (
    events.twice,
    events.withheld,
    amounts.nothing,
    amounts.more_than_stands,
    amounts.adds_up,
    amounts.topped_up,
    amounts.count,
    amounts.doses,
    amounts.unlikely,
    events.too_early,
    events.void,
    events.gone,
    events.skip,
)
