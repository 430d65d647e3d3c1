"""Further: a rota planned beyond its horizon, for a month that is to be seen whole. What it says already stays."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from greenrota.rota.earlier.keeping import kept_renewals
from greenrota.rota.earlier.record import NOTHING_LOGGED, EarlierRota
from greenrota.rota.earlier.way import tasks_of
from greenrota.rota.rota import Rota
from greenrota.rota.search.search import search
from greenrota.rota.search.trials import Progress
from greenrota.rota.simulate.context import Settled, context_through
from greenrota.rota.simulate.decisions import with_undecided


def planned_further(rota: Rota, through: date, progress: Progress | None = None) -> Rota:
    """The rota up to a later day. Every harvest and filling that it has keeps its day; only later ones are added.

    A bucket of salt water near the end of the old horizon may grow, and one may be added there, for fillings after it.
    The rota itself where it goes so far already. Its warnings and harvest bottles are still those of the old horizon.
    """
    if through <= rota.through:
        return rota
    decisions = rota.found.decisions
    renewals = {**rota.start_state.renewals, **kept_renewals(_record(rota), decisions)}
    start_state = rota.start_state._replace(renewals=renewals)
    context = context_through(rota.context, through, Settled(rota.through, frozenset(decisions.harvests)))
    held = with_undecided(
        decisions, rota.previous
    )  # later days that were decided for an earlier page are kept too
    found = search(context, start_state, held, progress)
    tasks = tasks_of(context, start_state, found)
    return replace(rota, context=context, start_state=start_state, found=found, tasks=tasks)


def laid_down(remembered: Sequence[EarlierRota], rota: Rota, plan: str) -> tuple[EarlierRota, ...]:
    """What is remembered of a plan (its digest), with the later days of a rota that was planned further added.

    What rests on it afterwards keeps them where they are still possible, so that a printed month stays true.
    """
    if rota.found.cut_short:
        return tuple(remembered)
    return tuple(
        each._replace(decisions=with_undecided(each.decisions, rota.found.decisions))
        if each.plan == plan
        else each
        for each in remembered
    )


def _record(rota: Rota) -> EarlierRota:
    return EarlierRota.of(rota, NOTHING_LOGGED, NOTHING_LOGGED)
