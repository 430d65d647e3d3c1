"""Size: how few production vessels meet the ration, and what one more would change."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from greenrota.culture.growth.logistic import sawtooth_peak_share
from greenrota.risk.hazard import Danger
from greenrota.risk.outcome import Outcome, outcome
from greenrota.risk.season import play
from greenrota.risk.timetable import timetable
from greenrota.rota.feed.shortage import coming_days, short_days
from greenrota.rota.plan import Plan, Vessel
from greenrota.rota.rota import Rota
from greenrota.rota.search.search import search
from greenrota.rota.simulate.context import context_for
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.start import start_from_plan
from greenrota.rota.state.backups import REFRESH_SHARE
from greenrota.rota.state.cycle import RIPE_SHARE, mean_gap_days

SEARCH_BATCHES = (
    500  # simulated batches for the dates of one candidate: a rough rota will do here; our choice
)
MORE_FEED = (
    0.25,
    0.40,
    0.50,
)  # carry-overs tried beside the rota's own, each with its shortest ripe interval; our choice
BACKUP_AGES = (
    REFRESH_SHARE,
    REFRESH_SHARE / 2,
)  # parts of the fridge life at which a back-up is replaced; our choice
LONGEST_DAYS = 28  # longest interval tried; our choice, as in `cycle`


@dataclass(frozen=True, slots=True)
class Candidate:
    """A way to work so many production vessels, with what its seasons say.

    `keep_share` and `days` are those of the first vessel; `pinned` False when they are the rota's own choice.
    `refresh_share`: the part of a bottle's fridge life after which the back-up is replaced. `work_days` in the horizon.
    Short days count from `counted_from` on, the first harvest; `planned_short_days` of them are short with no mishap.
    """

    vessels: int
    keep_share: float
    days: int
    pinned: bool
    refresh_share: float
    work_days: int
    outcome: Outcome
    counted_from: date | None = None
    planned_short_days: int = 0

    def meets(self, confidence: float) -> bool:
        """Whether a season without a short day from the first harvest on, and with the strain kept is this likely."""
        allowed = 1.0 - confidence
        found = self.outcome
        return found.feeding_days > 0 and found.short.high <= allowed and found.lost.high <= allowed


def frontier(
    plan: Plan, danger: Danger, confidence: float, seasons: int, seed: int, most: int
) -> Iterator[Candidate]:
    """The best candidate for 1, 2, ... production vessels, up to one more than the fewest that do, or `most`.

    The best meets the confidence with the fewest working days; where none meets it, the one least often short. Short
    days count from the first harvest, as in `bottles`, so the days on which the vessels are filled one after the other
    count, too.
    """
    enough = False
    for number in range(1, most + 1):
        tried = [
            _candidate(option, number, share, danger, seasons, seed)
            for option in _options(with_vessels(plan, number))
            for share in BACKUP_AGES
        ]
        meeting = [found for found in tried if found.meets(confidence)]
        if meeting:
            yield min(meeting, key=lambda found: (found.work_days, found.outcome.short.value))
        else:
            yield min(tried, key=lambda found: (found.outcome.short.value, found.outcome.lost.value))
        if enough:
            return
        enough = bool(meeting)


def _options(plan: Plan) -> Iterator[Plan]:
    """The plan as it is, then with pinned cycles that yield more, where the plan leaves the cycle open."""
    yield plan
    if plan.cycle.days is not None or plan.cycle.inoculum is not None:
        return
    context = context_for(plan)
    rate = next(iter(context.benches.values())).rate_per_day
    own = next(iter(context.cycles.values()))
    seen = {(own.keep_share, own.days)}
    for keep in MORE_FEED:
        days = _shortest_ripe(keep, rate, plan)
        if days is not None and (keep, days) not in seen:
            seen.add((keep, days))
            yield replace(plan, cycle=replace(plan.cycle, inoculum=keep, days=days))


def _shortest_ripe(keep_share: float, rate_per_day: float, plan: Plan) -> int | None:
    if rate_per_day <= 0.0:
        return None
    for days in range(2, LONGEST_DAYS + 1):
        gap_days = mean_gap_days(days, plan.work.weekdays)
        if sawtooth_peak_share(keep_share, gap_days, rate_per_day) >= RIPE_SHARE:
            return days
    return None


def _candidate(
    plan: Plan, number: int, refresh_share: float, danger: Danger, seasons: int, seed: int
) -> Candidate:
    rota = rough_rota(plan)
    played = play(timetable(rota, refresh_share=refresh_share), danger, seasons, seed)
    cycle = next(iter(rota.cycles.values()))
    counted = coming_days(rota.rations().days, rota.as_of)
    return Candidate(
        vessels=number,
        keep_share=cycle.keep_share,
        days=cycle.days,
        pinned=plan.cycle.days is not None,
        refresh_share=refresh_share,
        work_days=len({event.on for event in rota.simulation.events}),
        outcome=outcome(played),
        counted_from=counted[0].on if counted else None,
        planned_short_days=short_days(counted),
    )


def rough_rota(plan: Plan) -> Rota:
    """A rota from the plan's first day with a short search for its dates, and no tasks."""
    context, start_state = context_for(plan), start_from_plan(plan)
    found = search(context, start_state, Decisions(), budget=SEARCH_BATCHES)
    return Rota(context, start_state.as_of, start_state, Decisions(), found, ())


def with_vessels(plan: Plan, number: int) -> Plan:
    """The plan with so many production vessels (1 or more): the last ones taken away, or the last one repeated.

    Standby vessels stay. ValueError for a number below 1 or a plan without production vessels.
    """
    production = [vessel for vessel in plan.vessels if vessel.role == "production"]
    if number < 1 or not production:
        raise ValueError(f"{number} production vessels can not be made from {len(production)}")
    standby = tuple(vessel for vessel in plan.vessels if vessel.role != "production")
    taken = {vessel.name for vessel in plan.vessels}
    while len(production) < number:
        more = _like(production[-1], len(production) + 1, taken)
        taken.add(more.name)
        production.append(more)
    return replace(plan, vessels=(*production[:number], *standby))


def _like(vessel: Vessel, number: int, taken: set[str]) -> Vessel:
    name = f"vessel {number}"
    while name in taken:
        number += 1
        name = f"vessel {number}"
    return replace(vessel, name=name)
