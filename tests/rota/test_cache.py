"""A walk that remembers deeds equals a walk that works each one out."""

from __future__ import annotations

import random
from datetime import timedelta

import pytest
from made_plans import START, example_plan, example_vessel

from greenrota.rota.plan import Away, Work
from greenrota.rota.simulate.context import context_for
from greenrota.rota.simulate.events import Decisions
from greenrota.rota.simulate.simulation import simulate
from greenrota.rota.simulate.start import start_from_plan


@pytest.mark.parametrize("seed", range(12))
def test_remembered_deeds_leave_the_same_shelf(seed: int) -> None:
    dice = random.Random(seed)
    gone = START + timedelta(days=13)
    plan = example_plan(
        days=dice.randint(14, 60),
        vessels=tuple(example_vessel(f"v{n}") for n in range(dice.randint(1, 5))),
        work=Work(frozenset(dice.sample(range(7), dice.randint(2, 7)))),
        away=(Away(gone, gone + timedelta(days=dice.randint(0, 20))),) if dice.random() < 0.6 else (),
    )
    shared, start_state = context_for(plan), start_from_plan(plan)
    simulated = simulate(shared, start_state, Decisions())
    for _ in range(8):
        decisions = Decisions(
            {
                c.batch.id: dice.choice(c.options)
                for c in simulated.choices
                if c.options and dice.random() < 0.7
            },
            {vessel: dice.choice(days) for vessel, days in simulated.start_options.items()},
        )
        simulated = simulate(shared, start_state, decisions)
        assert simulated == simulate(context_for(plan), start_state, decisions)
