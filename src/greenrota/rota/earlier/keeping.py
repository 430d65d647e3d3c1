"""Keeping: what of the dates of an earlier rota still holds, given the logbook."""

from __future__ import annotations

from datetime import date

from greenrota.rota.earlier.record import Due, EarlierRota
from greenrota.rota.replay.logged import LoggedState
from greenrota.rota.rota import Rota
from greenrota.rota.simulate.decisions import Decisions, without_vessels


def kept_decisions(before: EarlierRota, logged: LoggedState) -> Decisions:
    """The dates of a rota that still hold, given the logbook.

    None for a vessel that crashed on the day or since that rota, or whose batches no longer come from the parents that
    were planned.
    """
    astray = {
        batch.vessel
        for batch in logged.recorder.state.batches.values()
        if before.parents.get(batch.id, batch.parent) != batch.parent
    }
    astray |= {crash.vessel for crash in logged.crashes if crash.on == logged.as_of or crash.on > before.on}
    return without_vessels(before.decisions, astray)


def kept_renewals(before: EarlierRota, previous: Decisions) -> dict[str, bool]:
    """Whether the rota before breaks a vessel down (True) or re-seeds it, for the batches whose day still holds."""
    return {batch: batch in before.broken_down for batch in previous.harvests}


def overdue(before: EarlierRota, after: Rota) -> dict[str, date]:
    """The day on which tasks that are still to be done were due first, for those that were due before `as_of`.

    A task is due when a rota that stood said so: what another plan would have wanted earlier is not overdue.
    """
    wanted = {task.id: task.parent for task in after.tasks}
    due = {name: (each.on, each.parent) for name, each in before.due.items()}
    due.update({name: (on, due[name][1]) for name, on in before.overdue.items() if name in due})
    return {name: on for name, (on, parent) in due.items() if on < after.as_of and wanted.get(name) == parent}


def due_in_both(one: EarlierRota, other: EarlierRota) -> EarlierRota:
    """An earlier rota that asks only for what another one asks for too, on the later of both days."""
    due = {
        name: Due(max(each.on, other.due[name].on), each.parent)
        for name, each in one.due.items()
        if name in other.due and other.due[name].parent == each.parent
    }
    late = {name: max(on, other.overdue[name]) for name, on in one.overdue.items() if name in other.overdue}
    return one._replace(due=due, overdue=late)
