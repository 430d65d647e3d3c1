"""Chances against exact results that no simulation went into: binomial survival and Markov chains of small shelves."""

import itertools
import math
from dataclasses import replace

import numpy as np
import pytest
from made_plans import example_plan, example_vessel

from greenrota.culture.data.strain import strains
from greenrota.risk import size
from greenrota.risk.hazard import Danger, danger_for, scaled
from greenrota.risk.season import play
from greenrota.risk.size import rough_rota
from greenrota.risk.timetable import timetable
from greenrota.rota.plan import CyclePlan, Plan, Tank

SEASONS = 40_000
SIGMAS = 4.0  # binomial standard deviations: wrong once in 16,000 by chance
P = 0.08


def crash_only(chance: float) -> Danger:
    return replace(scaled(danger_for(None), 0.0), crash=chance)


def quick_plan(number: int, days: int, cycle: CyclePlan, **changes: object) -> Plan:
    """Cultures that are dense a day or two after any start, so that ages alone decide who may give."""
    quick = replace(strains()["tetraselmis"], rate_per_day=5.0)
    vessels = tuple(example_vessel(name) for name in ("north", "south", "west")[:number])
    return example_plan(strains={"tetraselmis": quick}, vessels=vessels, days=days, cycle=cycle, **changes)


def near(found: float, exact: float, n: int = SEASONS) -> bool:
    return abs(found - exact) <= SIGMAS * math.sqrt(exact * (1.0 - exact) / n)


def test_one_vessel_without_back_up_survives_binomially() -> None:
    """Truth derived by hand: started on day 0, it lives through the nights before days 1 to d - 1, each with 1 - p."""
    days = 25
    plan = quick_plan(1, days, CyclePlan(inoculum=0.07, days=90))
    played = play(timetable(rough_rota(plan), backup=False), crash_only(P), SEASONS, seed=3)
    assert near(float(played.lost.mean()), 1.0 - (1.0 - P) ** (days - 1))


def two_vessel_chain(days: int, second_start: int, nights: tuple[int, int, int], p: float) -> float:
    """Chance that both vessels are empty at once, by a transition matrix over what both still lack.

    A number is the nights until a vessel is ripe and may give, "w" is empty and waiting, "n" not started yet. `nights`
    are those of the first filling, of the second one and of a restart.
    """
    ages = (0, *range(1, max(nights) + 1), "w", "n")
    states = list(itertools.product(ages, ages))
    chance = np.zeros(len(states))
    chance[states.index((nights[0], "n"))] = 1.0
    lost = 0.0
    for day in range(1, days):
        step = np.zeros((len(states), len(states)))
        gone = np.zeros(len(states))
        for at, state in enumerate(states):
            for falls in itertools.product((False, True), repeat=2):
                after, weight = [], 1.0
                for age, fall in zip(state, falls, strict=True):
                    if age in ("w", "n"):
                        weight *= 0.0 if fall else 1.0
                        after.append(age)
                    else:
                        weight *= p if fall else 1.0 - p
                        after.append("died" if fall else max(0, age - 1))
                if weight == 0.0:
                    continue
                if all(age in ("w", "died") for age in after):
                    gone[at] += weight
                    continue
                evening = [
                    nights[1]
                    if age == "n" and day == second_start
                    else nights[2]
                    if age == "w" and after[1 - place] == 0
                    else "w"
                    if age == "died"
                    else age
                    for place, age in enumerate(after)
                ]
                step[at, states.index(tuple(evening))] += weight
        lost += float(chance @ gone)
        chance = chance @ step
    assert math.isclose(lost + chance.sum(), 1.0, rel_tol=1e-12)
    return lost


def test_two_vessels_that_restart_each_other_follow_their_markov_chain(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(size, "SEARCH_BATCHES", 0)  # both are started, a cycle apart, by the rule alone
    days = 30
    plan = quick_plan(2, days, CyclePlan(inoculum=0.07, days=36))  # no harvest within the horizon
    rota = rough_rota(plan)
    starts = {v.batch.vessel: (v.on - rota.as_of).days for v in rota.simulation.events if v.kind == "start"}
    assert starts["north"] == 0
    table = timetable(rota, backup=False)
    played = play(table, crash_only(P), SEASONS, seed=4)
    first, second = (steps[0].z for steps in table.planned if steps)
    again = table.places.fill_ml[0] * table.places.top_per_ml[0] / table.places.goal_cells[0] - 1.0
    # by hand: z shrinks by exp(-rate) a night, and 1 / 0.80 - 1 is ripe
    nights = [math.ceil(math.log(z / 0.25) / table.places.rate_per_day[0]) for z in (first, second, again)]
    exact = two_vessel_chain(days, starts["south"], (nights[0], nights[1], nights[2]), P)
    assert 0.05 < exact < 0.95
    assert near(float(played.lost.mean()), exact)


def test_short_days_of_one_vessel_follow_from_the_night_it_dies() -> None:
    """Truth derived by hand: a harvest every 4 days feeds exactly 4 days; after the last one the rest goes short."""
    days, every, keep = 22, 4, 0.25
    ration = (1.0 - keep) * 4000.0 / every
    plan = quick_plan(
        1, days, CyclePlan(inoculum=keep, days=every, renew_after=100), tank=Tank(300.0, ration, 30)
    )
    rota = rough_rota(plan)
    table = timetable(rota, backup=False)
    harvests = [(v.on - rota.as_of).days for v in rota.simulation.events if v.kind == "harvest"]
    assert harvests == [4, 8, 12, 16, 20]
    played = play(table, crash_only(P), SEASONS, seed=5)
    weights = {night: P * (1.0 - P) ** (night - 1) for night in range(1, days)}
    short = {night: days - every * (1 + max(0, (night - 1) // every)) for night in weights}
    short = {night: max(0, min(left, days - every)) for night, left in short.items()}
    mean = sum(weights[night] * short[night] for night in weights)
    square = sum(weights[night] * short[night] ** 2 for night in weights)
    assert near(float((played.short_days > 0).mean()), sum(w for n, w in weights.items() if short[n] > 0))
    reach = SIGMAS * math.sqrt((square - mean**2) / SEASONS)
    assert abs(float(played.short_days.mean()) - mean) <= reach


def test_common_causes_hit_vessels_together() -> None:
    """Truth derived by hand: with one blow a night that kills all, the shelf is empty after the first night."""
    plan = quick_plan(2, 10, CyclePlan(inoculum=0.07, days=90))
    calm = scaled(danger_for(None), 0.0)
    power, heat, air = calm.blows
    every_night = replace(calm, blows=(replace(power, per_day=0.1, loss_share=1.0), heat, air))
    played = play(timetable(rough_rota(plan), backup=False), every_night, SEASONS, seed=6)
    both = (played.losses[3] > 0).mean()
    assert near(float(both), 1.0 - 0.9**9)
