"""Seasons: many of them at once, day by day, under the rules of the rota and the luck of the draw."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from greenrota.risk.harvest import harvest_due, harvest_planned, mark_due, start_day
from greenrota.risk.hazard import CAUGHT, FIRST_BLOW, OF_ITS_OWN, TOO_RIPE, Danger
from greenrota.risk.luck import CELL, Draws, Luck, draw_below, share
from greenrota.risk.pantry import RationBook
from greenrota.risk.places import Shorts
from greenrota.risk.rack import NEVER, Rack, Where
from greenrota.risk.restart import leave_missed, restart_waiting
from greenrota.risk.timetable import Timetable

GROUP_PLACES = 80_000  # vessels x seasons played at once: state stays near the processor; our choice


@dataclass(frozen=True, slots=True)
class Seasons:
    """What became of each season, in order; `days` in each, of which the days before `first_feed` count no shortage.

    short_days: (season,). lost_on (strain, season): the day a strain was lost, `NEVER` if it was not; lost_by: place
    in `hazard.CAUSES` of what killed its last vessel. losses (cause, season): vessels lost.
    """

    days: int
    first_feed: int
    strains: tuple[str, ...]
    short_days: Shorts
    lost_on: Shorts
    lost_by: NDArray[np.int8]
    losses: Shorts

    @property
    def lost(self) -> NDArray[np.bool_]:
        """(season,) whether any strain was lost."""
        lost: NDArray[np.bool_] = (self.lost_on != NEVER).any(axis=0)
        return lost


def play(
    plan: Timetable,
    danger: Danger,
    seasons: int,
    seed: int,
    group_cells: int | None = None,
    progress: Callable[[int], None] | None = None,
) -> Seasons:
    """Play so many seasons (1 or more) of a rota; the same seed gives the same seasons, however they are grouped.

    `group_cells`: cells of `luck.CELL` seasons played at once; None: as fits the processor. `progress` is told
    the number of seasons done after each group.
    """
    vessels = len(plan.places.names)
    cells = group_cells or max(1, GROUP_PLACES // (CELL * vessels))
    parts = []
    for first in range(0, seasons, cells * CELL):
        here = min(cells * CELL, seasons - first)
        parts.append(_play_group(plan, danger, Luck(seed, first // CELL, here, vessels), here))
        if progress is not None:
            progress(first + here)
    return Seasons(
        plan.days,
        plan.first_feed,
        plan.strains.names,
        *(np.concatenate([part[n] for part in parts], axis=-1) for n in range(4)),
    )


def _play_group(
    plan: Timetable, danger: Danger, luck: Luck, seasons: int
) -> tuple[Shorts, Shorts, NDArray[np.int8], Shorts]:
    rack, pantry = Rack(plan, seasons, danger.hidden_days), RationBook(plan, seasons)
    strikes = _Strikes(danger, rack)
    decay = plan.places.decay[:, None]
    for day in range(plan.days):
        if day > 0:
            np.multiply(rack.z, decay, out=rack.z)
            strikes.state, strikes.vessels = luck.draw()
            strikes.fall(day)
        start_day(rack, plan.planned[day], day)
        if plan.is_open[day]:
            mark_due(rack, day)
            restart_waiting(rack, day)
        harvest_planned(rack, plan.planned[day], day)
        if plan.is_open[day]:
            harvest_due(rack, day)
            if rack.emptied:
                rack.waiting = np.concatenate([rack.waiting, *rack.emptied])
                rack.emptied.clear()
        leave_missed(rack, day)
        pantry.feed(day, rack.harvest_ml)
        rack.harvest_ml.fill(0.0)
    return pantry.short_days, rack.lost_on, rack.last_cause, rack.losses


class _Strikes:
    """The hazards, falling on a rack day by day: a few candidates are picked by one compare and looked at closely."""

    def __init__(self, danger: Danger, rack: Rack) -> None:
        self._danger, self._rack = danger, rack
        self.state: Draws = np.zeros(rack.seasons, np.uint32)
        self.vessels: Draws = np.zeros(rack.size, np.uint32)
        self._below = np.empty(rack.size, bool)
        self._ripest = float(rack.plan.places.over_z.max())
        self._oldest = int(rack.cleaned.min(initial=0))
        self._blow_ends = np.cumsum([blow.per_day for blow in danger.blows])
        self._survive = np.array(
            [1.0 - blow.loss_share for blow in danger.blows] + [np.inf]
        )  # the last: no blow

    def fall(self, day: int) -> None:
        """One night: old contaminations show, cultures crash or catch something, or are hit with the whole shelf."""
        rack = self._rack
        dead, causes = [], []
        for strike in (self._shown, self._own, self._blows):
            at, cause = strike(day)
            if at.size:
                rack.z.ravel()[at] = np.inf  # nothing dies twice
                dead.append(at)
                causes.append(cause)
        if dead:
            rack.lose(np.concatenate(dead), np.concatenate(causes), day)

    def _shown(self, day: int) -> tuple[Where, Where]:
        at = self._rack.showing(day)
        if at.size:
            self._rack.quarantine(at, day)
        return at, np.full(at.size, CAUGHT)

    def _own(self, day: int) -> tuple[Where, Where]:
        danger, rack = self._danger, self._rack
        most = danger.crash + danger.contamination * (1.0 + (day - self._oldest) / danger.fouling_days)
        some_over_ripe = rack.z.min() < self._ripest
        edge = most + danger.over_ripe if some_over_ripe else most
        np.less_equal(self.vessels, draw_below(edge), out=self._below)
        at = self._below.ravel().nonzero()[0]
        drawn, z = share(self.vessels.ravel()[at]), rack.z.ravel()[at]
        near = ((drawn < most) | (z < self._ripest)).nonzero()[0]
        at, drawn, z = at[near], drawn[near], z[near]
        row, _ = rack.split(at)
        to_ripe = danger.crash + danger.over_ripe * (z < rack.over_z[row])
        age = day - rack.cleaned.ravel()[at]
        to_caught = to_ripe + danger.contamination * (1.0 + age / danger.fouling_days)
        struck = (drawn < to_caught) & (z < np.inf)
        at, drawn, to_ripe = at[struck], drawn[struck], to_ripe[struck]
        dies = drawn < to_ripe
        rack.catch(at[~dies], day)
        return at[dies], np.where(drawn[dies] < danger.crash, OF_ITS_OWN, TOO_RIPE)

    def _blows(self, day: int) -> tuple[Where, Where]:
        """A blow kills the vessels with the highest numbers drawn; their own hazards take the lowest."""
        rack = self._rack
        season = (self.state <= draw_below(self._blow_ends[-1])).nonzero()[0]
        kind = np.searchsorted(self._blow_ends, share(self.state[season]), side="right")
        dies = share(self.vessels.take(season, axis=1)) >= self._survive[kind]
        dies &= rack.z.take(season, axis=1) < np.inf
        row, place = dies.nonzero()
        return row * rack.seasons + season[place], FIRST_BLOW + kind[place]
