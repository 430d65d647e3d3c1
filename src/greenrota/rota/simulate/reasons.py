"""Reasons: why a task is done as it is, in one line each, worded from the facts of the simulation."""

from __future__ import annotations

import math
from datetime import date, timedelta

from greenrota.culture.broth import Broth, days_to_share
from greenrota.rota.simulate.projection import Projection
from greenrota.rota.simulate.restarts import Day, Giver, givers, living_bottles
from greenrota.rota.state import donors
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.cycle import RIPE_SHARE
from greenrota.rota.state.donors import Source, Turn
from greenrota.rota.wording import numbered

ROUNDING_DAYS = 1e-9  # a culture ripe at midnight is ripe that day
FAR_DAYS = 3650.0  # our choice: what ripens in more than ten years does not ripen
OF_SUSPECT = "; it is suspect: give none of it to any animal, pour it away unless it is cleared first"


def of_feed(bench: Bench, broth: Broth, gain: float) -> str:
    """What a second dose buys; `gain` is how much higher it lifts the ceiling."""
    by = bench.ceiling(broth).by
    if gain <= 0.0:
        return f"buys nothing, the ceiling is set by the {by}; given because the plan says so"
    return f"lifts the {by} ceiling by {gain:.0%}"


def of_harvest(bench: Bench, broth: Broth, projection: Projection, on: date, renewing: bool) -> str:
    """How ripe the culture is at its harvest, and what made it that day."""
    top = bench.ceiling(broth).per_ml
    share = broth.density_per_ml / top if top else 0.0
    reason = f"at {share:.0%} of its ceiling"
    if projection.pinned_on is not None:
        near = on == projection.pinned_on
        reason += ", on the day the plan sets" if near else ", as near as can be to the day the plan sets"
    elif projection.ripe_on is not None and on < projection.ripe_on:
        reason += f", before it is ripe on {projection.ripe_on}"
    elif projection.over_on is not None and on >= projection.over_on:
        reason += f", over-ripe since {projection.over_on}"
    return reason + ("; the whole vessel, for it is renewed" if renewing else "")


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
        living = [
            name
            for name in day.state.cultures
            if name in day.benches and day.benches[name].strain.name == strain
        ]
        if not living:
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
