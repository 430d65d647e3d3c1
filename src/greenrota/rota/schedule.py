"""Schedule: from a plan and its logbook to a rota, one pure function for the first month and after a crash.

With a logbook the rota is planned once for every day that has entries, each time keeping the days of the rota
before it where they still hold; so what is shown after an entry differs from what was shown before it only where
the entry made it differ.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from greenrota.logbook.entry import Entry
from greenrota.rota.caveat import Caveat
from greenrota.rota.elsewhere import gone_caveats
from greenrota.rota.fitness import fitness
from greenrota.rota.foresight import foresight
from greenrota.rota.history import History
from greenrota.rota.look import looks
from greenrota.rota.measuring import as_measured
from greenrota.rota.plan import Plan
from greenrota.rota.replay import replay
from greenrota.rota.rota import Rota
from greenrota.rota.search import Progress, search
from greenrota.rota.setting import Setting, setting_for
from greenrota.rota.shelf import vessel_of
from greenrota.rota.standpoint import Standpoint, from_the_start
from greenrota.rota.task import tasks_from
from greenrota.rota.unusual import unusual
from greenrota.rota.visit import Wishes, first_starts

_DAYS_BEFORE = (
    60  # our choice: an entry older than that when the plan begins tells of an earlier plan, or is a slip
)


def schedule(
    plan: Plan,
    entries: Sequence[Entry] = (),
    as_of: date | None = None,
    progress: Progress | None = None,
) -> Rota:
    """The rota of a plan as it stands on a day.

    `entries` are the standing entries of the logbook (voids gone, by day and then as written); those after `as_of`
    do not count yet. With no entries the rota is planned from the plan's first day, whatever `as_of` is; with some,
    forward from `as_of`, which defaults to the day of the last entry; never from more than 60 days before the plan's
    first day, for what lies before that is history. `progress` is told how far the search for the best dates is,
    0..1; a KeyboardInterrupt during it gives the best rota found so far, marked so, and nothing more
    is searched for.
    """
    setting = setting_for(plan)
    told = [entry for entry in entries if as_of is None or entry.on <= as_of]
    earliest = plan.start - timedelta(days=_DAYS_BEFORE)
    days = sorted({max(entry.on, earliest) for entry in told})
    if told and as_of is not None and max(as_of, earliest) != days[-1]:
        days.append(max(as_of, earliest))
    rota = _planned(setting, from_the_start(plan), Wishes(), _part(progress, 0, len(days) + 1))
    for number, on in enumerate(days, start=1):
        rota = _replanned(setting, told, on, rota, _part(progress, number, len(days) + 1))
    return _with_caveats(rota, told)


def _part(progress: Progress | None, number: int, of: int) -> Progress | None:
    """What one search of several tells, as its part of the whole."""
    return None if progress is None else lambda share: progress((number + share) / of)


def _planned(
    setting: Setting,
    standpoint: Standpoint,
    standing: Wishes,
    progress: Progress | None,
    hurried: bool = False,
) -> Rota:
    """The rota from a standpoint; `hurried` after an interrupt: the standing dates and no search for better ones."""
    found = search(setting, standpoint, standing, progress, 0 if hurried else None)
    if hurried:
        found = replace(found, cut_short=True)
    as_of, walked = standpoint.as_of, found.walked
    tasks = tasks_from(setting.benches, walked.visits, as_of, setting.open_days, standpoint.done)
    return Rota(
        setting, as_of, standpoint, standing, found, as_measured(tasks, standpoint.shelf, setting.plan)
    )


def _with_caveats(rota: Rota, told: Sequence[Entry]) -> Rota:
    setting = rota.setting
    return replace(
        rota,
        caveats=(
            *unusual(setting.plan, setting.benches, told),
            *fitness(setting.benches, setting.cycles),
            *gone_caveats(rota.elsewhere),
            *foresight(rota),
            *_unsure(rota),
        ),
    )


def _replanned(
    setting: Setting, entries: Sequence[Entry], on: date, before: Rota, progress: Progress | None
) -> Rota:
    """The rota on a day, as near to the one before it as the logbook allows."""
    history = replay(setting, entries, on)
    standing, hurried = standing_wishes(before, history), before.found.cut_short
    standpoint = replace(history.standpoint(), renewals=_standing_renewals(before, standing))
    rota = _planned(setting, standpoint, standing, progress, hurried)
    return replace(
        rota,
        history=tuple(history.diary.spans),
        crashes=tuple(history.crashes),
        suspects=history.suspects,
        looks=looks(history),
        overdue=_overdue(before, rota),
        problems=tuple(history.problems),
        poured=history.poured,
        elsewhere=history.elsewhere,
    )


def standing_wishes(before: Rota, history: History) -> Wishes:
    """The days of a rota that still hold after what the logbook tells.

    A vessel that was emptied since, or whose batches bear other numbers now, chooses its days anew.
    """
    shelf = history.diary.shelf
    known = {choice.batch.id: choice.taken for choice in before.forecast.choices if choice.taken is not None}
    parents = {choice.batch.id: choice.batch.parent for choice in before.forecast.choices}
    astray = {
        batch.vessel
        for batch in shelf.batches.values()
        if parents.get(batch.id, batch.parent) != batch.parent
    }
    astray |= {crash.vessel for crash in history.crashes if crash.on == history.as_of}
    harvests = {batch: on for batch, on in known.items() if vessel_of(batch) not in astray}
    starts = first_starts(before.forecast.visits)
    return Wishes(harvests, {vessel: on for vessel, on in starts.items() if vessel not in astray})


def _standing_renewals(before: Rota, standing: Wishes) -> dict[str, bool]:
    """Whether the rota before breaks a vessel down (True) or re-seeds it, for the batches whose day still holds."""
    broken = {visit.batch.id for visit in before.forecast.visits if visit.kind == "renew"}
    return {batch: batch in broken for batch in standing.harvests}


def _overdue(before: Rota, after: Rota) -> dict[str, date]:
    """The day on which tasks that are still to be done were due first, for those that were due before `as_of`."""
    wanted = {task.id: task.parent for task in after.tasks}
    due = {task.id: (task.on, task.parent) for task in before.tasks}
    due.update({name: (on, due[name][1]) for name, on in before.overdue.items() if name in due})
    return {name: on for name, (on, parent) in due.items() if on < after.as_of and wanted.get(name) == parent}


def _unsure(rota: Rota) -> list[Caveat]:
    """What makes the dates themselves doubtful: an end that is past, a search that was cut short."""
    caveats = []
    if rota.as_of > rota.through:
        text = f"the horizon ended on {rota.through}; give the plan more days to plan on"
        caveats.append(Caveat("horizon-over", text))
    if rota.found.cut_short:
        text = "the search was cut short: these are the best dates found until then, better ones may exist"
        caveats.append(Caveat("search-cut-short", text))
    return caveats
