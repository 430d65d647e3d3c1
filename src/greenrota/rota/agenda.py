"""Agenda: which vessel is to be seen to on which day of a walk, and the harvest days chosen so far."""

from __future__ import annotations

from collections import defaultdict
from datetime import date

from greenrota.rota.bench import Bench
from greenrota.rota.opendays import DAY
from greenrota.rota.outlook import Outlook, harvest_days, outlook
from greenrota.rota.pick import Load, pick_day
from greenrota.rota.setting import Setting, Sight
from greenrota.rota.shelf import Standing
from greenrota.rota.visit import Choice, Wishes

START, FEED, HARVEST = range(3)  # order of work within a day; our choice


class Agenda:
    """The days ahead of a walk. A batch's harvest day is the wished one if it is possible, else the cheapest.

    `done` are tasks already fulfilled; `choices` are by batch id, in the order in which batches were opened.
    """

    def __init__(self, setting: Setting, wishes: Wishes, done: frozenset[str]) -> None:
        self._setting = setting
        self._wishes = wishes
        self._done = done
        self._through = setting.plan.through
        self._load = Load(setting.plan.work.jobs_per_day)
        self._steps: dict[date, list[tuple[int, str]]] = defaultdict(list)
        self.choices: dict[str, Choice] = {}

    def take(self, day: date) -> list[tuple[int, str]]:
        """The steps of a day, in the order of work; they are off the agenda then."""
        return sorted(self._steps.pop(day, ()))

    def plan_start(self, vessel: str, options: tuple[date, ...], usual: date) -> None:
        """Put the first filling of a vessel on its wished day, or on the usual one."""
        wished = self._wishes.starts.get(vessel)
        on = wished if wished in options else usual
        self._steps[on].append((START, vessel))
        self._load.add(on)

    def plan_batch(self, bench: Bench, standing: Standing, earliest: date) -> None:
        """Choose the harvest day of a batch and put it and the second dose on the agenda."""
        _, ahead, options = self._look(bench, standing, earliest)
        vessel = bench.vessel.name
        if f"{standing.batch.id}/harvest" in self._done:  # only the re-seed is left to do
            soon = self._setting.open_days.on_or_after(earliest, self._through)
            options = () if soon is None else (soon,)
        taken = self._wishes.harvests.get(standing.batch.id)
        if taken not in options and not self._still_holds(taken, ahead, earliest):
            taken = pick_day(options, ahead, self._load, bench.strain.name)
        if taken is not None:
            self._steps[taken].append((HARVEST, vessel))
            self._load.add(taken, bench.strain.name)
        feed_on = ahead.feed_on
        if feed_on is not None and feed_on <= self._through and (taken is None or feed_on < taken):
            self._steps[feed_on].append((FEED, vessel))
            self._load.add(feed_on)
        self.choices[standing.batch.id] = Choice(standing.batch, ahead, options, taken)

    def _still_holds(self, wished: date | None, ahead: Outlook, earliest: date) -> bool:
        """True for a day of the standing rota at the end of the horizon that a hair of growth put before ripe."""
        if wished is None or ahead.ready_on is None or ahead.pinned_on is not None:
            return False
        last = self._through if ahead.over_on is None else min(self._through, ahead.over_on - DAY)
        return max(earliest, ahead.ready_on) <= wished <= last and self._setting.open_days.is_open(wished)

    def _look(self, bench: Bench, standing: Standing, earliest: date) -> Sight:
        """The outlook of a batch and its possible harvest days, worked out once per setting."""
        batch = standing.batch
        fed = standing.fed_on is not None or f"{batch.id}/feed" in self._done
        key = (id(standing), earliest, fed)
        sight = self._setting.sights.get(key)
        if sight is None:
            open_days = self._setting.open_days
            cycle, place = self._setting.cycles[batch.vessel], bench.lit(standing.light_h)
            ahead = outlook(place, cycle, standing.broth, batch.started, standing.on, fed, open_days)
            sight = Sight(standing, ahead, tuple(harvest_days(ahead, earliest, self._through, open_days)))
            self._setting.sights[key] = sight
        return sight
