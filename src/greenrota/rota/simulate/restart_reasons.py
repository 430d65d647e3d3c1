"""Reasons of restarts: where an inoculum comes from and why from there, said from the facts of that day alone."""

from __future__ import annotations

import math
from datetime import date, timedelta

from greenrota.culture.broth import days_to_share
from greenrota.rota.simulate.restarts import Day, Giver, givers, living_bottles
from greenrota.rota.state import donors
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.cycle import RIPE_SHARE
from greenrota.rota.state.donors import Source, Turn
from greenrota.rota.wording import numbered

ROUNDING_DAYS = 1e-9  # a culture ripe at midnight is ripe that day
FAR_DAYS = 3650.0  # our choice: what ripens in more than ten years does not ripen


def of_restart(day: Day, taker: Bench, turn: Turn, source: str) -> str:
    """Where the inoculum of a vessel comes from, and, for what is spared or unripe, why nothing better gives.

    To be asked before the inoculum is taken.
    """
    alive = givers(day, taker.strain.name)
    if turn.source in donors.BOTTLES:
        bottle = day.state.bottles[source]
        kind = "held-back starter" if turn.source is Source.STARTER else "fridge back-up"
        age = numbered((day.on - bottle.filled).days, "day")
        thin = "" if turn.least_share >= 1.0 else ", a thin start"
        return f"the {kind}, {age} old{thin}; {no_ripe_vessel(day, taker.strain.name, alive)}"
    giver = next(each for each in alive if each.culture.batch.id == source)
    grown = 1.0 / (1.0 + giver.z)
    share = f"{grown:.0%} of its ceiling"
    if turn.source is Source.HARVEST:
        return f"{source}, which is harvested that day at {share}"
    if turn.source is Source.RIPE:
        return f"{source}, ripe at {share}"
    share = f"{math.floor(grown * 100.0)}% of its ceiling"  # never rounded up to ripe
    return f"{source}, at {share}; {no_ripe_vessel(day, taker.strain.name, alive)}; {_no_bottle(day, taker)}"


def no_ripe_vessel(day: Day, strain: str, alive: list[Giver]) -> str:
    """Why no vessel of the strain gives as a harvest or a ripe one would; `alive` are those that are not suspect."""
    if not alive:
        standing = [
            name
            for name in day.state.cultures
            if name in day.benches and day.benches[name].strain.name == strain
        ]
        if not standing:
            return f"no other vessel of {strain} lives"
        return f"every other vessel of {strain} is suspect"
    if any(giver.harvested or giver.z <= donors.RIPE_Z for giver in alive):
        return f"no harvest or ripe vessel of {strain} spares enough that day"
    ripe_on = min((on for on in (_ripe_on(giver, day.on) for giver in alive) if on is not None), default=None)
    if ripe_on is None:
        return f"no vessel of {strain} is getting ripe"
    return f"no vessel of {strain} is ripe before {ripe_on}"


def _no_bottle(day: Day, taker: Bench) -> str:
    strain = taker.strain.name
    if any(living_bottles(day, strain, source) for source in donors.BOTTLES):
        return f"no bottle of {strain} holds enough for a good start"
    return f"no bottle of {strain} that may give is in the fridge"


def _ripe_on(giver: Giver, on: date) -> date | None:
    """The first day on which a vessel is ripe if it is left as it stands; None if that is not in sight."""
    bench = giver.bench.lit(giver.culture.light_h)
    broth = giver.culture.broth
    days = days_to_share(broth, RIPE_SHARE, bench.ceiling(broth).per_ml, bench.rate_per_day)
    if days > FAR_DAYS:
        return None
    try:
        return on + timedelta(days=math.ceil(days - ROUNDING_DAYS))
    except OverflowError:
        return None
