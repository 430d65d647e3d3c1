"""Harvest: planned steps of vessels that are on the planned dates, and harvests of those that have left them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from greenrota.risk.places import Floats, Shorts
from greenrota.risk.states import NEVER, SeasonStates, Where
from greenrota.risk.timetable import Planned, StepKind
from greenrota.rota.state.donors import RIPE_Z

_EARLY = (StepKind.START, StepKind.FEED)  # what comes before the restarts of a day


def start_day(states: SeasonStates, steps: tuple[Planned, ...], day: int) -> None:
    """First fillings and second doses that are planned, in every season in which their vessel is on its dates.

    What is harvested that day gets the density that was planned for it.
    """
    for step in steps:
        if step.kind not in _EARLY and step.z_before is None:
            continue
        on = (~states.off[step.row]).nonzero()[0]
        if step.kind is StepKind.START:
            _fill(states, step, on, day)
        elif step.kind is StepKind.FEED:
            states.z[step.row][on] = step.z
        elif step.z_before is not None:
            states.z[step.row][on] = step.z_before
        if step.kind in _EARLY:
            states.plan_top_per_ml[step.row] = step.top_per_ml


def harvest_planned(states: SeasonStates, steps: tuple[Planned, ...], day: int) -> None:
    """The planned harvests, with what they give to first fillings, where their vessel is still on its dates."""
    for step in steps:
        if step.kind in _EARLY:
            continue
        on = (~states.off[step.row]).nonzero()[0]
        if step.kind is StepKind.GIFT:
            _fill_from_other(states, step, on, day)
        else:
            _harvest_row(states, step, on, day)
        if step.kind is not StepKind.RENEW:
            states.plan_top_per_ml[step.row] = step.top_per_ml


def mark_due(states: SeasonStates, day: int) -> None:
    """Mark what is harvested today off the planned dates: what is ripe, or stands on the pinned day of its batch."""
    pinned = states.plan.pinned_days
    if pinned is None:
        np.less_equal(states.z, RIPE_Z, out=states.due)
    else:
        np.less_equal(states.since, day - pinned, out=states.due)
    np.logical_and(states.due, states.off, out=states.due)


def harvest_due(states: SeasonStates, day: int) -> None:
    """Harvest what `mark_due` has marked."""
    at = states.due.ravel().nonzero()[0]
    if at.size:
        _harvest(states, at, day)


def _fill(states: SeasonStates, step: Planned, on: Where, day: int) -> None:
    states.z[step.row][on] = step.z
    states.since[step.row][on] = day
    states.cleaned[step.row][on] = day
    states.reseeds[step.row][on] = 0


def _fill_from_other(states: SeasonStates, step: Planned, on: Where, day: int) -> None:
    """A first filling from another vessel; where that has died or left its dates, the taker waits for any donor."""
    giver = step.donor
    gives = ~states.off[giver][on] & np.isfinite(states.z[giver][on]) & ~states.suspect[giver][on]
    served, left = on[gives], on[~gives]
    _fill(states, step, served, day)
    states.given_ml[giver][served] += step.gift_ml
    row_start = step.row * states.seasons
    sick = served[states.seen_on[giver][served] != NEVER]
    states.outbreak[step.row][sick] = states.outbreak[giver][sick]
    states.carry(row_start + sick, day)
    states.off[step.row][left] = True
    states.broken_down[step.row][left] = True  # nothing was lost in it
    states.waiting = np.concatenate([states.waiting, row_start + left])


def _harvest_row(states: SeasonStates, step: Planned, on: Where, day: int) -> None:
    """The planned harvest of a vessel in the seasons `on`, all of the same density."""
    row, places = step.row, states.plan.places
    renewing = step.kind is StepKind.RENEW
    strain = places.strain[row]
    due = states.bottle_day[strain] <= day - states.plan.strains.refresh_days[strain]
    if states.some_drawn:
        drawn = states.bottle_drawn[strain].nonzero()[0]
        due[drawn] |= _used_up(states, np.full(drawn.size, strain), drawn, day)
    if renewing:
        due |= _number_alive(np.isfinite(states.z[places.strain == strain])) <= 1
    due &= ~states.off[row]
    due &= ~states.suspect[row]
    season = due.nonzero()[0]
    if season.size:
        _bank(states, row * states.seasons + season, np.full(season.size, step.kept_ml), day)
    given_ml = states.given_ml[row]
    if places.feeds[row]:
        poured_ml = np.subtract(places.fill_ml[row] - step.kept_ml, given_ml)
        np.maximum(poured_ml, 0.0, out=poured_ml)
        poured_ml *= ~states.off[row]
        states.harvest_ml[states.plan.feeding.kind[row]] += poured_ml
    given_ml[on] = 0.0
    if renewing:
        states.empty(row * states.seasons + on, on_plan=True)
        return
    states.z[row][on] = step.z
    states.since[row][on] = day
    states.reseeds[row] += ~states.off[row]


def _number_alive(lives: NDArray[np.bool_]) -> NDArray[np.int16]:
    """How many of the vessels (vessel, season) live, by season; row by row, which costs least."""
    number = np.zeros(lives.shape[1], np.int16)
    for row in lives:
        number += row
    return number


def _harvest(states: SeasonStates, at: Where, day: int) -> None:
    """Harvest single vessels of single seasons by the same rule as a planned row."""
    row, season = states.split(at)
    reseeds, z, given_ml = states.reseeds.ravel(), states.z.ravel(), states.given_ml.ravel()
    renewing = reseeds[at] >= states.renew_after[row]
    ends = renewing.nonzero()[0]
    due = states.bottle_day.ravel()[states.bottle_row[row] + season] <= day - states.refresh_days[row]
    if states.some_drawn:
        drawn = states.bottle_drawn.ravel()[states.bottle_row[row] + season].nonzero()[0]
        due[drawn] |= _used_up(states, states.plan.places.strain[row[drawn]], season[drawn], day)
    if ends.size:
        last_stand = ends[~due[ends]]
        due[last_stand] = _alone(states, row[last_stand], season[last_stand])
    due &= ~states.suspect.ravel()[at]
    banks = due.nonzero()[0]
    if banks.size:
        kept_ml = np.where(renewing[banks], 0.0, states.kept_ml[row[banks]])
        _bank_first(states, at[banks], kept_ml, day)
    poured_ml = states.spare_of[row] - given_ml[at]
    if ends.size:
        poured_ml[ends] += states.kept_ml[row[ends]]
        states.empty(at[ends], on_plan=True)
    np.maximum(poured_ml, 0.0, out=poured_ml)
    if states.standby:
        poured_ml *= states.feeds[row]
    np.add.at(states.harvest_ml.ravel(), states.kind_row[row] + season, poured_ml)
    given_ml[at] = 0.0
    if ends.size:
        goes_on = (~renewing).nonzero()[0]
        at, row = at[goes_on], row[goes_on]
    z[at] = (z[at] + 1.0) / states.keep_share[row] - 1.0
    states.since.ravel()[at] = day
    reseeds[at] += 1


def _used_up(states: SeasonStates, strain: Shorts, season: Where, day: int) -> NDArray[np.bool_]:
    """Whether too little is left in back-ups that were drawn from to restart the vessel that needs least."""
    cells = states.bottle_ml[strain, season] * states.bottle_per_ml[strain, season]
    alive = states.alive(strain, day - states.bottle_day[strain, season])
    too_little: NDArray[np.bool_] = cells * alive < states.least_need[strain]
    return too_little


def _alone(states: SeasonStates, row: Where, season: Where) -> NDArray[np.bool_]:
    """Whether no other vessel of the strain lives beside each of these."""
    lives = np.isfinite(states.z.take(season, axis=1))
    if states.mixed:
        strain = states.plan.places.strain
        lives &= strain[:, None] == strain[row]
    alone: NDArray[np.bool_] = _number_alive(lives) <= 1
    return alone


def _bank_first(states: SeasonStates, at: Where, kept_ml: Floats, day: int) -> None:
    """Fill back-ups that are due, one vessel of a strain and season after the other until one has enough."""
    while at.size:
        row, season = states.split(at)
        bottle = states.bottle_row[row] + season
        first = first_of_each(bottle, states.bottle_day.size)
        _bank(states, at[first], kept_ml[first], day)
        rest = (~first & (states.bottle_day.ravel()[bottle] != day)).nonzero()[0]
        at, kept_ml = at[rest], kept_ml[rest]


def _bank(states: SeasonStates, at: Where, kept_ml: Floats, day: int) -> None:
    """Fill a back-up from harvests, if they hold enough; it takes the place of the old one."""
    if not states.plan.backup:
        return
    row, season = states.split(at)
    given = states.given_ml.ravel()
    density = states.per_ml(at, row)
    volume_ml = np.minimum(states.bank_cells[row] / density, states.plan.most_backup_ml)
    enough = (volume_ml <= states.fill_ml[row] - kept_ml - given[at]).nonzero()[0]
    at, volume_ml = at[enough], volume_ml[enough]
    given[at] += volume_ml
    bottle = states.bottle_row[row[enough]] + season[enough]
    states.bottle_ml.ravel()[bottle] = volume_ml
    states.bottle_per_ml.ravel()[bottle] = density[enough]
    states.bottle_day.ravel()[bottle] = day
    states.bottle_outbreak.ravel()[bottle] = states.outbreak.ravel()[at]
    states.bottle_drawn.ravel()[bottle] = False


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
