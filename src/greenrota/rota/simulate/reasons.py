"""Reasons: why a task stands where it stands, in one line each."""

from __future__ import annotations

from datetime import date

from greenrota.culture.broth import Broth
from greenrota.rota.simulate.projection import Projection
from greenrota.rota.state.bench import Bench

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
