"""Harvest: what the plan does on its dates, and what is done to vessels that have left them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from greenrota.rota.cycle import RIPE_SHARE
from greenrota.rota.risk.places import Floats
from greenrota.rota.risk.rack import NEVER, Rack, Where, first_of_each
from greenrota.rota.risk.timetable import Deed, Planned

RIPE_Z = 1.0 / RIPE_SHARE - 1.0


def do_planned(rack: Rack, deeds: tuple[Planned, ...], day: int) -> None:
    """The planned deeds of a day, in every season in which their vessel is still on its dates."""
    for deed in deeds:
        on = ~rack.off[deed.row]
        if deed.deed is Deed.START:
            _fill(rack, deed, on, day)
        elif deed.deed is Deed.GIFT:
            _fill_from_other(rack, deed, on, day)
        elif deed.deed is Deed.FEED:
            np.copyto(rack.z[deed.row], deed.z, where=on)
        else:
            _harvest_row(rack, deed, on, day)
        if deed.deed is not Deed.RENEW:
            rack.plan_top_per_ml[deed.row] = deed.top_per_ml


def harvest_ripe(rack: Rack, day: int) -> None:
    """Harvest vessels that have left the planned dates: as soon as they are ripe, or on the pinned day of the batch."""
    pinned = rack.plan.pinned_days
    if pinned is None:
        np.less_equal(rack.z, RIPE_Z, out=rack.due)
    else:
        np.less_equal(rack.since, day - pinned, out=rack.due)
    np.logical_and(rack.due, rack.off, out=rack.due)
    at = np.flatnonzero(rack.due)
    if at.size:
        _harvest(rack, at, day)


def _fill(rack: Rack, deed: Planned, on: NDArray[np.bool_], day: int) -> None:
    np.copyto(rack.z[deed.row], deed.z, where=on)
    rack.since[deed.row][on] = day
    rack.cleaned[deed.row][on] = day
    rack.reseeds[deed.row][on] = 0


def _fill_from_other(rack: Rack, deed: Planned, on: NDArray[np.bool_], day: int) -> None:
    """A first filling from another vessel; where that has died or left its dates, the taker waits for any donor."""
    giver = deed.donor
    gives = on & ~rack.off[giver] & np.isfinite(rack.z[giver]) & ~rack.suspect[giver]
    _fill(rack, deed, gives, day)
    rack.given_ml[giver] += np.where(gives, deed.gift_ml, 0.0)
    row_start = deed.row * rack.seasons
    sick = np.flatnonzero(gives & (rack.seen_on[giver] != NEVER))
    rack.outbreak[deed.row][sick] = rack.outbreak[giver][sick]
    rack.carry(row_start + sick, day)
    left = np.flatnonzero(on & ~gives)
    rack.off[deed.row][left] = True
    rack.waiting = np.concatenate([rack.waiting, row_start + left])


def _harvest_row(rack: Rack, deed: Planned, on: NDArray[np.bool_], day: int) -> None:
    """The planned harvest of a vessel: one row of all seasons, all of the same density."""
    row, places = deed.row, rack.plan.places
    renewing = deed.deed is Deed.RENEW
    kept_ml = deed.kept_ml
    if deed.z_before is not None:
        np.putmask(rack.z[row], on, deed.z_before)
    strain = places.strain[row]
    due = rack.bottle_day[strain] <= day - rack.plan.strains.refresh_days[strain]
    if renewing:
        kin = places.strain == strain
        due |= np.isfinite(rack.z[kin]).sum(axis=0) <= 1
    due &= on
    due &= ~rack.suspect[row]
    season = np.flatnonzero(due)
    if season.size:
        _bank(rack, row * rack.seasons + season, np.full(season.size, kept_ml), day)
    given_ml = rack.given_ml[row]
    if places.feeds[row]:
        poured_ml = np.subtract(places.fill_ml[row] - kept_ml, given_ml)
        np.maximum(poured_ml, 0.0, out=poured_ml)
        np.add(rack.harvest_ml, poured_ml, out=rack.harvest_ml, where=on)
    np.putmask(given_ml, on, 0.0)
    if renewing:
        rack.empty(row * rack.seasons + np.flatnonzero(on))
        return
    np.putmask(rack.z[row], on, deed.z)
    np.putmask(rack.since[row], on, day)
    rack.reseeds[row] += on


def _harvest(rack: Rack, at: Where, day: int) -> None:
    """Harvest single vessels of single seasons by the same rule as a planned row."""
    row, season = rack.split(at)
    reseeds, z, given_ml = rack.reseeds.ravel(), rack.z.ravel(), rack.given_ml.ravel()
    renewing = reseeds[at] >= rack.renew_after[row]
    whole = renewing.any()
    due = rack.bottle_day.ravel()[rack.bottle_row[row] + season] <= day - rack.refresh_days[row]
    if whole:
        last_stand = renewing & ~due
        due[last_stand] = _alone(rack, row[last_stand], season[last_stand])
    if due.any():
        banks, its_row = at[due], row[due]
        kept_ml = np.where(renewing[due], 0.0, rack.kept_ml[its_row])
        sound = ~rack.suspect.ravel()[banks]
        _bank_first(rack, banks[sound], kept_ml[sound], day)
    poured_ml = rack.spare_of[row] - given_ml[at]
    if whole:
        poured_ml[renewing] += rack.kept_ml[row[renewing]]
        rack.empty(at[renewing])
    np.maximum(poured_ml, 0.0, out=poured_ml)
    if rack.standby:
        poured_ml *= rack.feeds[row]
    rack.harvest_ml += np.bincount(season, weights=poured_ml, minlength=rack.seasons)
    given_ml[at] = 0.0
    if whole:
        at, row = at[~renewing], row[~renewing]
    z[at] = (z[at] + 1.0) / rack.keep_share[row] - 1.0
    rack.since.ravel()[at] = day
    reseeds[at] += 1


def _alone(rack: Rack, row: Where, season: Where) -> NDArray[np.bool_]:
    """Whether no other vessel of the strain lives beside each of these."""
    strain = rack.plan.places.strain
    kin = np.isfinite(rack.z[:, season]) & (strain[:, None] == strain[row])
    alone: NDArray[np.bool_] = kin.sum(axis=0) <= 1
    return alone


def _bank_first(rack: Rack, at: Where, kept_ml: Floats, day: int) -> None:
    """Fill back-ups that are due, one vessel of a strain and season after the other until one has enough."""
    while at.size:
        row, season = rack.split(at)
        bottle = rack.bottle_row[row] + season
        first = first_of_each(bottle, rack.bottle_day.size)
        _bank(rack, at[first], kept_ml[first], day)
        rest = ~first & (rack.bottle_day.ravel()[bottle] != day)
        at, kept_ml = at[rest], kept_ml[rest]


def _bank(rack: Rack, at: Where, kept_ml: Floats, day: int) -> None:
    """Fill a back-up from harvests, if they hold enough; it takes the place of the old one."""
    if not rack.plan.backup:
        return
    row, season = rack.split(at)
    strain = rack.plan.places.strain[row]
    density = rack.per_ml(at, row)
    volume_ml = np.array(rack.plan.strains.bank_cells)[strain] / density
    given = rack.given_ml.ravel()
    enough = volume_ml <= rack.plan.places.fill_ml[row] - kept_ml - given[at]
    at, season, strain, volume_ml, density = (
        at[enough],
        season[enough],
        strain[enough],
        volume_ml[enough],
        density[enough],
    )
    given[at] += volume_ml
    rack.bottle_ml[strain, season] = volume_ml
    rack.bottle_per_ml[strain, season] = density
    rack.bottle_day[strain, season] = day
    rack.bottle_outbreak[strain, season] = rack.outbreak.ravel()[at]
