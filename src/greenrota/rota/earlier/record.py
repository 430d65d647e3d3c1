"""Earlier rota: what one rota decided and asked for, so that the next one can hold on to it.

A convenience and never a truth: without it the dates are chosen anew from plan and logbook.
"""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from datetime import date
from itertools import groupby
from typing import NamedTuple

from greenrota.frozen import FrozenDict
from greenrota.logbook.entry import Entry
from greenrota.rota.plan import Plan
from greenrota.rota.rota import Rota
from greenrota.rota.simulate.decisions import Decisions, after_day, with_undecided

NOTHING_LOGGED = ""  # the digest of no entries


class Due(NamedTuple):
    """The day a task was due, and what its batch comes from."""

    on: date
    parent: str | None


class EarlierRota(NamedTuple):
    """The rota of a day, as far as later ones rest on it.

    `plan` and `entries` are digests of the plan and of the standing entries up to the day `on`. `previous` and
    `held_renewals` are what it was to keep, `decisions` what was chosen, and `exact` whether every choice was tried.
    `parents` are the parents of the planned batches, `broken_down` the batches after which a vessel is broken down,
    `due` the tasks by id, `overdue` the day on which those were due first that were late already. `cut_short`: the
    search was interrupted. `rate_spreads` is how unsure the growth rates were, by vessel.
    """

    plan: str
    entries: str
    on: date
    previous: Decisions
    held_renewals: Mapping[str, bool]
    decisions: Decisions
    exact: bool = False
    cut_short: bool = False
    parents: Mapping[str, str] = FrozenDict()
    broken_down: frozenset[str] = frozenset()
    due: Mapping[str, Due] = FrozenDict()
    overdue: Mapping[str, date] = FrozenDict()
    rate_spreads: Mapping[str, float] = FrozenDict()

    @classmethod
    def of(cls, rota: Rota, plan: str, entries: str) -> "EarlierRota":
        """What is to be remembered of a rota: what it decided, and what was decided before for later days."""
        simulated = rota.simulation
        later = after_day(rota.previous, rota.through)
        return cls(
            plan,
            entries,
            rota.as_of,
            rota.previous,
            rota.start_state.renewals,
            with_undecided(rota.found.decisions, later),
            rota.found.exact,
            rota.found.cut_short,
            {each.batch.id: each.batch.parent for each in simulated.choices},
            frozenset(event.batch.id for event in simulated.events if event.kind == "renew"),
            {task.id: Due(task.on, task.parent) for task in rota.tasks},
            dict(rota.overdue),
            dict(rota.start_state.rate_spreads),
        )


def plan_digest(plan: Plan) -> str:
    """A text that is the same for plans that say the same."""
    return hashlib.sha256(repr(_plain(plan)).encode()).hexdigest()


def _plain(value: object) -> object:
    """Records, mappings and sets as nested tuples in a fixed order."""
    if is_dataclass(value):
        return tuple((each.name, _plain(getattr(value, each.name))) for each in fields(value) if each.compare)
    if isinstance(value, Mapping):
        return tuple(sorted((str(key), _plain(each)) for key, each in value.items()))
    if isinstance(value, frozenset):
        return tuple(sorted(map(repr, value)))
    return tuple(map(_plain, value)) if isinstance(value, tuple) else value


def entry_digests(entries: Sequence[Entry]) -> dict[date, str]:
    """A text for all standing entries up to each day that has some; `entries` are in order of day.

    What takes no part in the state is left out: notes, remarks, and the numbers of the entries.
    """
    running = hashlib.sha256()
    digests = {}
    for on, of_day in groupby(entries, key=lambda entry: entry.on):
        facts = [(entry.kind, entry.subject, entry.values) for entry in of_day if entry.kind != "note"]
        if facts:
            running.update(f"{on} {facts!r}\n".encode())
        digests[on] = running.hexdigest()
    return digests
