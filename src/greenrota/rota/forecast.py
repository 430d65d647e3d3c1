"""Forecast: the shelf walked forward day by day, every batch fed, harvested, re-seeded, renewed and banked.

The walk decides what follows from its rules: for what stands, here; for what stands empty, in `waiting`. Harvest and
start days can be handed in as `Wishes`, which is how the search and the standing rota steer it. Everything is a pure
function of what is passed in.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from greenrota.culture.broth import ML_PER_L
from greenrota.rota import donor, reason
from greenrota.rota.absence import Provision, provision
from greenrota.rota.agenda import Agenda
from greenrota.rota.bench import Bench
from greenrota.rota.diary import Diary
from greenrota.rota.opendays import DAY
from greenrota.rota.setting import Setting
from greenrota.rota.shelf import Shelf, Standing
from greenrota.rota.standpoint import Standpoint
from greenrota.rota.visit import Choice, Span, Visit, Wishes
from greenrota.rota.waiting import Waiting

RENEWAL_GAP_DAYS = 3  # between the renewals of two vessels of a strain; our choice
LATEST_RENEWAL = 3  # re-seeds by which a renewal may be put off for that; our choice
LEAST_HARVEST_ML = 1.0  # less than this is not worth a task; our choice


@dataclass(frozen=True, slots=True)
class Forecast:
    """What the walk left behind.

    `waiting` are the vessels that found no inoculum within the horizon; `start_options` the days on which a vessel
    with starter set aside for it may be started.
    """

    as_of: date
    through: date
    visits: tuple[Visit, ...]
    spans: tuple[Span, ...]
    choices: tuple[Choice, ...]
    shelf: Shelf
    waiting: tuple[str, ...]
    start_options: Mapping[str, tuple[date, ...]]


def forecast(setting: Setting, standpoint: Standpoint, wishes: Wishes) -> Forecast:
    """Walk a shelf from a standpoint to the end of the horizon. The shelf passed in is left as it was."""
    return _Walk(setting, standpoint, wishes).run()


class _Walk:
    def __init__(self, setting: Setting, standpoint: Standpoint, wishes: Wishes) -> None:
        self.setting = setting
        self.standpoint = standpoint
        self.as_of = standpoint.as_of
        self.through = setting.plan.through
        self.suspect = standpoint.suspect
        self.diary = Diary(standpoint.shelf.copy(), setting.memory)
        self.diary.emptied.update(standpoint.emptied)
        self.agenda = Agenda(setting, wishes, standpoint.done)
        self.waiting = Waiting(setting, standpoint, self.diary, self.agenda)

    def run(self) -> Forecast:
        self._take_stock()
        steps = (self.waiting.start_from_gift, self._feed, self._harvest)
        day = self.as_of
        while day <= self.through:
            for step, vessel in self.agenda.take(day):
                steps[step](self.setting.benches[vessel], day)
            if self.waiting.urgent and self.setting.open_days.is_open(day):
                self.waiting.serve_urgent(day, self.suspect)
            day += DAY
        if self.as_of <= self.through:
            self.diary.close(self.through)
        return Forecast(
            self.as_of,
            self.through,
            tuple(self.diary.visits),
            tuple(self.diary.spans),
            tuple(self.agenda.choices.values()),
            self.diary.shelf,
            tuple(self.waiting.patient + self.waiting.urgent),
            self.waiting.start_options,
        )

    def _take_stock(self) -> None:
        """Plan the batches that stand, and line up the vessels that do not."""
        empty = []
        for name, bench in self.setting.benches.items():
            standing = self.diary.bring_up_to(bench, self.as_of)
            if standing is None:
                empty.append(name)
            else:
                earliest = self.standpoint.not_before(name, standing.batch.started + DAY)
                self.agenda.plan_batch(bench, standing, earliest)
        self.waiting.line_up(empty)

    def _feed(self, bench: Bench, on: date) -> None:
        standing = self.diary.shelf.standing[bench.vessel.name]
        gain = self.agenda.choices[standing.batch.id].ahead.feed_gain
        strength = self.setting.cycles[bench.vessel.name].feed_dose
        self.diary.feed(bench, strength, on, lambda: reason.of_feed(bench, standing.broth, gain))

    def _harvest(self, bench: Bench, on: date) -> None:
        name = bench.vessel.name
        cycle = self.setting.cycles[name]
        standing = self.diary.living(bench, on)
        renewing = self._is_time_to_renew(bench, standing, on)
        keep_l = 0.0 if renewing else min(standing.broth.volume_l, cycle.keep_share * bench.vessel.fill_l)
        way = Provision(keep_l)
        if not renewing:
            way = self._provision(bench, standing, keep_l, on)
        emptying = renewing or way.park
        if standing.batch.id not in self.suspect:
            self.waiting.give_at_harvest(bench, standing, on)
            self._bank_if_due(bench, way.keep_l, on, emptying)
        if f"{standing.batch.id}/harvest" not in self.standpoint.done:
            self._pour_harvest(bench, way, on, renewing)
        if emptying:
            self.diary.renew(bench, on, way)
            self.waiting.urgent.append(name)
        else:
            self.diary.reseed(bench, on, way)
            if standing.batch.id in self.suspect:
                self.suspect |= {self.diary.shelf.standing[name].batch.id}
            self.agenda.plan_batch(bench, self.diary.shelf.standing[name], on + DAY)

    def _is_time_to_renew(self, bench: Bench, standing: Standing, on: date) -> bool:
        """True after enough re-seeds, unless another vessel of the strain is just being renewed: one at a time."""
        told = self.standpoint.renewals.get(standing.batch.id)
        if told is not None:
            return told
        late = standing.batch.reseeds - self.setting.cycles[bench.vessel.name].renew_after
        if late < 0 or late > LATEST_RENEWAL:
            return late >= 0
        own, strain = bench.vessel.name, bench.strain.name
        since = on - timedelta(days=RENEWAL_GAP_DAYS)
        lately = [name for name, emptied in self.diary.emptied_since(since) if emptied < on]
        kin = (self.setting.benches.get(name) for name in (*self.waiting.urgent, *lately) if name != own)
        return not any(other is not None and other.strain.name == strain for other in kin)

    def _provision(self, bench: Bench, standing: Standing, keep_l: float, on: date) -> Provision:
        """How a batch is sent on from its harvest; worked out once where there are days away."""
        if not self.setting.plan.away:
            return Provision(keep_l)
        spared = self._has_kin(bench)
        return self.setting.memory.do(
            self.diary.shelf,
            (),
            (standing,),
            ("provision", keep_l, spared),
            lambda: provision(self.setting, bench, standing.broth, keep_l, on, spared),
        )

    def _has_kin(self, bench: Bench) -> bool:
        """True if the strain lives in another vessel."""
        own, strain = bench.vessel.name, bench.strain.name
        standing = self.diary.shelf.standing.items()
        return any(name != own and other.batch.strain == strain for name, other in standing)

    def _pour_harvest(self, bench: Bench, way: Provision, on: date, renewing: bool) -> None:
        standing = self.diary.shelf.standing[bench.vessel.name]
        harvest_ml = max(0.0, standing.broth.volume_l - way.keep_l) * ML_PER_L
        if harvest_ml >= LEAST_HARVEST_ML:
            ahead = self.agenda.choices[standing.batch.id].ahead
            self.diary.harvest(
                bench,
                harvest_ml,
                on,
                way.reason,
                lambda: reason.of_harvest(bench, standing.broth, ahead, on, renewing),
            )

    def _bank_if_due(self, bench: Bench, keep_l: float, on: date, renewing: bool) -> None:
        standing = self.diary.shelf.standing[bench.vessel.name]
        order = donor.bank_order(self.diary.shelf, self.setting.benches, bench, standing, on, renewing)
        if f"{standing.batch.id}/bank" in self.standpoint.done:
            return
        if order is not None and order.volume_ml <= (standing.broth.volume_l - keep_l) * ML_PER_L:
            self.diary.bank(bench, order.volume_ml, order.retires, on, order.reason)
