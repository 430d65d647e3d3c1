"""Every way to choose the dates of a small plan, and the calendar of fixed intervals, to hold a search against."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date, timedelta
from itertools import islice, product

from made_plans import START, example_plan, example_vessel

from greenrota.rota.plan import Away, Plan, Tank, Work
from greenrota.rota.search.score import Scorer
from greenrota.rota.simulate.context import Context, context_for
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.restarts import Restart
from greenrota.rota.simulate.simulation import Simulation, simulate
from greenrota.rota.simulate.start import StartState, start_from_plan
from greenrota.rota.state.bench import Bench

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


def tiny_stepped_plan(dice: random.Random) -> Plan:
    """As `tiny_plan`, with large vessels, a starter of few cells, and the weeks that it takes to fill them in steps."""
    plan = tiny_plan(dice)
    vessels = tuple(replace(each, brim_l=25.0, fill_l=20.0) for each in plan.vessels)
    millions = dice.uniform(40.0, 400.0) * len(vessels)
    starter = replace(plan.starters[0], volume_ml=millions, density_per_ml=1e6)
    return replace(
        plan, vessels=vessels, starters=(starter,), days=dice.randint(16, 24), tank=Tank(300.0, 500.0)
    )


def tiny_renewed_plan(dice: random.Random) -> Plan:
    """As `tiny_plan`, with every vessel broken down at its harvest, and a starter of which a part is held back."""
    plan = tiny_plan(dice)
    starter = replace(
        plan.starters[0],
        volume_ml=dice.choice((300.0, 500.0, 800.0)),
        keep_back=dice.choice((0.25, 0.4, 0.5)),
    )
    cycle = replace(plan.cycle, renew_after=0)
    return replace(plan, starters=(starter,), days=dice.randint(14, 20), cycle=cycle)


MOST_WAYS = 6_000  # a plan with more rotas is left out, so that all of them can be tried


def enumerated(
    dice: random.Random, made: Callable[[random.Random], Plan] = tiny_plan
) -> tuple[Context, StartState, list[float]]:
    """A tiny plan with three carry-overs to choose from, and the score of every rota there is for it."""
    while True:
        plan = made(dice)
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
    """The score of every rota there is: all ways to share the starter, all days, all carry-overs."""
    scorer = Scorer(context, start_state, Decisions())
    shared = simulate(context, start_state, Decisions()).allotments
    for ways in product(*(allotment.ways for allotment in shared)):
        first = Decisions(sharings={way.source: way for way in ways})
        options = simulate(context, start_state, first).start_options
        stack = [
            first._replace(starts=dict(zip(options, days, strict=True)))
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


def invented_plan(dice: random.Random) -> Plan:
    """A shelf drawn by chance: 4 to 8 vessels of several sizes and places, 31 to 62 days, working week, days away."""
    vessels, days = dice.randint(4, 8), dice.choice((31, 45, 62))
    names = [f"v{n}" for n in range(vessels)]
    fills_l = [dice.choice((1.0, 2.0, 4.0, 4.0, 10.0)) for _ in names]
    away: tuple[Away, ...] = ()
    if dice.random() < 0.7:
        first = START + timedelta(days=dice.randint(8, days - 10))
        away = (Away(first, first + timedelta(days=dice.randint(2, 9))),)
    made = [
        example_vessel(
            name,
            brim_l=1.25 * fill_l,
            fill_l=fill_l,
            temperature_c=dice.choice((20.0, 22.0, 24.0)),
            photoperiod_h=dice.choice((12.0, 14.0, 16.0)),
        )
        for name, fill_l in zip(names, fills_l, strict=True)
    ]
    plan = example_plan(
        days=days,
        vessels=tuple(made),
        work=Work(frozenset(dice.sample(range(7), dice.choice((3, 4, 5, 7)))), dice.choice((None, 3, 4))),
        away=away,
        tank=Tank(300.0, round(dice.uniform(30.0, 90.0) * sum(fills_l))),
    )
    starter = replace(plan.starters[0], volume_ml=dice.choice((250.0, 500.0, 1000.0)))
    return replace(plan, starters=(starter,))


def topup_days(context: Context, simulated: Simulation) -> dict[str, list[date]]:
    """The days within the horizon on which each top-up could be, in order of batch and number.

    The rule of docs/model.md once more: the first open day on which the vessel can be filled at 8 % of its ceiling in
    one step of 1:10 at the most, or to twice its volume and no more than half the vessel, and three open days after it.
    """
    found: dict[str, list[date]] = {}
    lived = {event.batch.id: event for event in simulated.events if event.kind == "start"}
    for event in (each for each in simulated.events if each.kind == "topup"):
        last = lived[event.batch.id]
        lived[event.batch.id] = event
        bench, broth = context.benches[event.batch.vessel], last.after
        assert broth is not None
        days = []
        for n in range(1, (simulated.through - last.on).days + 1):
            grown = bench.grow(broth, float(n))
            eighth_l = grown.volume_l * grown.density_per_ml / (0.08 * ceiling_per_ml(bench))
            most_l = min(eighth_l, 10.0 * grown.volume_l)
            if (
                most_l >= bench.vessel.fill_l
                or min(most_l, bench.vessel.fill_l / 2.0) >= 2.0 * grown.volume_l
            ):
                days.append(last.on + timedelta(days=n))
        name = f"{event.batch.id}/topup" + ("" if event.number == 1 else f".{event.number}")
        found[name] = [day for day in days if context.open_days.is_open(day)][:4]
    return found


def restart_days(context: Context, simulated: Simulation, decisions: Decisions) -> dict[str, list[date]]:
    """The days on which each restart that is not decided could be: the first possible one, three open days after it."""
    starts = [each for each in simulated.events if each.kind == "start" and isinstance(each.facts, Restart)]
    return {
        event.batch.id: [
            event.on + timedelta(days=n)
            for n in range((simulated.through - event.on).days + 1)
            if context.open_days.is_open(event.on + timedelta(days=n))
        ][:4]
        for event in starts
        if event.batch.id not in decisions.restarts
    }


def ceiling_per_ml(bench: Bench) -> float:
    """The ceiling of the whole vessel: that of the strain in 4 L, less by the power 0.4 of the volume."""
    return bench.strain.ceiling_per_ml * (bench.vessel.fill_l / 4.0) ** -0.4


def _undecided(context: Context, simulated: Simulation, decisions: Decisions) -> list[Decisions] | None:
    """The ways to decide the first restart, top-up or harvest that is open, its carry-over last; None if none is."""
    topups, restarts = topup_days(context, simulated), restart_days(context, simulated, decisions)
    for choice in simulated.choices:
        batch, vessel = choice.batch.id, choice.batch.vessel
        if len(restarts.get(batch, ())) > 1:
            return [
                decisions._replace(restarts={**decisions.restarts, batch: day}) for day in restarts[batch]
            ]
        for topup, days in topups.items():
            if topup.startswith(f"{batch}/") and topup not in decisions.topups and len(days) > 1:
                return [decisions._replace(topups={**decisions.topups, topup: day}) for day in days]
        if len(choice.options) > 1 and batch not in decisions.harvests:
            return [decisions._replace(harvests={**decisions.harvests, batch: day}) for day in choice.options]
        if batch in simulated.keeps and batch not in decisions.keeps:
            shares = context.cycles[vessel].carry_overs
            return [decisions._replace(keeps={**decisions.keeps, batch: share}) for share in shares]
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
