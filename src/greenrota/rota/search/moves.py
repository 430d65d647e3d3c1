"""Moves: what of a rota may be decided otherwise, and the decisions that come of it."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from enum import Enum
from typing import assert_never

from greenrota.rota.ids import batch_and_number
from greenrota.rota.search.trials import Trial, Trials
from greenrota.rota.simulate.decisions import (
    Decisions,
    with_harvest,
    with_keep,
    with_restart,
    with_sharing,
    with_start,
    with_topup,
)
from greenrota.rota.state.sharing import Sharing

KEEP_STEPS = 2  # up and down among the carry-overs that are tried from one; our choice


class Kind(Enum):
    """What may be decided otherwise."""

    SHARING = "how a starter is shared out"
    START = "the day of a first filling"
    RESTART = "the day on which an emptied vessel is restarted"
    TOPUP = "the day of a top-up"
    HARVEST = "the day of a harvest"
    KEEP = "what stays in the vessel at a harvest"


Variable = tuple[Kind, str]
Value = Sharing | date | float


def variables_of(trials: Trials, at: Trial) -> list[Variable]:
    """All that may be decided otherwise, in the order in which it is tried."""
    return [
        *((Kind.SHARING, source) for source in trials.free_sharings(at)),
        *((Kind.START, vessel) for vessel in trials.free_starts(at)),
        *((Kind.RESTART, batch) for batch in trials.free_restarts(at)),
        *((Kind.TOPUP, topup) for topup in trials.free_topups(at)),
        *((Kind.HARVEST, choice.batch.id) for choice in trials.free_choices(at)),
        *((Kind.KEEP, batch) for batch in trials.free_keeps(at)),
    ]


def batch_of(kind: Kind, name: str) -> str:
    """The batch that a decision is about; not of a starter, nor of a first filling, which are named otherwise."""
    return batch_and_number(name)[0] if kind is Kind.TOPUP else name


def other_values(trials: Trials, at: Trial, kind: Kind, name: str) -> list[Value]:
    """What else may be decided of one thing; of carry-overs those near the one taken."""
    values: Sequence[Value]
    taken: Value | None
    match kind:
        case Kind.SHARING:
            values, taken = trials.free_sharings(at).get(name, ()), at.decisions.sharings.get(name)
        case Kind.START:
            values, taken = at.simulated.start_options.get(name, ()), at.decisions.starts.get(name)
        case Kind.RESTART:
            values, taken = trials.free_restarts(at).get(name, ()), at.decisions.restarts.get(name)
        case Kind.TOPUP:
            values, taken = trials.free_topups(at).get(name, ()), at.decisions.topups.get(name)
        case Kind.HARVEST:
            values = next((each.options for each in at.simulated.choices if each.batch.id == name), ())
            taken = at.decisions.harvests.get(name)
        case Kind.KEEP:
            return list(_near(trials.free_keeps(at).get(name, ()), at.decisions.keeps.get(name)))
        case _:
            assert_never(kind)
    return [value for value in values if value != taken]


def decided(at: Trial, kind: Kind, name: str, value: Value) -> list[Decisions]:
    """One thing decided otherwise: with the later decisions of the vessel kept, and at last with them made anew."""
    if isinstance(value, Sharing):
        return [with_sharing(at.decisions, value)]
    if isinstance(value, float):
        return with_keep(at.decisions, name, value)
    changed = {Kind.START: with_start, Kind.RESTART: with_restart, Kind.TOPUP: with_topup}
    return changed.get(kind, with_harvest)(at.decisions, name, value)


def _near(shares: Sequence[float], taken: float | None) -> Sequence[float]:
    """The carry-overs up to `KEEP_STEPS` below and above the one taken."""
    if taken not in shares:
        return ()
    place = shares.index(taken)
    return [share for share in shares[max(0, place - KEEP_STEPS) : place + KEEP_STEPS + 1] if share != taken]
