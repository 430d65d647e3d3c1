"""Schedule: from a plan and its logbook to a rota, one pure function for the first month and after a crash.

With a logbook the rota is planned anew for every day that has entries. Each time the dates of the rota before are kept
where they are still possible, so an entry changes only what it has to change.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from greenrota.errors import checked_day
from greenrota.logbook.entry import Entry
from greenrota.rota.feed.daily import bottle_records
from greenrota.rota.plan import Plan
from greenrota.rota.replay.logged import LoggedState, inspections
from greenrota.rota.replay.replay import replay
from greenrota.rota.rota import Rota
from greenrota.rota.search.search import search
from greenrota.rota.search.trials import Progress
from greenrota.rota.simulate.context import Context, context_for
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.events import first_starts
from greenrota.rota.simulate.start import StartState, start_from_plan
from greenrota.rota.state.state import vessel_of
from greenrota.rota.tasks.measured import as_measured
from greenrota.rota.tasks.task import tasks_from
from greenrota.rota.warning import PlanWarning
from greenrota.rota.warnings.place import gone_warnings, place_warnings
from greenrota.rota.warnings.simulated import simulated_warnings
from greenrota.rota.warnings.unusual import unusual

_DAYS_BEFORE = (
    60  # our choice: an entry older than that when the plan begins is of an earlier plan, or a slip
)


def schedule(
    plan: Plan,
    entries: Sequence[Entry] = (),
    as_of: date | None = None,
    progress: Progress | None = None,
) -> Rota:
    """The rota of a plan on a day.

    `entries` are those of the logbook that no void takes back, by day and then as written; those after `as_of` do not
    count yet. Without entries the rota is planned from the plan's first day, whatever `as_of` is. With entries it is
    planned from `as_of` (None: the day of the last entry), but never from more than 60 days before the plan's first
    day. `progress` gets the share of all searches that is done, 0..1. A KeyboardInterrupt during a search ends all
    searching and gives the best rota found so far, marked so. TypeError for an `as_of` that is no `datetime.date`.
    """
    if as_of is not None:
        checked_day("as_of", as_of)
    context = context_for(plan)
    counted = [entry for entry in entries if as_of is None or entry.on <= as_of]
    earliest = plan.start - timedelta(days=_DAYS_BEFORE)
    days = sorted({max(entry.on, earliest) for entry in counted})
    if counted and as_of is not None and max(as_of, earliest) != days[-1]:
        days.append(max(as_of, earliest))
    rota = _planned(context, start_from_plan(plan), Decisions(), _part(progress, 0, len(days) + 1))
    for number, on in enumerate(days, start=1):
        rota = _replanned(context, counted, on, rota, _part(progress, number, len(days) + 1))
    return _with_warnings(_with_bottles(rota), counted)


def _part(progress: Progress | None, number: int, of: int) -> Progress | None:
    """The progress of one search of several, as its part of the whole."""
    return None if progress is None else lambda share: progress((number + share) / of)


def _planned(
    context: Context,
    start_state: StartState,
    previous: Decisions,
    progress: Progress | None,
    hurried: bool = False,
) -> Rota:
    """The rota from a start state; `hurried` after an interrupt: the previous dates and no search for better ones."""
    found = search(context, start_state, previous, progress, 0 if hurried else None)
    if hurried:
        found = replace(found, cut_short=True)
    as_of, simulated = start_state.as_of, found.simulated
    tasks = tasks_from(
        context.benches,
        simulated.events,
        as_of,
        context.open_days,
        start_state.done,
        start_state.mixed_ml,
        simulated.choices,
    )
    return Rota(
        context, as_of, start_state, previous, found, as_measured(tasks, start_state.state, context.plan)
    )


def _with_bottles(rota: Rota) -> Rota:
    records = bottle_records(
        rota.plan,
        rota.simulation.state.harvests,
        rota.as_of,
        rota.start_state.bottle_entries,
        {name: suspicion.because for name, suspicion in rota.suspects.items()},
        rota.condemned,
    )
    return replace(rota, bottles=records)


def _with_warnings(rota: Rota, entries: Sequence[Entry]) -> Rota:
    context = rota.context
    return replace(
        rota,
        warnings=(
            *unusual(context.plan, context.benches, entries),
            *place_warnings(context.benches, context.cycles),
            *gone_warnings(rota.gone_vessels),
            *simulated_warnings(rota),
            *_unsure(rota),
        ),
    )


def _replanned(
    context: Context, entries: Sequence[Entry], on: date, before: Rota, progress: Progress | None
) -> Rota:
    """The rota on a day, as near to the one before it as the logbook allows."""
    logged = replay(context, entries, on)
    previous, hurried = kept_decisions(before, logged), before.found.cut_short
    start_state = replace(logged.start_state(), renewals=_kept_renewals(before, previous))
    rota = _planned(context, start_state, previous, progress, hurried)
    return replace(
        rota,
        past=tuple(logged.recorder.intervals),
        crashes=tuple(logged.crashes),
        suspects=logged.suspects,
        inspections=inspections(logged),
        overdue=_overdue(before, rota),
        problems=tuple(logged.problems),
        poured=logged.poured,
        gone_vessels=logged.gone_vessels,
        condemned=frozenset(logged.condemned),
        doubtful_counts=tuple(logged.doubtful_counts.values()),
    )


def kept_decisions(before: Rota, logged: LoggedState) -> Decisions:
    """The decisions of a rota that still hold, given the logbook.

    None for a vessel that crashed on the day, or whose batches no longer come from the parents that were planned.
    """
    state = logged.recorder.state
    known = {
        choice.batch.id: choice.taken for choice in before.simulation.choices if choice.taken is not None
    }
    parents = {choice.batch.id: choice.batch.parent for choice in before.simulation.choices}
    astray = {
        batch.vessel
        for batch in state.batches.values()
        if parents.get(batch.id, batch.parent) != batch.parent
    }
    astray |= {crash.vessel for crash in logged.crashes if crash.on == logged.as_of}
    starts = first_starts(before.simulation.events)
    return Decisions(
        harvests={batch: on for batch, on in known.items() if vessel_of(batch) not in astray},
        starts={vessel: on for vessel, on in starts.items() if vessel not in astray},
        keeps={
            batch: share for batch, share in before.simulation.keeps.items() if vessel_of(batch) not in astray
        },
        sharings={
            each.taken.source: each.taken
            for each in before.simulation.allotments
            if not astray & {*each.taken.vessels}
        },
    )


def _kept_renewals(before: Rota, previous: Decisions) -> dict[str, bool]:
    """Whether the rota before breaks a vessel down (True) or re-seeds it, for the batches whose day still holds."""
    broken = {event.batch.id for event in before.simulation.events if event.kind == "renew"}
    return {batch: batch in broken for batch in previous.harvests}


def _overdue(before: Rota, after: Rota) -> dict[str, date]:
    """The day on which tasks that are still to be done were due first, for those that were due before `as_of`."""
    wanted = {task.id: task.parent for task in after.tasks}
    due = {task.id: (task.on, task.parent) for task in before.tasks}
    due.update({name: (on, due[name][1]) for name, on in before.overdue.items() if name in due})
    return {name: on for name, (on, parent) in due.items() if on < after.as_of and wanted.get(name) == parent}


def _unsure(rota: Rota) -> list[PlanWarning]:
    """What makes the dates themselves doubtful: an end that is past, a search that was cut short."""
    warnings = []
    if rota.as_of > rota.through:
        text = f"the horizon ended on {rota.through}; give the plan more days to plan on"
        warnings.append(PlanWarning("horizon-over", text))
    if rota.found.cut_short:
        text = "the search was cut short: these are the best dates found until then, better ones may exist"
        warnings.append(PlanWarning("search-cut-short", text))
    return warnings
