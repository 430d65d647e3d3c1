"""Harvest: what the plan does on its dates, and what is done to vessels that have left them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from greenrota.risk.places import Floats, Shorts
from greenrota.risk.rack import NEVER, Rack, Where
from greenrota.risk.timetable import Planned, StepKind
from greenrota.rota.state.donors import RIPE_Z

_EARLY = (StepKind.START, StepKind.FEED)  # what comes before the restarts of a day


def start_day(rack: Rack, steps: tuple[Planned, ...], day: int) -> None:
    """First fillings and second doses that are planned, in every season in which their vessel is on its dates.

    What is harvested that day gets the density that was planned for it.
    """
    for step in steps:
        on = (~rack.off[step.row]).nonzero()[0]
        if step.kind is StepKind.START:
            _fill(rack, step, on, day)
        elif step.kind is StepKind.FEED:
            rack.z[step.row][on] = step.z
        elif step.z_before is not None:
            rack.z[step.row][on] = step.z_before
        if step.kind in _EARLY:
            rack.plan_top_per_ml[step.row] = step.top_per_ml


def harvest_planned(rack: Rack, steps: tuple[Planned, ...], day: int) -> None:
    """The planned harvests, with what they give to first fillings, where their vessel is still on its dates."""
    for step in steps:
        if step.kind in _EARLY:
            continue
        on = (~rack.off[step.row]).nonzero()[0]
        if step.kind is StepKind.GIFT:
            _fill_from_other(rack, step, on, day)
        else:
            _harvest_row(rack, step, on, day)
        if step.kind is not StepKind.RENEW:
            rack.plan_top_per_ml[step.row] = step.top_per_ml


def mark_due(rack: Rack, day: int) -> None:
    """Mark what is harvested today off the planned dates: what is ripe, or stands on the pinned day of its batch."""
    pinned = rack.plan.pinned_days
    if pinned is None:
        np.less_equal(rack.z, RIPE_Z, out=rack.due)
    else:
        np.less_equal(rack.since, day - pinned, out=rack.due)
    np.logical_and(rack.due, rack.off, out=rack.due)


def harvest_due(rack: Rack, day: int) -> None:
    """Harvest what `mark_due` has marked."""
    at = rack.due.ravel().nonzero()[0]
    if at.size:
        _harvest(rack, at, day)


def _fill(rack: Rack, step: Planned, on: Where, day: int) -> None:
    rack.z[step.row][on] = step.z
    rack.since[step.row][on] = day
    rack.cleaned[step.row][on] = day
    rack.reseeds[step.row][on] = 0


def _fill_from_other(rack: Rack, step: Planned, on: Where, day: int) -> None:
    """A first filling from another vessel; where that has died or left its dates, the taker waits for any donor."""
    giver = step.donor
    gives = ~rack.off[giver][on] & np.isfinite(rack.z[giver][on]) & ~rack.suspect[giver][on]
    served, left = on[gives], on[~gives]
    _fill(rack, step, served, day)
    rack.given_ml[giver][served] += step.gift_ml
    row_start = step.row * rack.seasons
    sick = served[rack.seen_on[giver][served] != NEVER]
    rack.outbreak[step.row][sick] = rack.outbreak[giver][sick]
    rack.carry(row_start + sick, day)
    rack.off[step.row][left] = True
    rack.broken_down[step.row][left] = True  # nothing was lost in it
    rack.waiting = np.concatenate([rack.waiting, row_start + left])


def _harvest_row(rack: Rack, step: Planned, on: Where, day: int) -> None:
    """The planned harvest of a vessel in the seasons `on`, all of the same density."""
    row, places = step.row, rack.plan.places
    renewing = step.kind is StepKind.RENEW
    strain = places.strain[row]
    due = rack.bottle_day[strain] <= day - rack.plan.strains.refresh_days[strain]
    if rack.some_drawn:
        drawn = rack.bottle_drawn[strain].nonzero()[0]
        due[drawn] |= _used_up(rack, np.full(drawn.size, strain), drawn, day)
    if renewing:
        due |= _standing(np.isfinite(rack.z[places.strain == strain])) <= 1
    due &= ~rack.off[row]
    due &= ~rack.suspect[row]
    season = due.nonzero()[0]
    if season.size:
        _bank(rack, row * rack.seasons + season, np.full(season.size, step.kept_ml), day)
    given_ml = rack.given_ml[row]
    if places.feeds[row]:
        poured_ml = np.subtract(places.fill_ml[row] - step.kept_ml, given_ml)
        np.maximum(poured_ml, 0.0, out=poured_ml)
        poured_ml *= ~rack.off[row]
        rack.harvest_ml[rack.plan.feeding.kind[row]] += poured_ml
    given_ml[on] = 0.0
    if renewing:
        rack.empty(row * rack.seasons + on, on_plan=True)
        return
    rack.z[row][on] = step.z
    rack.since[row][on] = day
    rack.reseeds[row] += ~rack.off[row]


def _standing(lives: NDArray[np.bool_]) -> NDArray[np.int16]:
    """How many of the vessels (vessel, season) live, by season; row by row, which costs least."""
    number = np.zeros(lives.shape[1], np.int16)
    for row in lives:
        number += row
    return number


def _harvest(rack: Rack, at: Where, day: int) -> None:
    """Harvest single vessels of single seasons by the same rule as a planned row."""
    row, season = rack.split(at)
    reseeds, z, given_ml = rack.reseeds.ravel(), rack.z.ravel(), rack.given_ml.ravel()
    renewing = reseeds[at] >= rack.renew_after[row]
    ends = renewing.nonzero()[0]
    due = rack.bottle_day.ravel()[rack.bottle_row[row] + season] <= day - rack.refresh_days[row]
    if rack.some_drawn:
        drawn = rack.bottle_drawn.ravel()[rack.bottle_row[row] + season].nonzero()[0]
        due[drawn] |= _used_up(rack, rack.plan.places.strain[row[drawn]], season[drawn], day)
    if ends.size:
        last_stand = ends[~due[ends]]
        due[last_stand] = _alone(rack, row[last_stand], season[last_stand])
    due &= ~rack.suspect.ravel()[at]
    banks = due.nonzero()[0]
    if banks.size:
        kept_ml = np.where(renewing[banks], 0.0, rack.kept_ml[row[banks]])
        _bank_first(rack, at[banks], kept_ml, day)
    poured_ml = rack.spare_of[row] - given_ml[at]
    if ends.size:
        poured_ml[ends] += rack.kept_ml[row[ends]]
        rack.empty(at[ends], on_plan=True)
    np.maximum(poured_ml, 0.0, out=poured_ml)
    if rack.standby:
        poured_ml *= rack.feeds[row]
    np.add.at(rack.harvest_ml.ravel(), rack.kind_row[row] + season, poured_ml)
    given_ml[at] = 0.0
    if ends.size:
        goes_on = (~renewing).nonzero()[0]
        at, row = at[goes_on], row[goes_on]
    z[at] = (z[at] + 1.0) / rack.keep_share[row] - 1.0
    rack.since.ravel()[at] = day
    reseeds[at] += 1


def _used_up(rack: Rack, strain: Shorts, season: Where, day: int) -> NDArray[np.bool_]:
    """Whether too little is left in back-ups that were drawn from to restart the vessel that needs least."""
    cells = rack.bottle_ml[strain, season] * rack.bottle_per_ml[strain, season]
    alive = rack.alive(strain, day - rack.bottle_day[strain, season])
    too_little: NDArray[np.bool_] = cells * alive < rack.least_need[strain]
    return too_little


def _alone(rack: Rack, row: Where, season: Where) -> NDArray[np.bool_]:
    """Whether no other vessel of the strain lives beside each of these."""
    lives = np.isfinite(rack.z.take(season, axis=1))
    if rack.mixed:
        strain = rack.plan.places.strain
        lives &= strain[:, None] == strain[row]
    alone: NDArray[np.bool_] = _standing(lives) <= 1
    return alone


def _bank_first(rack: Rack, at: Where, kept_ml: Floats, day: int) -> None:
    """Fill back-ups that are due, one vessel of a strain and season after the other until one has enough."""
    while at.size:
        row, season = rack.split(at)
        bottle = rack.bottle_row[row] + season
        first = first_of_each(bottle, rack.bottle_day.size)
        _bank(rack, at[first], kept_ml[first], day)
        rest = (~first & (rack.bottle_day.ravel()[bottle] != day)).nonzero()[0]
        at, kept_ml = at[rest], kept_ml[rest]


def _bank(rack: Rack, at: Where, kept_ml: Floats, day: int) -> None:
    """Fill a back-up from harvests, if they hold enough; it takes the place of the old one."""
    if not rack.plan.backup:
        return
    row, season = rack.split(at)
    given = rack.given_ml.ravel()
    density = rack.per_ml(at, row)
    volume_ml = np.minimum(rack.bank_cells[row] / density, rack.plan.most_backup_ml)
    enough = (volume_ml <= rack.fill_ml[row] - kept_ml - given[at]).nonzero()[0]
    at, volume_ml = at[enough], volume_ml[enough]
    given[at] += volume_ml
    bottle = rack.bottle_row[row[enough]] + season[enough]
    rack.bottle_ml.ravel()[bottle] = volume_ml
    rack.bottle_per_ml.ravel()[bottle] = density[enough]
    rack.bottle_day.ravel()[bottle] = day
    rack.bottle_outbreak.ravel()[bottle] = rack.outbreak.ravel()[at]
    rack.bottle_drawn.ravel()[bottle] = False


def first_of_each(number: Where, numbers: int) -> NDArray[np.bool_]:
    """Marks the first place of each number (0 .. numbers - 1).

    >>> first_of_each(np.array([4, 2, 4]), 5).tolist()
    [True, True, False]
    """
    owner = np.empty(numbers, np.intp)
    places = np.arange(number.size)
    owner[number[::-1]] = places[::-1]
    first: NDArray[np.bool_] = owner[number] == places
    return first
