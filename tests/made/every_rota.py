"""Every way to choose the dates of a small plan, and the calendar of fixed intervals, to hold a search against."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import product

from made_plans import START, example_plan, example_vessel

from greenrota.rota.plan import Away, Plan, Tank, Work
from greenrota.rota.search.score import Scorer
from greenrota.rota.simulate.context import Context
from greenrota.rota.simulate.events import Decisions
from greenrota.rota.simulate.simulation import Simulation, simulate
from greenrota.rota.simulate.start import StartState

ROUNDING = 1e-9  # the same sum in another order


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
    """The score of every rota there is: all start days times all harvest days, one walk each."""
    scorer = Scorer(context, start_state, Decisions())
    options = simulate(context, start_state, Decisions()).start_options
    stack = [Decisions({}, dict(zip(options, days, strict=True))) for days in product(*options.values())]
    while stack:
        decisions = stack.pop()
        simulated = simulate(context, start_state, decisions)
        undecided = [
            choice
            for choice in simulated.choices
            if len(choice.options) > 1 and choice.batch.id not in decisions.harvests
        ]
        if not undecided:
            yield scorer.score(simulated).total
            continue
        choice = undecided[0]
        stack += [
            Decisions({**decisions.harvests, choice.batch.id: day}, decisions.starts)
            for day in choice.options
        ]


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
