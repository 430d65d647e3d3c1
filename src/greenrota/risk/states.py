"""States of the seasons: the cultures and bottles of many seasons side by side, and how a culture is lost.

Vessels are rows, seasons columns; most things happen to few of them, so methods take `at`, flat places
row x seasons + season, and change those alone.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from greenrota.culture.bench import inoculum
from greenrota.risk.hazard import CAUSES
from greenrota.risk.places import Column, Shorts
from greenrota.risk.timetable import Timetable
from greenrota.rota.state.backups import BANK_MARGIN
from greenrota.rota.state.donors import THIN_START

Where = NDArray[np.intp]
NEVER = 32767  # a day no season reaches
LONG_AGO = -32000  # a day before every horizon
CLEAN = -1  # no outbreak


class SeasonStates:
    """State of a group of seasons. Arrays are (vessel, season) or (strain, season); see the names below.

    z: ceiling / density - 1, inf where nothing lives. off: no longer on the planned dates. since: day of start or
    re-seed. cleaned: day the vessel was clean. seen_on: day a contamination shows (NEVER: clean). outbreak: day the
    contamination was caught, shared by all it was carried to, `CLEAN` for none. suspect: may not give.
    due: harvested today off the planned dates. broken_down: emptied on plan. given_ml: poured away to others since the
    last re-seed. A contamination shows `hidden_days` after it was caught.
    """

    def __init__(self, plan: Timetable, seasons: int, hidden_days: int) -> None:
        self.plan, self.seasons, self.hidden_days = plan, seasons, hidden_days
        self.size = (len(plan.places.names), seasons)
        self._fill_vessels()
        self._fill_bottles()
        self._lay_out_plan()
        self._begin_record()

    def _fill_vessels(self) -> None:
        """The vessels on the first day, alike in every season."""
        first_day, seasons, size = self.plan.first_day, self.seasons, self.size
        self.z = np.repeat(first_day.z[:, None], seasons, axis=1)
        self.off = np.zeros(size, bool)
        self.off[list(first_day.idle)] = True
        self.since = np.full(size, NEVER, np.int16)
        alive = np.isfinite(first_day.z)
        self.since[alive] = -first_day.age_days[alive, None]
        self.cleaned = (
            np.where(alive, -first_day.age_days, 0).astype(np.int16)[:, None].repeat(seasons, axis=1)
        )
        self.reseeds = np.repeat(first_day.reseeds[:, None], seasons, axis=1)
        self.seen_on = np.full(size, NEVER, np.int16)
        self.outbreak = np.full(size, CLEAN, np.int16)
        self.suspect = np.zeros(size, bool)
        self.suspect[list(first_day.suspect)] = True
        self.due = np.zeros(size, bool)
        self.broken_down = np.zeros(size, bool)
        self.broken_down[list(first_day.broken_down)] = True
        self.given_ml = np.zeros(size)
        self.plan_top_per_ml = first_day.top_per_ml.copy()
        self.emptied: list[Where] = []
        self.waiting: Where = (
            np.array(first_day.waiting, np.intp)[:, None] * seasons + np.arange(seasons, dtype=np.intp)
        ).ravel()

    def _fill_bottles(self) -> None:
        """The back-up bottle of each strain, the starters, and tables of how bottles age."""
        plan, seasons = self.plan, self.seasons
        strains = len(plan.strains.names)
        self.bottle_ml = np.zeros((strains, seasons))
        self.bottle_per_ml = np.ones((strains, seasons))
        self.bottle_day = np.full((strains, seasons), LONG_AGO, np.int16)
        self.bottle_outbreak = np.full((strains, seasons), CLEAN, np.int16)
        self.bottle_drawn = np.zeros((strains, seasons), bool)
        for stock in plan.bottles:
            self.bottle_ml[stock.strain], self.bottle_day[stock.strain] = stock.volume_ml, stock.filled
            self.bottle_per_ml[stock.strain] = stock.density_per_ml
            self.bottle_drawn[stock.strain] = stock.drawn
        self.some_drawn = bool(self.bottle_drawn.any())
        self.starter_ml = np.array([[stock.volume_ml] for stock in plan.starters] or [[0.0]]).repeat(
            seasons, axis=1
        )
        ages = range(2 + int(max(plan.strains.fridge_days)))  # the last is too old for every strain
        self._alive = np.array([_shares_alive(days, ages) for days in plan.strains.fridge_days])
        self._lag_days = np.array(
            [[inoculum.lag_days(float(age), days) for age in ages] for days in plan.strains.fridge_days]
        )

    def _lay_out_plan(self) -> None:
        """Constants of the vessels, ready to be looked up by row."""
        plan, seasons, places = self.plan, self.seasons, self.plan.places
        strains = len(plan.strains.names)
        self.least_need = np.array(plan.strains.least_cells)
        self.spare_ml = places.fill_ml * (1.0 - places.keep_share)
        self.equal_needs = all(np.ptp(places.least_cells[places.strain == n]) == 0.0 for n in range(strains))
        self.mixed = strains > 1
        self.bank_cells = Column(BANK_MARGIN * self.least_need[places.strain])
        self.bottle_row = Column(places.strain.astype(np.intp) * seasons)  # where the strain's bottles begin
        self.kind_row = Column(plan.feeding.kind.astype(np.intp) * seasons)  # where the feed's kind begins
        self.refresh_days = Column(np.array(plan.strains.refresh_days)[places.strain])
        self.renew_after, self.keep_share = Column(places.renew_after), Column(places.keep_share)
        self.spare_of, self.fill_ml = Column(self.spare_ml), Column(places.fill_ml)
        self.kept_ml = Column(places.fill_ml - self.spare_ml)
        self.least_cells, self.goal_cells = Column(places.least_cells), Column(places.goal_cells)
        self.most_ml, self.top_per_ml = Column(places.most_ml), Column(places.top_per_ml)
        self.over_z = Column(places.over_z)
        self.feeds = np.array(places.feeds, float)
        self.standby = not all(places.feeds)
        # in which order empty vessels of a season are served: by strain, the least needy first
        self.turn = np.lexsort((places.least_cells, places.strain)).argsort()
        self.by_id = np.argsort([f"{name}/" for name in places.names], kind="stable")  # as batch ids begin
        self.place_of = self.by_id.argsort().astype(np.int64)

    def _begin_record(self) -> None:
        """The counts kept of each season: losses by cause, lost strains, harvest of the day."""
        strains, seasons = len(self.plan.strains.names), self.seasons
        self.losses = np.zeros((len(CAUSES), seasons), np.int16)
        self.last_cause = np.zeros((strains, seasons), np.int8)
        self.lost_on: Shorts = np.full((strains, seasons), NEVER, np.int16)
        self.harvest_ml = np.zeros((len(self.plan.feeding.ration_ml), seasons))  # by kind of feed
        self._shows: dict[int, list[Where]] = {}

    def split(self, at: Where) -> tuple[Where, Where]:
        """Row and season of flat places."""
        row = at // self.seasons
        return row, at - row * self.seasons

    def per_ml(self, at: Where, row: Where) -> NDArray[np.float64]:
        """Density in these vessels."""
        density: NDArray[np.float64] = self.top_of(at, row) / (1.0 + self.z.ravel()[at])
        return density

    def top_of(self, at: Where, row: Where) -> NDArray[np.float64]:
        """Ceiling of these vessels."""
        return np.where(self.off.ravel()[at], self.top_per_ml[row], self.plan_top_per_ml[row])

    def empty(self, at: Where, on_plan: bool) -> None:
        """Pour cultures away; their vessels wait for an inoculum from the next day on."""
        self.broken_down.ravel()[at] = on_plan
        self.z.ravel()[at] = np.inf
        self.since.ravel()[at] = NEVER
        self.seen_on.ravel()[at] = NEVER
        self.outbreak.ravel()[at] = CLEAN
        self.suspect.ravel()[at] = False
        self.emptied.append(at)

    def lose(self, at: Where, cause: NDArray[np.intp], day: int) -> None:
        """Cultures die, each of a cause: their vessels leave the planned dates, and the strain may be lost."""
        if not at.size:
            return
        row, season = self.split(at)
        strain = self.plan.places.strain[row]
        self.empty(at, on_plan=False)
        self.off.ravel()[at] = True
        np.add.at(self.losses.ravel(), cause * self.seasons + season, np.int16(1))
        self.last_cause[strain, season] = cause
        self.check_lost(strain, season, day)

    def catch(self, at: Where, day: int) -> None:
        """Cultures catch a contamination that shows some days later; one that has it already keeps its day."""
        at = at[self.seen_on.ravel()[at] == NEVER]
        if not at.size:
            return
        self.outbreak.ravel()[at] = day
        self.carry(at, day)

    def carry(self, at: Where, day: int) -> None:
        """A contamination, caught or poured in, will show in these vessels after the hidden days."""
        shows = day + self.hidden_days
        self.seen_on.ravel()[at] = shows
        self._shows.setdefault(shows, []).append(at)

    def showing(self, day: int) -> Where:
        """Vessels whose contamination shows on a day."""
        found = self._shows.pop(day, None)
        if found is None:
            return np.empty(0, np.intp)
        at = np.concatenate(found)
        still: Where = at[self.seen_on.ravel()[at] == day]
        return still

    def quarantine(self, at: Where, day: int) -> None:
        """Make every culture with the same outbreak suspect, so that it gives no more, and pour a bottle of it away."""
        row, season = self.split(at)
        outbreak = self.outbreak.ravel()[at]
        kin = self.outbreak.take(season, axis=1) == outbreak
        if self.mixed:
            strain = self.plan.places.strain
            kin &= strain[:, None] == strain[row]
        other, place = kin.nonzero()
        self.suspect[other, season[place]] = True
        bottle = self.bottle_row[row] + season
        poured = bottle[self.bottle_outbreak.ravel()[bottle] == outbreak]
        self.bottle_ml.ravel()[poured] = 0.0
        self.bottle_day.ravel()[poured] = LONG_AGO

    def check_lost(self, strain: NDArray[np.int16], season: Where, day: int) -> None:
        """Note strains of which nothing lives any more and no bottle can start a vessel."""
        strain, season = self._in_none(~self.off.take(season, axis=1), strain, season)  # most are out here
        strain, season = self._in_none(self.z.take(season, axis=1) < np.inf, strain, season)
        if season.size:
            gone = ~self._has_bottle(strain, season, day) & (self.lost_on[strain, season] == NEVER)
            self.lost_on[strain[gone], season[gone]] = day

    def _in_none(
        self, holds: NDArray[np.bool_], strain: NDArray[np.int16], season: Where
    ) -> tuple[NDArray[np.int16], Where]:
        """The strains and seasons in which it holds (vessel, season) for no vessel of the strain."""
        if self.mixed:
            holds &= self.plan.places.strain[:, None] == strain
        none = (~np.logical_or.reduce(holds)).nonzero()[0]
        return strain[none], season[none]

    def _has_bottle(self, strain: NDArray[np.int16], season: Where, day: int) -> NDArray[np.bool_]:
        """Whether a bottle of the strain will start its least demanding vessel now (a starter: also later)."""
        need = THIN_START * self.least_need[strain]
        cells = self.bottle_ml[strain, season] * self.bottle_per_ml[strain, season]
        found: NDArray[np.bool_] = cells * self.alive(strain, day - self.bottle_day[strain, season]) >= need
        for place, stock in enumerate(self.plan.starters):
            cells = self.starter_ml[place, season] * stock.density_per_ml
            age = np.full(season.size, max(0, day - stock.filled))
            found |= (strain == stock.strain) & (cells * self.alive(strain, age) >= need)
        return found

    def alive(self, strain: NDArray[np.int16], age_days: NDArray[np.integer]) -> NDArray[np.float64]:
        """Share alive in bottles by strain and age; 0 once too old to be used."""
        shares: NDArray[np.float64] = self._alive[strain, np.minimum(age_days, self._alive.shape[1] - 1)]
        return shares

    def starter_on(self, place: int, day: int) -> tuple[float, float]:
        """Living cells per mL and lag in days of a starter; no cells before it is on hand and once it is too old."""
        stock = self.plan.starters[place]
        age = min(day - stock.filled, self._alive.shape[1] - 1)
        if age < 0:
            return 0.0, 0.0
        alive, lag_days = self._alive[stock.strain, age], self._lag_days[stock.strain, age]
        return float(stock.density_per_ml * alive), float(lag_days)

    def lag_days(self, strain: NDArray[np.int16], age_days: NDArray[np.integer]) -> NDArray[np.float64]:
        """Lag of bottles by strain and age."""
        days: NDArray[np.float64] = self._lag_days[strain, np.minimum(age_days, self._alive.shape[1] - 1)]
        return days


def _shares_alive(fridge_days: float, ages: range) -> list[float]:
    return [
        0.0
        if inoculum.too_old(float(age), fridge_days)
        else inoculum.fridge_share_alive(float(age), fridge_days)
        for age in ages
    ]
