"""Decisions: what a simulation is to do where the plan leaves a choice, and how one of them is changed."""

from collections.abc import Callable, Collection, Mapping
from datetime import date
from typing import NamedTuple, TypeVar

from greenrota.frozen import FrozenDict
from greenrota.rota.ids import batch_and_number
from greenrota.rota.state.sharing import Sharing
from greenrota.rota.state.state import batch_id, vessel_and_number, vessel_of


class Decisions(NamedTuple):
    """What the simulation is to use instead of its own choice, where that is possible.

    `harvests` are days by batch id, `keeps` the share of the working volume that stays in the vessel at the harvest of
    a batch, `starts` the days of first fillings by vessel, `sharings` how a starter is shared out, by its id, `topups`
    the days of top-ups by the id of the task, `restarts` those of emptied vessels by the batch that they open.
    """

    harvests: Mapping[str, date] = FrozenDict()
    starts: Mapping[str, date] = FrozenDict()
    keeps: Mapping[str, float] = FrozenDict()
    sharings: Mapping[str, Sharing] = FrozenDict()
    topups: Mapping[str, date] = FrozenDict()
    restarts: Mapping[str, date] = FrozenDict()


Value = TypeVar("Value")


def with_harvest(decisions: Decisions, batch: str, on: date) -> list[Decisions]:
    """The decisions with another day for a harvest: with what follows in the vessel kept, then with that left open."""
    moved = decisions._replace(harvests={**decisions.harvests, batch: on})
    return _and_open(moved, *vessel_and_number(batch))


def with_keep(decisions: Decisions, batch: str, share: float) -> list[Decisions]:
    """The decisions with another carry-over at a harvest: with what follows in the vessel kept, then left open."""
    moved = decisions._replace(keeps={**decisions.keeps, batch: share})
    return _and_open(moved, *vessel_and_number(batch))


def with_topup(decisions: Decisions, topup: str, on: date) -> list[Decisions]:
    """The decisions with another day for a top-up: with what follows in the vessel kept, then with that left open."""
    moved = decisions._replace(topups={**decisions.topups, topup: on})
    batch, number = batch_and_number(topup)
    vessel, counted = vessel_and_number(batch)
    opened = _open_after(moved, vessel, counted - 1)  # its own harvest follows it
    earlier = {
        each: day
        for each, day in moved.topups.items()
        if batch_and_number(each)[0] == batch and batch_and_number(each)[1] <= number
    }
    opened = opened._replace(topups={**opened.topups, **earlier})
    return _both(moved, opened)


def with_restart(decisions: Decisions, batch: str, on: date) -> list[Decisions]:
    """The decisions with another day for a restart: with what follows in the vessel kept, then with that left open."""
    moved = decisions._replace(restarts={**decisions.restarts, batch: on})
    vessel, number = vessel_and_number(batch)
    opened = _open_after(moved, vessel, number - 1)  # the batch that it opens follows it
    opened = opened._replace(restarts={**opened.restarts, batch: on})
    return _both(moved, opened)


def with_start(decisions: Decisions, vessel: str, on: date) -> list[Decisions]:
    """The decisions with another day for a first filling: with what follows in the vessel kept, then left open."""
    return _and_open(decisions._replace(starts={**decisions.starts, vessel: on}), vessel, 0)


OPENING, TOPUPS, HARVEST = range(
    3
)  # the points in the life of a batch on which days are decided, in their order


def with_days_moved(
    decisions: Decisions, vessel: str, first: tuple[int, int], last: int, moved: Callable[[date], date]
) -> Decisions:
    """The decisions with all days of a vessel put on others, from one point in its life to the end of a batch.

    `first` is the number of a batch with OPENING, TOPUPS or HARVEST, `last` the number of the last batch.
    """

    def day(on: date, batch: str, point: int) -> date:
        name, number = vessel_and_number(batch)
        return moved(on) if name == vessel and first <= (number, point) and number <= last else on

    return decisions._replace(
        harvests={batch: day(on, batch, HARVEST) for batch, on in decisions.harvests.items()},
        starts={name: day(on, batch_id(name, 1), OPENING) for name, on in decisions.starts.items()},
        topups={task: day(on, batch_and_number(task)[0], TOPUPS) for task, on in decisions.topups.items()},
        restarts={batch: day(on, batch, OPENING) for batch, on in decisions.restarts.items()},
    )


def with_undecided(decisions: Decisions, others: Decisions) -> Decisions:
    """The decisions, and those of others about batches and first fillings that they leave open."""
    return decisions._replace(
        harvests={**others.harvests, **decisions.harvests},
        starts={**others.starts, **decisions.starts},
        keeps={**others.keeps, **decisions.keeps},
        topups={**others.topups, **decisions.topups},
        restarts={**others.restarts, **decisions.restarts},
    )


def after_day(decisions: Decisions, on: date) -> Decisions:
    """The harvests after a day and what stays at them, and the top-ups and restarts after it; nothing else."""
    harvests = {batch: day for batch, day in decisions.harvests.items() if day > on}
    return Decisions(
        harvests,
        keeps={batch: share for batch, share in decisions.keeps.items() if batch in harvests},
        topups={topup: day for topup, day in decisions.topups.items() if day > on},
        restarts={batch: day for batch, day in decisions.restarts.items() if day > on},
    )


def with_sharing(decisions: Decisions, sharing: Sharing) -> Decisions:
    """The decisions with a starter shared out in another way; what follows in its vessels is left open."""
    changed = decisions._replace(sharings={**decisions.sharings, sharing.source: sharing})
    before = decisions.sharings.get(sharing.source)
    vessels = {*sharing.vessels, *(() if before is None else before.vessels)}
    for vessel in sorted(vessels):
        changed = _open_after(changed, vessel, 0)
    return changed._replace(starts={name: on for name, on in changed.starts.items() if name not in vessels})


def without_vessels(decisions: Decisions, vessels: Collection[str]) -> Decisions:
    """The decisions without those about some vessels and their batches."""

    def kept(by_batch: Mapping[str, Value]) -> dict[str, Value]:
        return {batch: value for batch, value in by_batch.items() if vessel_of(batch) not in vessels}

    return Decisions(
        harvests=kept(decisions.harvests),
        starts={vessel: on for vessel, on in decisions.starts.items() if vessel not in vessels},
        keeps=kept(decisions.keeps),
        sharings={
            source: sharing
            for source, sharing in decisions.sharings.items()
            if not any(vessel in vessels for vessel in sharing.vessels)
        },
        topups={
            topup: on
            for topup, on in decisions.topups.items()
            if vessel_of(batch_and_number(topup)[0]) not in vessels
        },
        restarts=kept(decisions.restarts),
    )


def _and_open(decisions: Decisions, vessel: str, number: int) -> list[Decisions]:
    return _both(decisions, _open_after(decisions, vessel, number))


def _both(kept: Decisions, opened: Decisions) -> list[Decisions]:
    """Two ways to go on, or one where they are the same."""
    return [kept] if opened == kept else [kept, opened]


def _open_after(decisions: Decisions, vessel: str, number: int) -> Decisions:
    """The decisions without those on a vessel's batches after a number."""
    return decisions._replace(
        harvests=_without_later(decisions.harvests, vessel, number),
        keeps=_without_later(decisions.keeps, vessel, number),
        topups={
            topup: on
            for topup, on in decisions.topups.items()
            if not _is_later(batch_and_number(topup)[0], vessel, number)
        },
        restarts=_without_later(decisions.restarts, vessel, number),
    )


def _without_later(by_batch: Mapping[str, Value], vessel: str, number: int) -> dict[str, Value]:
    return {batch: value for batch, value in by_batch.items() if not _is_later(batch, vessel, number)}


def _is_later(batch: str, vessel: str, number: int) -> bool:
    name, counted = vessel_and_number(batch)
    return name == vessel and counted > number
