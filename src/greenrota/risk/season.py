"""Seasons: many of them simulated at once, day by day, under the rules of the rota and with random mishaps."""

from __future__ import annotations

from collections.abc import Callable
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from greenrota.risk.feeding import SeasonRations
from greenrota.risk.harvest import harvest_due, harvest_planned, mark_due, start_day
from greenrota.risk.hazard import CAUGHT, FIRST_BLOW, OF_ITS_OWN, TOO_RIPE, Danger
from greenrota.risk.luck import CELL, Draws, Luck, draw_below, share
from greenrota.risk.places import Shorts
from greenrota.risk.restart import leave_missed, restart_waiting
from greenrota.risk.states import NEVER, SeasonStates, Where
from greenrota.risk.timetable import Timetable

GROUP_PLACES = (
    80_000  # vessels x seasons played at once, so that the arrays fit the processor's cache; our choice
)


class Seasons(NamedTuple):
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

    `group_cells`: cells of `luck.CELL` seasons played at once; None: as fits the processor. `progress` is called
    with the number of seasons done after each group.
    """
    vessels = len(plan.places.names)
    cells = group_cells or max(1, GROUP_PLACES // (CELL * vessels))
    parts = []
    for first in range(0, seasons, cells * CELL):
        here = min(cells * CELL, seasons - first)
        with np.errstate(divide="ignore"):  # an old bottle may hold no living cell
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
    states = SeasonStates(plan, seasons, danger.hidden_days)
    rations = SeasonRations(plan.feeding, plan.first_feed, seasons)
    mishaps = _Mishaps(danger, states)
    decay = plan.places.decay[:, None]
    for day in range(plan.days):
        if day > 0:
            np.multiply(states.z, decay, out=states.z)
            mishaps.state, mishaps.vessels = luck.draw()
            mishaps.strike(day)
        start_day(states, plan.planned[day], day)
        if plan.is_open[day]:
            mark_due(states, day)
            restart_waiting(states, day)
        harvest_planned(states, plan.planned[day], day)
        if plan.is_open[day]:
            harvest_due(states, day)
            if states.emptied:
                states.waiting = np.concatenate([states.waiting, *states.emptied])
                states.emptied.clear()
        leave_missed(states, day)
        rations.feed(day, states.harvest_ml)
        states.harvest_ml.fill(0.0)
    return rations.short_days, states.lost_on, states.last_cause, states.losses


class _Mishaps:
    """The hazards, day by day. One comparison picks the few cultures that may be hit; only these are worked out."""

    def __init__(self, danger: Danger, states: SeasonStates) -> None:
        self._danger, self._states = danger, states
        self.state: Draws = np.zeros(states.seasons, np.uint32)
        self.vessels: Draws = np.zeros(states.size, np.uint32)
        self._below = np.empty(states.size, bool)
        self._ripest = float(states.plan.places.over_z.max())
        self._oldest = int(states.cleaned.min(initial=0))
        self._blow_ends = np.cumsum([blow.per_day for blow in danger.blows])
        self._survive = np.array(
            [1.0 - blow.loss_share for blow in danger.blows] + [np.inf]
        )  # the last: no blow

    def strike(self, day: int) -> None:
        """One night: contaminations show, cultures crash or catch something, or an event hits all vessels."""
        states = self._states
        dead, causes = [], []
        for happens in (self._shown, self._own, self._blows):
            at, cause = happens(day)
            if at.size:
                states.z.ravel()[at] = np.inf  # nothing dies twice
                dead.append(at)
                causes.append(cause)
        if dead:
            states.lose(np.concatenate(dead), np.concatenate(causes), day)

    def _shown(self, day: int) -> tuple[Where, Where]:
        at = self._states.showing(day)
        if at.size:
            self._states.quarantine(at, day)
        return at, np.full(at.size, CAUGHT)

    def _own(self, day: int) -> tuple[Where, Where]:
        danger, states = self._danger, self._states
        most = danger.crash + danger.contamination * (1.0 + (day - self._oldest) / danger.fouling_days)
        some_over_ripe = states.z.min() < self._ripest
        edge = most + danger.over_ripe if some_over_ripe else most
        np.less_equal(self.vessels, draw_below(edge), out=self._below)
        at = self._below.ravel().nonzero()[0]
        drawn, z = share(self.vessels.ravel()[at]), states.z.ravel()[at]
        near = ((drawn < most) | (z < self._ripest)).nonzero()[0]
        at, drawn, z = at[near], drawn[near], z[near]
        row, _ = states.split(at)
        to_ripe = danger.crash + danger.over_ripe * (z < states.over_z[row])
        age = day - states.cleaned.ravel()[at]
        to_caught = to_ripe + danger.contamination * (1.0 + age / danger.fouling_days)
        struck = (drawn < to_caught) & (z < np.inf)
        at, drawn, to_ripe = at[struck], drawn[struck], to_ripe[struck]
        dies = drawn < to_ripe
        states.catch(at[~dies], day)
        return at[dies], np.where(drawn[dies] < danger.crash, OF_ITS_OWN, TOO_RIPE)

    def _blows(self, day: int) -> tuple[Where, Where]:
        """An event that hits all vessels kills those with the highest numbers; the lowest are for their own hazards."""
        states = self._states
        season = (self.state <= draw_below(self._blow_ends[-1])).nonzero()[0]
        kind = np.searchsorted(self._blow_ends, share(self.state[season]), side="right")
        dies = share(self.vessels.take(season, axis=1)) >= self._survive[kind]
        dies &= states.z.take(season, axis=1) < np.inf
        row, place = dies.nonzero()
        return row * states.seasons + season[place], FIRST_BLOW + kind[place]
