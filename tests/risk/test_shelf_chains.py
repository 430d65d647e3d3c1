"""Shelves of two and three vessels, with and without back-up, against the exact chances of `shelf_chain`."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from made_plans import example_plan, example_vessel
from shelf_chain import Bottle, Chain, Night, Ripening

from greenrota.culture.bench.inoculum import fridge_share_alive, lag_days, too_old
from greenrota.culture.data.strain import strains
from greenrota.logbook.entry import Entry, parse_line
from greenrota.risk.hazard import CAUSES, Danger, danger_for, scaled
from greenrota.risk.places import StoredBottle
from greenrota.risk.season import play
from greenrota.risk.timetable import StepKind, Timetable, timetable
from greenrota.rota.plan import CyclePlan, Starter
from greenrota.rota.schedule import schedule

SEASONS = 20_000
SIGMAS = 4.0  # standard deviations of the mean over the seasons: wrong once in 16,000 by chance
EVERY, KEEP, FRIDGE_DAYS = 4, 0.15, 20.0
RIPE_Z, MARGIN, THIN = (
    0.25,
    1.5,
    0.5,
)  # 1 / 0.80 - 1; a back-up in least inocula; a start that is better than none


def shelf(number: int, days: int, bottle_days: int | None, backup: bool) -> Timetable:
    """Vessels started together whose cultures are dense after a day or two, with a back-up so many days old."""
    quick = replace(strains()["tetraselmis"], rate_per_day=5.0, fridge_days=FRIDGE_DAYS)
    vessels = tuple(example_vessel(name) for name in ("north", "south", "west")[:number])
    plan = example_plan(
        strains={"tetraselmis": quick},
        vessels=vessels,
        days=days,
        cycle=CyclePlan(inoculum=KEEP, days=EVERY, renew_after=100),
        starters=(Starter("bought", "tetraselmis", 188.0 * number, 2e6, example_plan().start, 0.0),),
    )
    lines = [
        f"{plan.start} started {vessel.name} from=starter:bought inoculum=188mL n={n}"
        for n, vessel in enumerate(plan.vessels, 1)
    ]
    rota = schedule(plan, [each for line in lines if isinstance(each := parse_line(line), Entry)], plan.start)
    table = timetable(rota, backup=backup)
    if bottle_days is None:
        return table
    per_ml = float(table.places.top_per_ml[0])
    held_ml = MARGIN * float(table.places.least_cells[0]) / per_ml
    return table._replace(bottles=(StoredBottle(0, -bottle_days, held_ml, per_ml),))


def nights_until_ripe(table: Timetable, start_share: float, lag: float = 0.0) -> int:
    """By hand: z = ceiling / density - 1 shrinks by exp(-rate) a night once the lag is over."""
    rate = float(table.places.rate_per_day[0])
    return max(0, math.ceil((math.log((1.0 / start_share - 1.0) / RIPE_Z) + rate * lag) / rate))


def bottle_nights(table: Timetable) -> dict[int, int]:
    """By the age of a back-up: the nights until a vessel is ripe that gets all of it; no age that restarts none."""
    places = table.places
    share = MARGIN * float(places.least_cells[0] / (places.fill_ml[0] * places.top_per_ml[0]))
    assert share * places.fill_ml[0] * places.top_per_ml[0] < places.goal_cells[0]  # one restart takes all
    nights = {}
    for age in range(int(FRIDGE_DAYS) + 1):
        alive = fridge_share_alive(float(age), FRIDGE_DAYS)
        if not too_old(float(age), FRIDGE_DAYS) and MARGIN * alive >= THIN:
            nights[age] = nights_until_ripe(table, share * alive, lag_days(float(age), FRIDGE_DAYS))
    return nights


def chain_of(table: Timetable, night: Night) -> Chain:
    places = table.places
    assert {step.kind for steps in table.planned for step in steps} <= {StepKind.HARVEST}
    begun = 1.0 / (1.0 + float(table.first_day.z[0]))
    goal = float(places.goal_cells[0] / (places.fill_ml[0] * places.top_per_ml[0]))
    return Chain(
        harvests=tuple(tuple(step.row for step in steps) for steps in table.planned),
        vessels=len(places.names),
        every=EVERY,
        ripening=Ripening(
            begun=nights_until_ripe(table, begun),
            reseeded=nights_until_ripe(table, KEEP),
            refilled=nights_until_ripe(table, goal),
            bottle=bottle_nights(table),
        ),
        night=night,
        replaced_after=FRIDGE_DAYS / 2.0,
        bottle=Bottle(table.bottles[0].filled) if table.bottles else None,
        banks=table.backup,
    ).play()


def danger_of(night: Night) -> Danger:
    """The same chances as the package takes them; a contamination is as likely on every day after cleaning."""
    calm = scaled(danger_for(None), 0.0)
    blows = (
        replace(
            blow,
            per_day=night.blows.get(cause, (0.0, 0.0))[0],
            loss_share=night.blows.get(cause, (0.0, 0.0))[1],
        )
        for blow, cause in zip(calm.blows, CAUSES[3:], strict=True)
    )
    power, heat, air = blows
    return replace(
        calm,
        crash=night.crash,
        contamination=night.caught,
        fouling_days=math.inf,
        hidden_days=night.hidden_days,
        blows=(power, heat, air),
    )


CRASHES, POWER = Night(crash=0.25), Night(crash=0.05, blows={"power cut": (0.2, 0.6)})
HEAT = Night(blows={"heat wave": (0.25, 0.7)})
CAUGHT, SOON = Night(0.06, 0.12, hidden_days=4), Night(0.15, 0.2, hidden_days=2)
ALL = Night(0.1, 0.05, {"power cut": (0.08, 0.5), "heat wave": (0.1, 0.6), "forgotten air": (0.06, 0.4)}, 4)
NONE, STANDS, HARVESTS, BOTH = (
    (None, False),
    (2, False),
    (None, True),
    (8, True),
)  # age of the bottle, filled again
SHELVES = {
    "2, crashes": (2, 21, CRASHES, NONE),
    "2, crashes, a bottle": (2, 21, CRASHES, STANDS),
    "2, crashes, back-ups": (2, 21, CRASHES, BOTH),
    "3, crashes": (3, 17, CRASHES, NONE),
    "3, crashes, back-ups": (3, 14, CRASHES, HARVESTS),
    "2, contaminations": (2, 21, CAUGHT, NONE),
    "2, contaminations, back-ups": (2, 13, CAUGHT, BOTH),
    "3, contaminations": (3, 8, SOON, NONE),
    "3, contaminations, back-ups": (3, 8, SOON, HARVESTS),
    "2, power cuts, back-ups": (2, 21, POWER, HARVESTS),
    "3, power cuts, back-ups": (3, 10, POWER, BOTH),
    "2, heat, back-ups": (2, 21, HEAT, BOTH),
    "3, heat, back-ups": (3, 11, HEAT, HARVESTS),
    "2, all, back-ups": (2, 11, ALL, HARVESTS),
}


@pytest.mark.parametrize("name", SHELVES)
def test_a_shelf_follows_its_exact_chances(name: str) -> None:
    number, days, night, (bottle_days, banks) = SHELVES[name]
    table = shelf(number, days, bottle_days, banks)
    exact = chain_of(table, night)
    played = play(table, danger_of(night), SEASONS, seed=number)
    assert exact.left_out < 1e-3 * exact.lost
    assert 0.01 < exact.lost < 0.99
    assert near(played.lost, exact.lost)
    assert {cause for cause, mean in exact.losses.items() if mean > 0.0} <= set(CAUSES)
    for place, cause in enumerate(CAUSES):
        assert near(played.losses[place], exact.losses[cause]), cause


def test_a_vessel_catches_more_the_longer_ago_it_was_cleaned() -> None:
    """By hand: what is caught in the night before day t, with c (1 + t / T), is the end h days later."""
    days, per_day, doubled_after, hidden = 21, 0.01, 5.0, 3
    calm = scaled(danger_for(None), 0.0)
    fouling = replace(calm, contamination=per_day, fouling_days=doubled_after, hidden_days=hidden)
    played = play(shelf(1, days, None, False), fouling, SEASONS, seed=1)
    spared = math.prod(1.0 - per_day * (1.0 + day / doubled_after) for day in range(1, days - hidden))
    assert near(played.lost, 1.0 - spared)
    assert near(played.losses[2], 1.0 - spared)


def test_what_is_left_standing_dies_of_age() -> None:
    """By hand: over-ripe three days after 95 % of the ceiling; from then on each night is the last with a chance."""
    days, chance = 21, 0.05
    table = shelf(1, days, None, False)._replace(planned=((),) * days)  # nobody ever harvests it
    played = play(table, replace(scaled(danger_for(None), 0.0), over_ripe=chance), SEASONS, seed=1)
    rate, z = float(table.places.rate_per_day[0]), float(table.first_day.z[0])
    first = math.ceil(math.log(z / (1.0 / 0.95 - 1.0)) / rate + 3.0)
    assert near(played.losses[1], 1.0 - (1.0 - chance) ** (days - first))


def near(seen: np.ndarray, exact: float) -> bool:
    return abs(float(seen.mean()) - exact) <= SIGMAS * float(seen.std()) / math.sqrt(seen.size)
