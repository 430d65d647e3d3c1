"""Schedule: from a plan and its logbook to a rota, for the first month and after a crash alike.

The logbook is read once. The rota rests on the dates that stood before it; where none are given they are worked out
from plan and logbook, in a number of searches that does not grow with the age of the book.
"""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import NamedTuple

from greenrota.errors import checked_day
from greenrota.logbook.entry import Entry
from greenrota.rota.earlier.fitting import Fitting, worth_remembering
from greenrota.rota.earlier.record import EarlierRota, entry_digests, plan_digest
from greenrota.rota.earlier.way import Way, before_all, first_rota
from greenrota.rota.feed.daily import bottle_records
from greenrota.rota.plan import Plan
from greenrota.rota.rota import Rota
from greenrota.rota.search.trials import Progress
from greenrota.rota.simulate.context import context_for
from greenrota.rota.warning import PlanWarning
from greenrota.rota.warnings.place import gone_warnings, place_warnings
from greenrota.rota.warnings.simulated import simulated_warnings
from greenrota.rota.warnings.unusual import unusual

_DAYS_BEFORE = (
    60  # our choice: an entry older than that when the plan begins is of an earlier plan, or a slip
)


class Scheduled(NamedTuple):
    """A rota, and the dates to remember for the next one."""

    rota: Rota
    remembered: tuple[EarlierRota, ...]


def schedule(
    plan: Plan,
    entries: Sequence[Entry] = (),
    as_of: date | None = None,
    progress: Progress | None = None,
) -> Rota:
    """The rota of a plan on a day, from plan and logbook alone; see `schedule_from`."""
    return schedule_from(plan, entries, as_of, (), progress).rota


def schedule_from(
    plan: Plan,
    entries: Sequence[Entry],
    as_of: date | None,
    remembered: Sequence[EarlierRota],
    progress: Progress | None = None,
) -> Scheduled:
    """The rota of a plan on a day, resting on the dates that are `remembered` where they fit.

    `entries` are those of the logbook that no void takes back, by day and then as written; those after `as_of` do not
    count yet. Without entries the rota is planned from the plan's first day, whatever `as_of` is. With entries it is
    planned from `as_of` (None: the day of the last entry), but never from more than 60 days before the plan's first
    day. Its horizon is the plan's number of days from there on, or from the plan's first day if that is later.
    `progress` gets the share of all searches that is done, 0..1. A KeyboardInterrupt during a search ends all
    searching and gives the best rota found so far, marked so. TypeError for an `as_of` that is no `datetime.date`.
    """
    if as_of is not None:
        checked_day("as_of", as_of)
    context = context_for(plan)
    counted = [entry for entry in entries if as_of is None or entry.on <= as_of]
    digest, digests = plan_digest(plan), entry_digests(entries)
    fitting = Fitting(remembered, digests)
    if not counted:
        first = first_rota(context, fitting.same(digest, date.min), progress)
        stood = tuple(remembered) if entries else (before_all(first, digest),)
        return Scheduled(_finished(first, counted), stood)
    earliest = plan.start - timedelta(days=_DAYS_BEFORE)
    days = sorted({max(entry.on, earliest) for entry in counted})
    asked = days[-1] if as_of is None else max(as_of, earliest)
    way = Way(context, digest, counted, fitting)
    rota, made = way.rota(days, asked, progress)
    return Scheduled(_finished(rota, counted), worth_remembering(remembered, made, digests))


def schedule_further(
    scheduled: Scheduled, entries: Sequence[Entry], through: date, progress: Progress | None = None
) -> Scheduled:
    """A rota planned up to a later day than its horizon goes; every day that it has said already stays.

    The later days are remembered, too: rotas that rest on them keep them where they are still possible.
    """
    from greenrota.rota.earlier.further import laid_down, planned_further

    rota = planned_further(scheduled.rota, through, progress)
    if rota is scheduled.rota:
        return scheduled
    counted = [entry for entry in entries if entry.on <= rota.as_of]
    return Scheduled(_finished(rota, counted), laid_down(scheduled.remembered, rota, plan_digest(rota.plan)))


def _finished(rota: Rota, entries: Sequence[Entry]) -> Rota:
    return _with_warnings(_with_bottles(rota), entries)


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


def _unsure(rota: Rota) -> list[PlanWarning]:
    """What makes the dates themselves doubtful: a search that was cut short."""
    if not rota.found.cut_short:
        return []
    text = "the search was cut short: these are the best dates found until then, better ones may exist"
    return [PlanWarning("search-cut-short", text)]
