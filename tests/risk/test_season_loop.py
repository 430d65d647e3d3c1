"""Seasons against the same rules in a plain loop, season by season under the same luck, for plans of every shape."""

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest
from made_plans import START, example_plan, example_vessel
from season_loop import Loop

from greenrota.culture.data.strain import strains
from greenrota.risk.hazard import danger_for, scaled
from greenrota.risk.luck import Luck, share
from greenrota.risk.season import play
from greenrota.risk.size import rough_rota
from greenrota.risk.states import NEVER
from greenrota.risk.timetable import timetable
from greenrota.rota.plan import Away, Consumer, CyclePlan, Diet, Plan, Starter, Tank, Work

SEASONS = 60
NAMES = ("north", "south", "east", "west", "upper", "lower")
TANK = Tank(300.0, 300.0, 6)


def shelf(number: int, **changes: object) -> Plan:
    vessels = tuple(example_vessel(name) for name in NAMES[:number])
    return example_plan(**{"vessels": vessels, "tank": TANK, "days": 70, **changes})


TWO = {name: strains()[name] for name in ("tetraselmis", "isochrysis")}
BOTH = shelf(
    4,
    strains=TWO,
    vessels=tuple(example_vessel(n, strain=s) for n, s in zip(NAMES, (*TWO, *TWO), strict=False)),
    starters=tuple(Starter(s, s, 500.0, 2e6, START - timedelta(days=2)) for s in TWO),
)
PLANS = {
    "one": shelf(1),
    "two": shelf(2),
    "six": shelf(6),
    "renewed often": shelf(3, cycle=CyclePlan(renew_after=2)),
    "pinned": shelf(3, cycle=CyclePlan(inoculum=0.2, days=8)),
    "weekends": shelf(4, work=Work(frozenset({5, 6}))),
    "away": shelf(4, away=(Away(START + timedelta(days=20), START + timedelta(days=30)),)),
    "odd sizes": shelf(
        4,
        vessels=tuple(example_vessel(n, fill_l=f) for n, f in zip(NAMES, (4.0, 1.5, 2.0, 3.0), strict=False)),
    ),
    "standby": shelf(3, vessels=(*shelf(2).vessels, example_vessel("reserve", role="standby"))),
    "two strains": BOTH,
    "bound strains": replace(
        BOTH,
        tank=replace(TANK, diet=Diet(shares=(("tetraselmis", 0.75), ("isochrysis", 0.25))), ramp=True),
        consumers=(Consumer("copepods", 40.0, diet=Diet(any_of=("isochrysis",))),),
    ),
}


@pytest.mark.parametrize("backup", [True, False])
@pytest.mark.parametrize("name", PLANS)
def test_every_season_is_that_of_the_plain_loop(name: str, backup: bool) -> None:
    table = timetable(rough_rota(PLANS[name]), backup=backup)
    danger = scaled(danger_for(None), 6.0)  # enough mishaps that every rule is met
    played = play(table, danger, SEASONS, seed=5)
    luck = Luck(5, 0, SEASONS, len(table.places.names))
    vessels = len(table.places.names)
    drawn = [(np.zeros(SEASONS), np.zeros((vessels, SEASONS)))]
    for _ in range(table.days - 1):
        on_shelf, in_vessels = luck.draw()
        drawn.append((share(on_shelf), share(in_vessels)))
    for season in range(SEASONS):
        loop = Loop(table, danger)
        loop.play([float(s[season]) for s, _ in drawn], [v[:, season].tolist() for _, v in drawn])
        assert loop.losses == played.losses[:, season].tolist(), season
        assert loop.short_days == played.short_days[season], season
        lost_on = [loop.lost_on.get(n, NEVER) for n in range(len(table.strains.names))]
        assert lost_on == played.lost_on[:, season].tolist(), season


def test_a_calm_season_is_the_forecast_itself() -> None:
    """No hazard: every day's feed is what the ledger of the rota reckons, so the short days agree too."""
    from greenrota.rota.feed.daily import daily_rations

    for name in ("one", "two", "six", "renewed often", "pinned", "weekends", "standby", "bound strains"):
        plan = PLANS[name]
        assert plan.tank is not None
        plan = replace(plan, tank=replace(plan.tank, ration_ml_per_day=700.0))
        rota = rough_rota(plan)
        table = timetable(rota)
        book = daily_rations(plan, rota.simulation.state.harvests, rota.through)
        short = [day.short_ml > 0.0 for day in book.days]
        calm = play(table, scaled(danger_for(None), 0.0), 3, seed=1)
        assert calm.losses.sum() == 0
        assert calm.short_days.tolist() == [sum(short[table.first_feed :])] * 3, name
        assert not calm.lost.any()
