"""Seasons in a general-purpose discrete-event library: one process a vessel, one for the shelf, one for the keeper.

The keeper's deeds are those of the plain loop; time, mishaps and their order are the library's and of another
stream of random numbers, so nothing but the model is shared with the package.
"""

import random
from collections.abc import Generator

import simpy
from season_keeper import Jar
from season_loop import Loop

from greenrota.risk.hazard import Danger
from greenrota.risk.timetable import Timetable

Process = Generator[simpy.Event, None, None]


class Events(Loop):
    """One season, played by `run`."""

    def __init__(self, plan: Timetable, danger: Danger, seed: int) -> None:
        super().__init__(plan, danger)
        self.dice = random.Random(seed)
        self.env = simpy.Environment()

    def run(self) -> None:
        for jar in self.jars:
            self.env.process(self.vessel(jar))
        self.env.process(self.weather())
        self.env.process(self.keeper())
        self.env.run(until=self.plan.days)

    def vessel(self, jar: Jar) -> Process:
        danger, row = self.danger, jar.row
        while True:
            yield self.env.timeout(1.0)
            day = int(self.env.now)
            jar.z *= self.decay[row]
            if not jar.lives:
                continue
            if jar.seen_on == day:
                self.show(jar)
                continue
            luck = self.dice.random()
            ripe = danger.crash + (danger.over_ripe if jar.z < self.over(jar) else 0.0)
            if luck < ripe:
                self.die(jar, 0 if luck < danger.crash else 1)
                continue
            fouled = danger.contamination * (1 + (day - jar.cleaned) / danger.fouling_days)
            if luck < ripe + fouled and jar.seen_on is None:
                jar.outbreak, jar.seen_on = day, day + danger.hidden_days

    def show(self, jar: Jar) -> None:
        kin = [j for j in self.jars if j.seen_on is not None and j.outbreak == jar.outbreak]
        for other in kin:
            other.suspect |= self.strain[other.row] == self.strain[jar.row]
        bottle = self.backups.get(self.strain[jar.row])
        if bottle is not None and bottle.outbreak == jar.outbreak:
            del self.backups[self.strain[jar.row]]
        self.die(jar, 2)

    def die(self, jar: Jar, cause: int) -> None:
        jar.off = True
        self.losses[cause] += 1
        self.empty(jar)
        jar.broken_down = False
        self.check_lost(self.strain[jar.row], int(self.env.now))

    def weather(self) -> Process:
        yield self.env.timeout(0.25)  # after the vessels of the day
        while True:
            yield self.env.timeout(1.0)
            luck = self.dice.random()
            for kind, blow in enumerate(self.danger.blows):
                if 0.0 <= luck < blow.per_day:
                    for jar in self.jars:
                        if jar.lives and self.dice.random() < blow.loss_share:
                            self.die(jar, 3 + kind)
                luck -= blow.per_day

    def keeper(self) -> Process:
        yield self.env.timeout(0.5)  # after the weather of the day
        while True:
            day = int(self.env.now)
            self.work(day)
            yield self.env.timeout(1.0)
