"""The shelf of the plain loop, and how its keeper restarts empty vessels: the rule of the rota written down once more.

Nothing of the package's own rule is used here.
"""

import math
from dataclasses import dataclass, field

from greenrota.culture.bench.inoculum import fridge_share_alive, lag_days, too_old
from greenrota.risk.hazard import Danger
from greenrota.risk.timetable import Timetable

RIPE, DONOR = 0.80, 0.50  # shares of the ceiling: ripe, may give; as in the rota
SETTLED, THIN = 2, 0.5
HAIR = 1e-6  # relative: of z, below which ripe and not ripe are one; far above rounding


@dataclass
class Jar:
    row: int
    z: float = math.inf
    off: bool = False
    since: int = 0
    cleaned: int = 0
    reseeds: int = 0
    seen_on: int | None = None
    outbreak: int | None = None
    suspect: bool = False
    given_ml: float = 0.0
    broken_down: bool = False

    @property
    def lives(self) -> bool:
        return self.z < math.inf


@dataclass
class FridgeBottle:
    volume_ml: float
    per_ml: float
    filled: int
    outbreak: int | None = None
    drawn: bool = False


@dataclass
class Keeper:
    plan: Timetable
    danger: Danger
    jars: list[Jar] = field(default_factory=list)
    backups: dict[int, FridgeBottle] = field(default_factory=dict)
    waiting: list[int] = field(default_factory=list)
    emptied: list[int] = field(default_factory=list)
    losses: list[int] = field(default_factory=lambda: [0] * 6)
    lost_on: dict[int, int] = field(default_factory=dict)
    harvest_ml: dict[int, float] = field(default_factory=dict)
    short_days: int = 0
    drawn_ml: dict[int, dict[str, float]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        plan = self.plan
        places = plan.places
        self.decay, self.rate = places.decay.tolist(), places.rate_per_day.tolist()
        self.fill, self.keep = places.fill_ml.tolist(), places.keep_share.tolist()
        self.top, self.strain = places.top_per_ml.tolist(), places.strain.tolist()
        self.least, self.goal = places.least_cells.tolist(), places.goal_cells.tolist()
        self.most, self.renew = places.most_ml.tolist(), places.renew_after.tolist()
        self.plan_top = plan.first_day.top_per_ml.tolist()
        self.restart_per_ml = plan.restart_per_ml.tolist()
        self.jars = [Jar(row) for row in range(len(places.names))]
        for row in plan.first_day.idle:
            self.jars[row].off = True
        self.starters = [
            FridgeBottle(stock.volume_ml, stock.density_per_ml, stock.filled) for stock in plan.starters
        ]
        self.backups = {
            stock.strain: FridgeBottle(stock.volume_ml, stock.density_per_ml, stock.filled, drawn=stock.drawn)
            for stock in plan.bottles
        }
        self.draws: list[list[float]] = [[kind, on, ml] for kind, on, ml in plan.feeding.on_hand_ml]

    def restarts(self, day: int, kept: dict[int, float]) -> None:
        """Every vessel that waits asks; the one that needs least comes first. `kept`: what today's harvests keep."""
        patient: list[int] = []

        def waits(jar: Jar) -> bool:
            if self.must_wait(jar, day, kept):
                patient.append(jar.row)
            return jar.row in patient

        left = sorted(self.waiting, key=lambda row: (self.strain[row], self.least[row], row))
        for ask in (
            lambda jar: self.from_harvest(jar, day, kept),
            lambda jar: self.from_ripe(jar, day, kept),
            lambda jar: jar.broken_down and self.from_unripe(jar, day, kept),
            waits,
            lambda jar: self.from_starter(jar, day, 1.0),
            lambda jar: self.from_backup(jar, day, 1.0),
            lambda jar: self.from_unripe(jar, day, kept),
            lambda jar: self.from_starter(jar, day, THIN),
            lambda jar: self.from_backup(jar, day, THIN),
        ):
            left = [row for row in left if not ask(self.jars[row])]
        for row in left:
            self.check_lost(self.strain[row], day)
        self.waiting = [row for row in left if self.strain[row] not in self.lost_on] + patient

    def kin(self, taker: Jar) -> list[Jar]:
        found = [
            jar
            for jar in self.jars
            if jar.lives and not jar.suspect and self.strain[jar.row] == self.strain[taker.row]
        ]
        names = self.plan.places.names
        return sorted(found, key=lambda jar: (jar.reseeds, jar.since, names[jar.row] + "/"))

    def from_harvest(self, taker: Jar, day: int, kept: dict[int, float]) -> bool:
        givers = [jar for jar in self.kin(taker) if jar.row in kept]
        return any(self.pour(taker, jar, self.fill[jar.row] - kept[jar.row], day) for jar in givers)

    def from_ripe(self, taker: Jar, day: int, kept: dict[int, float]) -> bool:
        givers = [jar for jar in self.kin(taker) if jar.row not in kept and self.ripe(jar.z)]
        return any(self.pour(taker, jar, self.spare(jar), day) for jar in givers)

    def from_unripe(self, taker: Jar, day: int, kept: dict[int, float]) -> bool:
        givers = [
            jar
            for jar in self.kin(taker)
            if jar.row not in kept
            and not self.ripe(jar.z)
            and jar.z <= (1 / DONOR - 1) * (1 + HAIR)
            and day - jar.since > SETTLED
        ]
        return any(self.pour(taker, jar, self.spare(jar), day) for jar in givers)

    def must_wait(self, taker: Jar, day: int, kept: dict[int, float]) -> bool:
        """Whether one that is ripe on an open day of the next two will give this vessel enough."""
        ahead = [n for n in (1, 2) if day + n < self.plan.days and self.plan.is_open[day + n]]
        for jar in self.kin(taker):
            z = jar.z * self.decay[jar.row] ** max(ahead, default=0)
            if jar.row in kept or self.ripe(jar.z) or not self.ripe(z):
                continue
            per_ml = (self.top if jar.off else self.plan_top)[jar.row] / (1.0 + z)
            if self.portion(taker, per_ml, self.spare(jar) - jar.given_ml) * per_ml >= self.least[taker.row]:
                return True
        return False

    def spare(self, jar: Jar) -> float:
        return self.fill[jar.row] * (1.0 - self.keep[jar.row])

    def portion(self, taker: Jar, per_ml: float, spare_ml: float) -> float:
        return min(spare_ml, self.goal[taker.row] / per_ml, self.most[taker.row])

    def pour(self, taker: Jar, giver: Jar, spare_ml: float, day: int) -> bool:
        per_ml = self.per_ml(giver)
        volume_ml = self.portion(taker, per_ml, spare_ml - giver.given_ml)
        if volume_ml * per_ml < self.least[taker.row]:
            return False
        giver.given_ml += volume_ml
        self.note(day, self.plan.places.names[giver.row], volume_ml)
        self.stand(taker, volume_ml * per_ml, 0.0, day)
        self.pass_on(taker, giver.outbreak if giver.seen_on is not None else None, day)
        return True

    def note(self, day: int, source: str, volume_ml: float) -> None:
        """Write down what a source gave to restarts on a day."""
        drawn = self.drawn_ml.setdefault(day, {})
        drawn[source] = drawn.get(source, 0.0) + volume_ml

    def from_backup(self, taker: Jar, day: int, part: float) -> bool:
        strain = self.strain[taker.row]
        bottle = self.backups.get(strain)
        if bottle is None or not self.draw(taker, bottle, day, part):
            return False
        bottle.drawn = True
        if bottle.volume_ml == 0.0:
            del self.backups[strain]
        return True

    def from_starter(self, taker: Jar, day: int, part: float) -> bool:
        strain = self.strain[taker.row]
        stocks = zip(self.starters, self.plan.starters, strict=True)
        mine = [b for b, stock in stocks if stock.strain == strain and b.filled <= day]
        return any(self.draw(taker, bottle, day, part) for bottle in mine)

    def draw(self, taker: Jar, bottle: FridgeBottle, day: int, part: float) -> bool:
        strain = self.strain[taker.row]
        per_ml = self.alive(bottle, strain, day)
        volume_ml = self.portion(taker, per_ml, bottle.volume_ml) if per_ml else 0.0
        if volume_ml <= 0.0 or volume_ml * per_ml < part * self.least[taker.row]:
            return False
        bottle.volume_ml -= volume_ml
        self.note(day, "back-up" if bottle in self.backups.values() else "starter", volume_ml)
        if bottle.volume_ml <= 1e-6:
            bottle.volume_ml = 0.0
        lag = lag_days(float(day - bottle.filled), self.plan.strains.fridge_days[strain])
        self.stand(taker, volume_ml * per_ml, lag, day)
        self.pass_on(taker, bottle.outbreak, day)
        return True

    def stand(self, jar: Jar, cells: float, lag: float, day: int) -> None:
        per_ml = cells / self.fill[jar.row]
        planned = self.restart_per_ml[day][jar.row]
        if not abs(per_ml - planned) <= 1e-6 * planned:
            jar.off = True
        jar.z = (self.top[jar.row] / per_ml - 1.0) * math.exp(self.rate[jar.row] * lag)
        jar.since = jar.cleaned = day
        jar.reseeds, jar.given_ml = 0, 0.0

    def check_lost(self, strain: int, day: int) -> None:
        kin = [jar for jar in self.jars if self.strain[jar.row] == strain]
        if strain in self.lost_on or any(jar.lives or not jar.off for jar in kin):
            return
        need = THIN * self.least_of(strain)
        stock = [bottle for number, bottle in self.backups.items() if number == strain]
        stock += [b for b, s in zip(self.starters, self.plan.starters, strict=True) if s.strain == strain]
        if all(b.volume_ml * self.alive(b, strain, max(day, b.filled)) < need for b in stock):
            self.lost_on[strain] = day

    def least_of(self, strain: int) -> float:
        return min(least for least, its in zip(self.least, self.strain, strict=True) if its == strain)

    def alive(self, bottle: FridgeBottle, strain: int, day: int) -> float:
        fridge_days, age = self.plan.strains.fridge_days[strain], float(day - bottle.filled)
        return 0.0 if too_old(age, fridge_days) else bottle.per_ml * fridge_share_alive(age, fridge_days)

    def per_ml(self, jar: Jar) -> float:
        return (self.top if jar.off else self.plan_top)[jar.row] / (1.0 + jar.z)

    def pass_on(self, jar: Jar, outbreak: int | None, day: int) -> None:
        if outbreak is not None:
            jar.outbreak, jar.seen_on = outbreak, day + self.danger.hidden_days

    def ripe(self, z: float) -> bool:
        return z <= (1 / RIPE - 1) * (1 + HAIR)
