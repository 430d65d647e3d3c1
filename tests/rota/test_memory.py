"""A walk that remembers deeds equals a walk that works each one out."""

from __future__ import annotations

import random
from datetime import timedelta

import pytest
from made_plans import START, example_plan, example_vessel

from greenrota.rota.forecast import forecast
from greenrota.rota.plan import Away, Work
from greenrota.rota.setting import setting_for
from greenrota.rota.standpoint import from_the_start
from greenrota.rota.visit import Wishes


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
    shared, standpoint = setting_for(plan), from_the_start(plan)
    walked = forecast(shared, standpoint, Wishes())
    for _ in range(8):
        wishes = Wishes(
            {c.batch.id: dice.choice(c.options) for c in walked.choices if c.options and dice.random() < 0.7},
            {vessel: dice.choice(days) for vessel, days in walked.start_options.items()},
        )
        walked = forecast(shared, standpoint, wishes)
        assert walked == forecast(setting_for(plan), standpoint, wishes)
