"""Every way to choose the dates of a small plan, and the calendar of fixed intervals, to hold a search against."""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import date, timedelta
from itertools import product

from made_plans import START, example_plan, example_vessel

from greenrota.rota.forecast import Forecast, forecast
from greenrota.rota.plan import Away, Plan, Tank, Work
from greenrota.rota.score import Judge
from greenrota.rota.setting import Setting
from greenrota.rota.standpoint import Standpoint
from greenrota.rota.visit import Wishes

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


def every_rota(setting: Setting, standpoint: Standpoint) -> Iterator[float]:
    """The score of every rota there is: all start days times all harvest days, one walk each."""
    judge = Judge(setting, standpoint, Wishes())
    options = forecast(setting, standpoint, Wishes()).start_options
    stack = [Wishes({}, dict(zip(options, days, strict=True))) for days in product(*options.values())]
    while stack:
        wishes = stack.pop()
        walked = forecast(setting, standpoint, wishes)
        undecided = [
            choice
            for choice in walked.choices
            if len(choice.options) > 1 and choice.batch.id not in wishes.harvests
        ]
        if not undecided:
            yield judge.score(walked).total
            continue
        choice = undecided[0]
        stack += [Wishes({**wishes.harvests, choice.batch.id: day}, wishes.starts) for day in choice.options]


def fixed_intervals(setting: Setting, standpoint: Standpoint) -> Forecast:
    """The walk of a wall calendar: every vessel is harvested as soon as the usual number of days has passed.

    Where that day is not possible the nearest later one is taken, else the nearest earlier one.
    """
    wishes = Wishes()
    walked = forecast(setting, standpoint, wishes)
    for _ in range(60):
        harvests: dict[str, date] = {}
        for choice in walked.choices:
            if choice.options:
                due = choice.batch.started + timedelta(days=setting.cycles[choice.batch.vessel].days)
                later = [day for day in choice.options if day >= due]
                harvests[choice.batch.id] = later[0] if later else choice.options[-1]
        if harvests == wishes.harvests:
            break
        wishes = Wishes(harvests)
        walked = forecast(setting, standpoint, wishes)
    return walked
