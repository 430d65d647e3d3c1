"""Way: from the dates of an earlier rota, or from plan and logbook alone, to the rota of a day.

Every rota rests on the one before it and keeps its dates where they are still possible, so an entry changes only what
it has to change.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from functools import partial
from typing import NamedTuple

from greenrota.logbook.entry import Entry
from greenrota.rota.earlier.fitting import Fitting
from greenrota.rota.earlier.keeping import due_in_both, kept_decisions, kept_renewals, overdue
from greenrota.rota.earlier.record import NOTHING_LOGGED, EarlierRota, plan_digest
from greenrota.rota.replay.logged import LoggedState, inspections
from greenrota.rota.replay.replay import Moment, replays
from greenrota.rota.rota import Rota
from greenrota.rota.search.search import SearchResult, found_before, search
from greenrota.rota.search.trials import Progress
from greenrota.rota.simulate.context import Context, context_for, context_from
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.start import StartState, start_from_plan
from greenrota.rota.tasks.measured import measured_amounts
from greenrota.rota.tasks.task import Task, tasks_from

# Between an earlier rota and the one asked for, at most so many days with entries are planned one by one, and at most
# twice as many where nothing is remembered; our choice: some weeks of work, so that the dates rest on more than the
# last entry.
WORKED_OUT_DAYS = 8
# The most simulated batches for the rota of a day that is past and of which nothing is remembered; our choice: of eight
# vessels or fewer the dates are hardly worse, and all these rotas together take no longer than a search or two.
BRIEF_BATCHES = 1_000

_Stood = tuple[Moment, tuple[LoggedState, Mapping[str, float]]]  # with the spreads of the growth rates


class Steps:
    """The progress of several searches as that of one; each search takes its part with `part`."""

    def __init__(self, progress: Progress | None, searches: int) -> None:
        self._progress = progress
        self._searches = searches
        self._begun = 0

    def part(self) -> Progress | None:
        """The progress of the next search."""
        number, progress = self._begun, self._progress
        self._begun += 1
        return None if progress is None else lambda share: progress((number + share) / self._searches)


def first_rota(
    context: Context,
    known: EarlierRota | None = None,
    progress: Progress | None = None,
    most: int | None = None,
) -> Rota:
    """The rota of a plan before anything was logged; `known` is what is remembered of it, else it is searched.

    `most` as for `search`.
    """
    start_state, nothing = start_from_plan(context.plan), Decisions()
    if known is None or known.cut_short:
        found = search(context, start_state, nothing, progress, most=most)
    else:
        found = found_before(context, start_state, nothing, known.decisions, known.exact)
    return _rota(context, start_state, nothing, found)


def before_all(rota: Rota, digest: str) -> EarlierRota:
    """What is to be remembered of the rota before anything was logged; its day lies before that of any entry."""
    return EarlierRota.of(rota, digest, NOTHING_LOGGED)._replace(on=date.min)


class Way(NamedTuple):
    """A plan (`context`, and its digest), its standing entries in order of day, and what is remembered of both."""

    context: Context
    digest: str
    entries: Sequence[Entry]
    fitting: Fitting

    def rota(
        self, days: Sequence[date], asked: date, progress: Progress | None
    ) -> tuple[Rota, list[EarlierRota]]:
        """The rota of the day asked for, and those that were made on the way, its own the last.

        `days` are the days with entries, none later than the day asked for.
        """
        known = self.fitting.same(self.digest, asked)
        if known is not None:
            return self._as_remembered(known), [known]
        base = self.fitting.base(asked)
        if base is not None and base.entries != NOTHING_LOGGED:
            ahead = [day for day in days if day > base.on][-WORKED_OUT_DAYS:]
            states = self._states(ahead, asked)
            return self._resting(base, states, asked, Steps(progress, len(states)))
        return self._from_nothing(days, asked, progress)

    def _states(self, days: Sequence[date], asked: date) -> list[_Stood]:
        """The states of days with entries, in the morning and in the evening, and that of the day asked for.

        What an entry changed is so set against a rota of the same day, with the same horizon.
        """
        from greenrota.rota.replay.spreads import replays_with_spreads  # what is remembered knows its spreads

        moments = [Moment(day, evening) for day in days for evening in (False, True)]
        if not days or days[-1] != asked:
            moments.append(Moment(asked))
        return list(zip(moments, replays_with_spreads(self.context, self.entries, moments), strict=True))

    def _from_nothing(
        self, days: Sequence[date], asked: date, progress: Progress | None
    ) -> tuple[Rota, list[EarlierRota]]:
        """As `rota`, where nothing that fits is remembered but perhaps the rota before any entry."""
        begins = max(0, (len(days) - 1) // WORKED_OUT_DAYS * WORKED_OUT_DAYS - 1)
        states = self._states(days[begins:], asked)
        early = [each for each in states if each[0].on < asked]
        away = self.context.plan.away
        behind = tuple(each for each in away if each.last < asked)
        searches = len(early) + 1
        steps = Steps(progress, searches * (1 if behind == away else 2) + len(states) - len(early))
        found = self._worked_out(early, asked, steps)
        if behind != away:
            # Nobody knows how long the others have stood in the plan: what only they would have wanted is not due.
            plan = replace(self.context.plan, away=behind)
            other = self._replace(context=context_for(plan), digest=plan_digest(plan))
            others = other._worked_out(early, asked, steps, BRIEF_BATCHES)
            found = [due_in_both(*pair) for pair in zip(found, others, strict=True)]
        rota, made = self._resting(found[-1], states[len(early) :], asked, steps)
        return rota, [*found, *made]

    def _worked_out(
        self, states: Sequence[_Stood], asked: date, steps: Steps, most: int | None = None
    ) -> list[EarlierRota]:
        """The rotas of some days from plan and logbook alone; that before any entry stands first."""
        known = self.fitting.same(self.digest, date.min)
        first = before_all(first_rota(self.context, known, steps.part(), most), self.digest)
        return [first, *self._resting(first, states, asked, steps)[1]] if states else [first]

    def _resting(
        self, before: EarlierRota | None, states: Iterable[_Stood], asked: date, steps: Steps
    ) -> tuple[Rota, list[EarlierRota]]:
        """The rota of the last of some states, and those of all evenings; each rests on the one before it."""
        made: list[EarlierRota] = []
        for moment, (logged, rate_spreads) in states:
            place = context_from(self.context, moment.on)
            most = None if moment.on == asked else BRIEF_BATCHES
            rota = _replanned(place, logged, rate_spreads, before, steps.part(), most)
            before = EarlierRota.of(rota, self.digest, self.fitting.entries_at(moment.on))
            if moment.evening:
                made.append(before)
        return rota, made

    def _as_remembered(self, known: EarlierRota) -> Rota:
        """The rota that was remembered, without any search."""
        logged = next(replays(self.context, self.entries, [Moment(known.on)]))
        place = context_from(self.context, known.on)
        start_state = logged.start_state()._replace(
            renewals=known.held_renewals, rate_spreads=known.rate_spreads
        )
        found = found_before(place, start_state, known.previous, known.decisions, known.exact)
        rota = _rota(place, start_state, known.previous, found)
        return replace(_with_log(rota, logged), overdue=known.overdue)


def _replanned(
    context: Context,
    logged: LoggedState,
    rate_spreads: Mapping[str, float],
    before: EarlierRota | None,
    progress: Progress | None,
    most: int | None,
) -> Rota:
    """The rota on a day, as near to the one before it as the logbook allows; after an interrupt it is not searched."""
    previous = Decisions() if before is None else kept_decisions(before, logged)
    renewals = {} if before is None else kept_renewals(before, previous)
    start_state = logged.start_state()._replace(renewals=renewals, rate_spreads=rate_spreads)
    hurried = before is not None and before.cut_short
    found = search(context, start_state, previous, progress, 0 if hurried else None, most=most)
    if hurried:
        found = found._replace(cut_short=True)
    rota = _with_log(_rota(context, start_state, previous, found), logged)
    return rota if before is None else replace(rota, overdue=overdue(before, rota))


def _rota(context: Context, start_state: StartState, previous: Decisions, found: SearchResult) -> Rota:
    """The rota of a search."""
    tasks = tasks_of(context, start_state, found)
    return Rota(context, start_state.as_of, start_state, previous, found, tasks)


def tasks_of(context: Context, start_state: StartState, found: SearchResult) -> tuple[Task, ...]:
    """The events of a search as tasks, with amounts as instruments show them."""
    return tasks_from(
        context.benches,
        found.simulated.events,
        start_state.mixing(context.plan, context.open_days),
        found.simulated.choices,
        partial(measured_amounts, state=start_state.state, plan=context.plan),
    )


def _with_log(rota: Rota, logged: LoggedState) -> Rota:
    """The rota with what the logbook says besides the state."""
    return replace(
        rota,
        past=tuple(logged.recorder.intervals),
        crashes=tuple(logged.crashes),
        suspects=logged.suspects,
        inspections=inspections(logged),
        problems=tuple(logged.problems),
        poured=logged.poured,
        gone_vessels=logged.gone_vessels,
        condemned=frozenset(logged.condemned),
        doubtful_counts=tuple(logged.doubtful_counts.values()),
    )
