"""Forecast: the shelf walked forward day by day, every batch fed, harvested, re-seeded, renewed and banked.

The walk decides what follows from its rules; harvest and start days can be handed in as `Wishes`, which is
how the search and the standing rota steer it. Everything is a pure function of what is passed in.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from greenrota.rota import donor, reason, seeding
from greenrota.rota.absence import Provision, provision
from greenrota.rota.agenda import Agenda
from greenrota.rota.bench import Bench
from greenrota.rota.deed import ML_PER_L
from greenrota.rota.diary import Diary
from greenrota.rota.opendays import DAY
from greenrota.rota.setting import Setting
from greenrota.rota.shelf import Shelf, Standing
from greenrota.rota.standpoint import Standpoint
from greenrota.rota.visit import Choice, Span, Visit, Wishes

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
        self.as_of = standpoint.as_of
        self.through = setting.plan.through
        self.suspect = standpoint.suspect
        self.causes = standpoint.causes
        self.done = standpoint.done
        self.renewals = standpoint.renewals
        self.put_off = standpoint.put_off
        self.diary = Diary(standpoint.shelf.copy(), setting.memory)
        self.diary.emptied.update(standpoint.emptied)
        self.agenda = Agenda(setting, wishes, standpoint.done)
        self.gifts: dict[str, seeding.Allotment] = {}
        self.start_options: dict[str, tuple[date, ...]] = {}
        self.patient: list[str] = []
        self.urgent: list[str] = []

    def run(self) -> Forecast:
        self._take_stock()
        steps = (self._start_from_gift, self._feed, self._harvest)
        day = self.as_of
        while day <= self.through:
            for step, vessel in self.agenda.take(day):
                steps[step](self.setting.benches[vessel], day)
            if self.urgent and self.setting.open_days.is_open(day):
                self._serve_urgent(day)
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
            tuple(self.patient + self.urgent),
            self.start_options,
        )

    def _take_stock(self) -> None:
        """Plan the batches that stand, set starters aside, and line up the vessels that wait for an inoculum."""
        shelf = self.diary.shelf
        empty = []
        for name, bench in self.setting.benches.items():
            standing = self.diary.bring_up_to(bench, self.as_of)
            if standing is None:
                empty.append(name)
            else:
                self.agenda.plan_batch(bench, standing, self._not_before(name, standing.batch.started + DAY))
        unused = [name for name in empty if name not in shelf.numbers]
        opened = self.setting.plan.start
        first = max(self.as_of, opened)
        for gift in seeding.allot(shelf, self.setting.benches, self.setting.cycles, unused, first, opened):
            options = self._start_days(gift)
            if options:
                usual = next((day for day in options if day >= gift.first_on), options[-1])
                self.gifts[gift.vessel] = gift
                self.start_options[gift.vessel] = options
                self.agenda.plan_start(gift.vessel, options, usual)
        growing = {self.setting.benches[name].strain.name for name in (*shelf.standing, *self.gifts)}
        for name in empty:
            if name not in self.gifts:
                hopeful = name in unused and self.setting.benches[name].strain.name in growing
                (self.patient if hopeful else self.urgent).append(name)

    def _not_before(self, vessel: str, least_on: date) -> date:
        """The first day from today on a vessel may be started or harvested: not on the day that was skipped."""
        put_off = self.put_off.get(vessel)
        return max(self.as_of, least_on, self.as_of if put_off is None else put_off + DAY)

    def _start_days(self, gift: seeding.Allotment) -> tuple[date, ...]:
        """The open days within one cycle on which a vessel may be started; the first one after it if none is."""
        least_on = self._not_before(gift.vessel, gift.least_on)
        good = min(self.through, gift.last_on)
        last = min(good, least_on + timedelta(days=self.setting.cycles[gift.vessel].days))
        days = self.setting.open_days.between(least_on, last)
        first = self.setting.open_days.on_or_after(least_on, good)
        return tuple(days) if days or first is None else (first,)

    def _start_from_gift(self, bench: Bench, on: date) -> None:
        gift = self.gifts.pop(bench.vessel.name)
        self._start(bench, gift.source, gift.volume_ml, on, "first filling, from the starter on hand")

    def _start(self, bench: Bench, source: str, volume_ml: float, on: date, why: str) -> None:
        batch = self.diary.shelf.batches.get(source)
        giver = self.setting.benches[batch.vessel] if batch is not None else None
        self.diary.start(bench, giver, source, volume_ml, on, why)
        self.agenda.plan_batch(bench, self.diary.shelf.standing[bench.vessel.name], on + DAY)

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
            self._give_to_patient(bench, standing, on)
            self._bank_if_due(bench, way.keep_l, on, emptying)
        if f"{standing.batch.id}/harvest" not in self.done:
            self._pour_harvest(bench, way, on, renewing)
        if emptying:
            self.diary.renew(bench, on, way.reason)
            self.urgent.append(name)
        else:
            self.diary.reseed(bench, on, way.light_h, way.reason)
            if standing.batch.id in self.suspect:
                self.suspect |= {self.diary.shelf.standing[name].batch.id}
            self.agenda.plan_batch(bench, self.diary.shelf.standing[name], on + DAY)

    def _is_time_to_renew(self, bench: Bench, standing: Standing, on: date) -> bool:
        """True after enough re-seeds, unless another vessel of the strain is just being renewed: one at a time."""
        told = self.renewals.get(standing.batch.id)
        if told is not None:
            return told
        late = standing.batch.reseeds - self.setting.cycles[bench.vessel.name].renew_after
        if late < 0 or late > LATEST_RENEWAL:
            return late >= 0
        own, strain = bench.vessel.name, bench.strain.name
        since = on - timedelta(days=RENEWAL_GAP_DAYS)
        lately = [name for name, emptied in self.diary.emptied_since(since) if emptied < on]
        kin = (self.setting.benches.get(name) for name in (*self.urgent, *lately) if name != own)
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
        others = (name for name in self.diary.shelf.standing if name != own)
        return any(self.setting.benches[name].strain.name == strain for name in others)

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

    def _give_to_patient(self, bench: Bench, standing: Standing, on: date) -> None:
        """Let one vessel of the strain that never stood yet take its first filling from this harvest."""
        strain = bench.strain.name
        waiting = [name for name in self.patient if self.put_off.get(name) != on]
        name = next((n for n in waiting if self.setting.benches[n].strain.name == strain), None)
        if name is None:
            return
        taker = self.setting.benches[name]
        volume_ml = donor.harvest_gift_ml(self.setting.cycles, bench, taker, standing)
        if volume_ml > 0.0:
            self.patient.remove(name)
            source = standing.batch.id
            self._start(taker, source, volume_ml, on, f"first filling, from the harvest of {source}")

    def _bank_if_due(self, bench: Bench, keep_l: float, on: date, renewing: bool) -> None:
        standing = self.diary.shelf.standing[bench.vessel.name]
        order = donor.bank_order(self.diary.shelf, self.setting.benches, bench, standing, on, renewing)
        if f"{standing.batch.id}/bank" in self.done:
            return
        if order is not None and order.volume_ml <= (standing.broth.volume_l - keep_l) * ML_PER_L:
            self.diary.bank(bench, order.volume_ml, order.retires, on, order.reason)

    def _serve_urgent(self, on: date) -> None:
        """Restart emptied vessels from whatever bears it, the day after they were emptied at the earliest."""
        promised_ml: dict[str, float] = defaultdict(float)
        for allotted in self.gifts.values():
            promised_ml[allotted.source] += allotted.volume_ml
        at = donor.Shelter(
            self.setting.benches, self.setting.cycles, self.diary.shelf, on, self.suspect, promised_ml
        )
        donors: dict[str, list[str]] = {}
        for name in [n for n in self.urgent if on not in (self.diary.emptied.get(n), self.put_off.get(n))]:
            bench = self.setting.benches[name]
            strain = bench.strain.name
            if strain not in donors:
                donors[strain] = donor.donor_line(at, strain)
            gift = donor.best_gift(at, bench, donors[strain])
            if gift is not None:
                self.urgent.remove(name)
                cause = f" after {self.causes[name]}" if name in self.causes else ""
                self._start(bench, gift.source, gift.volume_ml, on, f"restart{cause} from {gift.reason}")
