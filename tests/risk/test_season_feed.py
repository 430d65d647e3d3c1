"""Feed is told apart by kinds where diets bind strains. Truths derived by hand."""

from dataclasses import replace
from datetime import timedelta

import pytest
from made_plans import START, example_plan, example_vessel

from greenrota.culture.data.strain import strains
from greenrota.risk.feeding import kinds_of
from greenrota.risk.hazard import danger_for, scaled
from greenrota.risk.season import play
from greenrota.risk.size import rough_rota
from greenrota.risk.timetable import timetable
from greenrota.rota.feed.daily import daily_rations
from greenrota.rota.feed.rations import Want
from greenrota.rota.plan import Diet, Starter, Tank

TWO = ("isochrysis", "tetraselmis")
PLAN = example_plan(
    strains={name: strains()[name] for name in TWO},
    vessels=tuple(example_vessel(f"jar {n}", strain=TWO[n % 2]) for n in range(4)),
    starters=tuple(Starter(s, s, 500.0, 2e6, START - timedelta(days=2)) for s in TWO),
    tank=Tank(300.0, 1200.0, 6),
    days=70,
)


def want(*suited: str) -> Want:
    return Want("somebody", frozenset(suited) or None, 100.0, False, 1e6, ramp=False)


@pytest.mark.parametrize(
    ("claims", "kinds"),
    [
        ([], [0, 1, 2, 3]),
        ([want()], [0, 0, 0, 0]),
        ([want("a"), want("c")], [0, 1, 2, 3]),
        ([want("b", "d")], [0, 1, 2, 1]),
        ([want("a", "b"), want("c", "d"), want("b", "c")], [0, 0, 0, 0]),
        ([want("c", "d"), want("a", "d")], [0, 1, 0, 0]),
        ([want("elsewhere")], [0, 1, 2, 3]),
    ],
)
def test_strains_one_claim_may_take_for_each_other_are_one_kind(claims: list[Want], kinds: list[int]) -> None:
    assert list(kinds_of("abcd", claims).values()) == kinds


def calm_short_days(diet: Diet) -> tuple[int, int]:
    """Short days of a season without mishaps, and of the ledger of the same rota."""
    assert PLAN.tank is not None
    plan = replace(PLAN, tank=replace(PLAN.tank, diet=diet))
    rota = rough_rota(plan)
    table = timetable(rota)
    book = daily_rations(plan, rota.simulation.state.harvests, rota.through)
    short = sum(day.short_ml > 0.0 for day in book.days[table.first_feed :])
    return int(play(table, scaled(danger_for(None), 0.0), 1, seed=1).short_days[0]), short


@pytest.mark.parametrize("one", TWO)
def test_half_the_vessels_feed_who_takes_one_strain(one: str) -> None:
    """Who takes any strain is fed by all four jars; bound to one strain by two, and is short far more often."""
    (any_strain, by_ledger), (bound, bound_by_ledger) = calm_short_days(Diet()), calm_short_days(Diet((one,)))
    assert (any_strain, bound) == (by_ledger, bound_by_ledger)
    assert bound > any_strain + 5
