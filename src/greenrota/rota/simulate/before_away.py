"""Before days away: how a batch is re-seeded so that it is not over-ripe when somebody is back.

In order: the usual carry-over if it lasts; a thinner one, though none that is a thin start; shorter light; at last the
fridge. An earlier harvest is up to the search, which moves the dates.
"""

from collections.abc import Iterator
from datetime import date
from typing import NamedTuple

from greenrota.culture.growth.broth import ML_PER_L, Broth
from greenrota.rota.plan import Away, Plan
from greenrota.rota.simulate.context import Context
from greenrota.rota.simulate.projection import harvest_days, over_ripe_on, project
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.cycle import Cycle
from greenrota.rota.state.opendays import DAY
from greenrota.rota.state.seeding import least_inoculum_ml

LEAVING_DAYS = 7  # before days away, in which a fresh back-up is filled; our choice
LONG_DAYS = 3  # away, from which on that is done; our choice
THIN_STEP = 0.05  # by which the carry-over is lowered; our choice
THINNEST_SHARE = 0.05  # of the fill, and never so little that it is a thin start; our choice
DIM_STEP_H = 2.0  # by which the light is shortened; our choice
DIMMEST_H = (
    6.0  # hours of light a culture is left with at least; our choice, Minggat 2021 has C. muelleri at 6 h
)


class Reseeding(NamedTuple):
    """What is done with a batch at its harvest before days away.

    `keep_l` stays in the vessel; `light_h` is the light until the next harvest (None: as usual); `park` empties the
    vessel, with a bottle in the fridge, until somebody is back. `away` are the days it is for; None: it is as usual.
    `in_vain`: it will be over-ripe all the same.
    """

    keep_l: float
    light_h: float | None = None
    park: bool = False
    away: Away | None = None
    in_vain: bool = False


def leaving_on(plan: Plan, on: date) -> date | None:
    """The first of the long days away that begin within a week; None if there are none."""
    for gone in plan.away:
        if 0 < (gone.first - on).days <= LEAVING_DAYS and (gone.last - gone.first).days + 1 >= LONG_DAYS:
            return gone.first
    return None


def reseeding(
    context: Context, bench: Bench, broth: Broth, keep_l: float, on: date, spared: bool
) -> Reseeding:
    """How to re-seed a vessel on a day; `broth` is what stands in it, `keep_l` the usual carry-over.

    `spared` is False for the last living vessel of its strain, which is never emptied. Pinned cycles are left alone.
    """
    usual = Reseeding(keep_l)
    cycle = context.cycles[bench.vessel.name]
    if cycle.pinned_days is not None:
        return usual
    gone = _overrun(context, bench, cycle, broth, usual, on)
    if gone is None:
        return usual
    for option in _ways(bench, keep_l, gone, broth.density_per_ml):
        if _overrun(context, bench, cycle, broth, option, on) is None:
            return option
    if spared:
        return Reseeding(0.0, park=True, away=gone)
    return list(_ways(bench, keep_l, gone, broth.density_per_ml))[-1]._replace(in_vain=True)


def _ways(bench: Bench, keep_l: float, gone: Away, density_per_ml: float) -> Iterator[Reseeding]:
    """Thinner and thinner carry-overs, then the thinnest in a shorter and shorter light.

    The thinnest still starts above the least share of the ceiling that is worth starting at.
    """
    fill_l = bench.vessel.fill_l
    share = keep_l / fill_l
    thinnest = max(THINNEST_SHARE, least_inoculum_ml(bench, density_per_ml) / ML_PER_L / fill_l)
    while share - THIN_STEP >= thinnest - 1e-9:
        share -= THIN_STEP
        yield Reseeding(share * fill_l, away=gone)
    light_h = bench.vessel.photoperiod_h
    while light_h - DIM_STEP_H >= DIMMEST_H:
        light_h -= DIM_STEP_H
        yield Reseeding(share * fill_l, light_h, away=gone)


def _overrun(
    context: Context, bench: Bench, cycle: Cycle, broth: Broth, way: Reseeding, on: date
) -> Away | None:
    """The days away in which the re-seeded batch would become over-ripe with no open day before; None if none."""
    kept = broth._replace(volume_l=min(way.keep_l, broth.volume_l))
    fresh, place = bench.topped_up(kept, bench.vessel.fill_l - kept.volume_l), bench.lit(way.light_h)
    over_on, through = over_ripe_on(place, cycle, fresh, on, context.open_days), context.horizon(on)
    if over_on is None or over_on > through:
        return None
    gone = next((each for each in context.plan.away if on < each.last and each.first <= over_on), None)
    if gone is None:
        return None
    projection = project(place, cycle, fresh, on, on, False, context.open_days)
    days = harvest_days(projection, on + DAY, through, context.open_days)
    return None if any(day < over_on for day in days) else gone
