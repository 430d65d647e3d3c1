"""Every way to choose the dates of a small plan, and the calendar of fixed intervals, to hold a search against."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from itertools import islice, product

from made_plans import START, example_plan, example_vessel

from greenrota.rota.plan import Away, Plan, Tank, Work
from greenrota.rota.search.score import Scorer
from greenrota.rota.simulate.context import Context, context_for
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.simulation import Simulation, simulate
from greenrota.rota.simulate.start import StartState, start_from_plan

ROUNDING = 1e-9  # the same sum in another order


def tiny_plan(dice: random.Random) -> Plan:
    """One or two vessels, ten to fourteen days, few working days, sometimes days away."""
    away: tuple[Away, ...] = ()
    if dice.random() < 0.5:
        first = START + timedelta(days=dice.randint(4, 9))
        away = (Away(first, first + timedelta(days=dice.randint(1, 4))),)
    names = ("north", "south")[: dice.choice((1, 2, 2))]
    fills_l = [dice.choice((1.0, 2.0, 4.0)) for _ in names]
    return example_plan(
        days=dice.randint(10, 14),
        vessels=tuple(
            example_vessel(name, brim_l=1.25 * fill_l, fill_l=fill_l)
            for name, fill_l in zip(names, fills_l, strict=True)
        ),
        work=Work(frozenset(dice.sample(range(7), dice.randint(2, 4))), dice.choice((None, 2, 4))),
        away=away,
        tank=Tank(300.0, dice.choice((25.0, 50.0, 90.0)) * sum(fills_l)),
    )


MOST_WAYS = 6_000  # a plan with more rotas is left out, so that all of them can be tried


def enumerated(dice: random.Random) -> tuple[Context, StartState, list[float]]:
    """A tiny plan with three carry-overs to choose from, and the score of every rota there is for it."""
    while True:
        plan = tiny_plan(dice)
        whole, start_state = context_for(plan), start_from_plan(plan)
        cycles = {
            name: cycle._replace(carry_overs=tuple(sorted({0.2, cycle.keep_share, 0.6})))
            for name, cycle in whole.cycles.items()
        }
        context = whole._replace(cycles=cycles)
        scores = list(islice(every_rota(context, start_state), MOST_WAYS + 1))
        if len(scores) <= MOST_WAYS:
            return context, start_state, scores


def small_plan(dice: random.Random) -> Plan:
    """Two or three vessels, two or three weeks, few working days, sometimes days away."""
    away: tuple[Away, ...] = ()
    if dice.random() < 0.5:
        first = START + timedelta(days=dice.randint(4, 12))
        away = (Away(first, first + timedelta(days=dice.randint(1, 5))),)
    names = ("north", "south", "east")[: dice.choice((2, 2, 3))]
    return example_plan(
        days=dice.randint(14, 21),
        vessels=tuple(example_vessel(name) for name in names),
        work=Work(frozenset(dice.sample(range(7), dice.randint(2, 4))), dice.choice((None, 2, 4))),
        away=away,
        tank=Tank(300.0, dice.choice((100.0, 200.0, 350.0)) * len(names)),
    )


def home_plan(vessels: int, days: int, weekdays: tuple[int, ...] = tuple(range(7))) -> Plan:
    """A shelf as it stands at home, with a week away in the middle."""
    return example_plan(
        days=days,
        vessels=tuple(example_vessel(f"v{n}") for n in range(vessels)),
        work=Work(frozenset(weekdays), 4),
        away=(Away(START + timedelta(days=20), START + timedelta(days=27)),),
        tank=Tank(300.0, 300.0 * vessels),
    )


def every_rota(context: Context, start_state: StartState) -> Iterator[float]:
    """The score of every rota there is: all ways to share the starter, start days, harvest days and carry-overs."""
    scorer = Scorer(context, start_state, Decisions())
    shared = simulate(context, start_state, Decisions()).allotments
    for ways in product(*(allotment.ways for allotment in shared)):
        first = Decisions(sharings={way.source: way for way in ways})
        options = simulate(context, start_state, first).start_options
        stack = [
            replace(first, starts=dict(zip(options, days, strict=True)))
            for days in product(*options.values())
        ]
        while stack:
            decisions = stack.pop()
            simulated = simulate(context, start_state, decisions)
            further = _undecided(context, simulated, decisions)
            if further is None:
                yield scorer.score(simulated).total
            else:
                stack += further


def _undecided(context: Context, simulated: Simulation, decisions: Decisions) -> list[Decisions] | None:
    """The ways to decide the first harvest that is open, its day before its carry-over; None if none is."""
    for choice in simulated.choices:
        batch, vessel = choice.batch.id, choice.batch.vessel
        if len(choice.options) > 1 and batch not in decisions.harvests:
            return [replace(decisions, harvests={**decisions.harvests, batch: day}) for day in choice.options]
        if batch in simulated.keeps and batch not in decisions.keeps:
            shares = context.cycles[vessel].carry_overs
            return [replace(decisions, keeps={**decisions.keeps, batch: share}) for share in shares]
    return None


def fixed_intervals(context: Context, start_state: StartState) -> Simulation:
    """The walk of a wall calendar: every vessel is harvested as soon as the usual number of days has passed.

    Where that day is not possible the nearest later one is taken, else the nearest earlier one.
    """
    decisions = Decisions()
    simulated = simulate(context, start_state, decisions)
    for _ in range(60):
        harvests: dict[str, date] = {}
        for choice in simulated.choices:
            if choice.options:
                due = choice.batch.started + timedelta(days=context.cycles[choice.batch.vessel].days)
                later = [day for day in choice.options if day >= due]
                harvests[choice.batch.id] = later[0] if later else choice.options[-1]
        if harvests == decisions.harvests:
            break
        decisions = Decisions(harvests)
        simulated = simulate(context, start_state, decisions)
    return simulated
