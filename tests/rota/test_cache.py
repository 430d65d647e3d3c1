"""A simulation that caches actions equals one that works each of them out."""

from __future__ import annotations

import random
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_logs import lived
from made_plans import START, example_plan, example_vessel, lively_plans

from greenrota.rota import schedule as scheduling
from greenrota.rota.earlier import way
from greenrota.rota.plan import Away, Plan, Work
from greenrota.rota.schedule import schedule
from greenrota.rota.simulate.cache import ActionCache
from greenrota.rota.simulate.context import Context, context_for, context_from
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.simulation import simulate
from greenrota.rota.simulate.start import start_from_plan


@pytest.mark.parametrize("seed", range(12))
def test_cached_actions_leave_the_same_state(seed: int) -> None:
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


class _Forgetful(dict):  # type: ignore[type-arg]
    """A register of projections that keeps none."""

    def __setitem__(self, key: object, value: object) -> None:
        pass


def forgetful(plan: Plan) -> Context:
    """A context in which every action and every projection is worked out each time."""
    return context_for(plan)._replace(projections=_Forgetful(), cache=ActionCache(keeps=False))


def forgetful_from(context: Context, as_of: date) -> Context:
    """The same with its horizon counted from a day on."""
    return context_from(context, as_of)._replace(projections=_Forgetful(), cache=ActionCache(keeps=False))


@settings(max_examples=6)
@given(lively_plans(most_days=25, most_vessels=3), st.integers(0, 10_000))
def test_a_lived_rota_is_the_same_without_a_cache(plan: Plan, seed: int) -> None:
    """Entries, suspects and dates that are held over many days change what the cached actions start from."""
    entries = lived(plan, 12, seed, luck=0.6)
    as_of = plan.start + timedelta(days=12)
    cached = schedule(plan, entries, as_of)
    with pytest.MonkeyPatch.context() as patched:
        for module in (scheduling, way):
            patched.setattr(module, "context_for", forgetful)
        patched.setattr(way, "context_from", forgetful_from)
        fresh = schedule(plan, entries, as_of)
    assert cached.tasks == fresh.tasks
    assert [task.reason for task in cached.tasks] == [task.reason for task in fresh.tasks]
    assert cached.simulation == fresh.simulation
    assert (cached.warnings, cached.bottles) == (fresh.warnings, fresh.bottles)
