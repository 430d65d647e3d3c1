"""One season in plain Python, vessel by vessel: the rules of the rota written down once more, without arrays.

It shares the timetable and the numbers drawn with the package, and nothing of how a season is played.
"""

import math
from dataclasses import dataclass, field

from greenrota.culture.inoculum import fridge_share_alive, lag_days, too_old
from greenrota.risk.hazard import Danger
from greenrota.risk.timetable import Planned, StepKind, Timetable

RIPE, DONOR, STILL = 0.80, 0.50, 0.95  # shares of the ceiling: ripe, may give, stationary; as in the rota
GRACE, SETTLED, THIN = 3, 2, 0.5


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

    @property
    def lives(self) -> bool:
        return self.z < math.inf


@dataclass
class FridgeBottle:
    volume_ml: float
    per_ml: float
    filled: int
    outbreak: int | None = None


@dataclass
class Loop:
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

    def __post_init__(self) -> None:
        plan = self.plan
        places = plan.places
        self.decay, self.rate = places.decay.tolist(), places.rate_per_day.tolist()
        self.fill, self.keep = places.fill_ml.tolist(), places.keep_share.tolist()
        self.top, self.strain = places.top_per_ml.tolist(), places.strain.tolist()
        self.least, self.goal = places.least_cells.tolist(), places.goal_cells.tolist()
        self.most, self.renew = places.most_ml.tolist(), places.renew_after.tolist()
        self.over = [(1 / STILL - 1) * math.exp(-GRACE * rate) for rate in self.rate]
        self.plan_top = plan.first_day.top_per_ml.tolist()
        self.restart_per_ml = plan.restart_per_ml.tolist()
        self.jars = [Jar(row) for row in range(len(places.names))]
        for row in plan.first_day.idle:
            self.jars[row].off = True
        self.starters = [
            FridgeBottle(stock.volume_ml, stock.density_per_ml, stock.filled) for stock in plan.starters
        ]
        self.draws: list[list[float]] = [[kind, on, ml] for kind, on, ml in plan.feeding.lots_ml]

    def play(self, shelf: list[float], vessels: list[list[float]]) -> None:
        for day in range(self.plan.days):
            if day > 0:
                for jar in self.jars:
                    jar.z *= self.decay[jar.row]
                self.night(day, shelf[day], vessels[day])
            for step in self.plan.planned[day]:
                if not self.jars[step.row].off:
                    self.planned(step, day)
                if step.kind is not StepKind.RENEW:
                    self.plan_top[step.row] = step.top_per_ml
            if self.plan.is_open[day]:
                self.harvest_ripe(day)
                self.restarts(day)
                self.waiting += self.emptied
                self.emptied = []
            for row in range(len(self.jars)):
                if not math.isnan(self.restart_per_ml[day][row]) and not self.jars[row].lives:
                    self.jars[row].off = True
            self.feed(day)

    def night(self, day: int, on_shelf: float, drawn: list[float]) -> None:
        danger = self.danger
        dead: list[tuple[Jar, int]] = []
        shown = [jar for jar in self.jars if jar.lives and jar.seen_on == day]
        for jar in shown:
            for other in self.jars:
                kin = other.seen_on is not None and other.outbreak == jar.outbreak
                if kin and self.strain[other.row] == self.strain[jar.row]:
                    other.suspect = True
            bottle = self.backups.get(self.strain[jar.row])
            if bottle is not None and bottle.outbreak is not None and bottle.outbreak == jar.outbreak:
                bottle.volume_ml = 0.0
        for jar in shown:
            jar.z = math.inf
            dead.append((jar, 2))
        for jar in self.jars:
            if not jar.lives:
                continue
            luck = drawn[jar.row]
            ripe = danger.crash + (danger.over_ripe if jar.z < self.over[jar.row] else 0.0)
            fouled = danger.contamination * (1 + (day - jar.cleaned) / danger.fouling_days)
            if luck < ripe:
                jar.z = math.inf
                dead.append((jar, 0 if luck < danger.crash else 1))
            elif luck < ripe + fouled and jar.seen_on is None:
                jar.outbreak, jar.seen_on = day, day + danger.hidden_days
        edge = 0.0
        for kind, blow in enumerate(danger.blows):
            if edge <= on_shelf < edge + blow.per_day:
                for jar in self.jars:
                    if jar.lives and drawn[jar.row] >= 1.0 - blow.loss_share:
                        jar.z = math.inf
                        dead.append((jar, 3 + kind))
            edge += blow.per_day
        for jar, cause in dead:
            jar.off = True
            self.losses[cause] += 1
            self.empty(jar)
        for jar, _ in dead:
            self.check_lost(self.strain[jar.row], day)

    def empty(self, jar: Jar) -> None:
        jar.z, jar.seen_on, jar.suspect = math.inf, None, False
        self.emptied.append(jar.row)

    def check_lost(self, strain: int, day: int) -> None:
        kin = [jar for jar in self.jars if self.strain[jar.row] == strain]
        if strain in self.lost_on or any(jar.lives or not jar.off for jar in kin):
            return
        need = THIN * min(self.least[jar.row] for jar in kin)
        stock = [bottle for number, bottle in self.backups.items() if number == strain]
        stock += [b for b, s in zip(self.starters, self.plan.starters, strict=True) if s.strain == strain]
        if all(b.volume_ml * self.alive(b, strain, max(day, b.filled)) < need for b in stock):
            self.lost_on[strain] = day

    def alive(self, bottle: FridgeBottle, strain: int, day: int) -> float:
        fridge_days, age = self.plan.strains.fridge_days[strain], float(day - bottle.filled)
        return 0.0 if too_old(age, fridge_days) else bottle.per_ml * fridge_share_alive(age, fridge_days)

    def per_ml(self, jar: Jar) -> float:
        return (self.top if jar.off else self.plan_top)[jar.row] / (1.0 + jar.z)

    def planned(self, step: Planned, day: int) -> None:
        jar = self.jars[step.row]
        if step.kind is StepKind.FEED:
            jar.z = step.z
        elif step.kind is StepKind.START:
            self.fill_planned(jar, step, day)
        elif step.kind is StepKind.GIFT:
            giver = self.jars[step.donor]
            if giver.off or not giver.lives or giver.suspect:
                jar.off = True
                self.waiting.append(jar.row)
                return
            self.fill_planned(jar, step, day)
            giver.given_ml += step.gift_ml
            self.pass_on(jar, giver.outbreak if giver.seen_on is not None else None, day)
        else:
            if step.z_before is not None:
                jar.z = step.z_before
            renewing = step.kind is StepKind.RENEW
            self.harvest(jar, step.kept_ml, renewing, day)
            if not renewing:
                jar.z = step.z

    def fill_planned(self, jar: Jar, step: Planned, day: int) -> None:
        jar.z, jar.since, jar.cleaned, jar.reseeds = step.z, day, day, 0

    def pass_on(self, jar: Jar, outbreak: int | None, day: int) -> None:
        if outbreak is not None:
            jar.outbreak, jar.seen_on = outbreak, day + self.danger.hidden_days

    def harvest_ripe(self, day: int) -> None:
        pinned = self.plan.pinned_days
        due = [
            jar
            for jar in self.jars
            if jar.off
            and jar.lives
            and (1 / (1 + jar.z) >= RIPE - 1e-15 if pinned is None else jar.since <= day - pinned)
        ]
        alone = {jar.row: self.alone(jar) for jar in due}
        for jar in due:
            renewing = jar.reseeds >= self.renew[jar.row]
            kept_ml = 0.0 if renewing else self.keep[jar.row] * self.fill[jar.row]
            self.harvest(jar, kept_ml, renewing, day, alone[jar.row])
            if not renewing:
                jar.z = (jar.z + 1.0) / self.keep[jar.row] - 1.0

    def alone(self, jar: Jar) -> bool:
        return not any(
            other.lives and other is not jar and self.strain[other.row] == self.strain[jar.row]
            for other in self.jars
        )

    def harvest(self, jar: Jar, kept_ml: float, renewing: bool, day: int, alone: bool | None = None) -> None:
        strain = self.strain[jar.row]
        bottle = self.backups.get(strain)
        young = bottle is not None and day - bottle.filled < self.plan.strains.refresh_days[strain]
        last = renewing and (self.alone(jar) if alone is None else alone)
        if self.plan.backup and not jar.suspect and (not young or last):
            per_ml = self.per_ml(jar)
            volume_ml = self.plan.strains.bank_cells[strain] / per_ml
            if volume_ml <= self.fill[jar.row] - kept_ml - jar.given_ml:
                outbreak = jar.outbreak if jar.seen_on is not None else None
                self.backups[strain] = FridgeBottle(volume_ml, per_ml, day, outbreak)
                jar.given_ml += volume_ml
        if self.plan.places.feeds[jar.row]:
            kind, ml = int(self.plan.feeding.kind[jar.row]), self.fill[jar.row] - kept_ml - jar.given_ml
            self.harvest_ml[kind] = self.harvest_ml.get(kind, 0.0) + max(0.0, ml)
        jar.given_ml = 0.0
        if renewing:
            self.empty(jar)
        else:
            jar.since, jar.reseeds = day, jar.reseeds + 1

    def restarts(self, day: int) -> None:
        turn = sorted(self.waiting, key=lambda row: (self.strain[row], row))
        left = [row for row in turn if not self.restart(self.jars[row], day)]
        for row in left:
            self.check_lost(self.strain[row], day)
        self.waiting = [row for row in left if self.strain[row] not in self.lost_on]

    def restart(self, taker: Jar, day: int) -> bool:
        row, strain = taker.row, self.strain[taker.row]
        donors = [
            jar
            for jar in self.jars
            if self.strain[jar.row] == strain
            and jar.lives
            and 1.0 / (1.0 + jar.z) >= DONOR
            and day - jar.since > SETTLED
            and not jar.suspect
        ]
        for jar in sorted(donors, key=lambda jar: (jar.reseeds, jar.since, jar.row)):
            per_ml = self.per_ml(jar)
            spare_ml = self.fill[jar.row] * (1.0 - self.keep[jar.row]) - jar.given_ml
            volume_ml = min(spare_ml, self.goal[row] / per_ml, self.most[row])
            if spare_ml > 0.0 and volume_ml * per_ml >= self.least[row]:
                jar.given_ml += volume_ml
                self.stand(taker, volume_ml * per_ml, 0.0, day)
                self.pass_on(taker, jar.outbreak if jar.seen_on is not None else None, day)
                return True
        bottles = [self.backups[strain]] if strain in self.backups else []
        stocks = zip(self.starters, self.plan.starters, strict=True)
        bottles += [b for b, stock in stocks if stock.strain == strain and b.filled <= day]
        for bottle in bottles:
            per_ml = self.alive(bottle, strain, day)
            volume_ml = min(bottle.volume_ml, self.goal[row] / per_ml, self.most[row]) if per_ml else 0.0
            if volume_ml * per_ml >= THIN * self.least[row]:
                bottle.volume_ml -= volume_ml
                lag = lag_days(float(day - bottle.filled), self.plan.strains.fridge_days[strain])
                if bottle.volume_ml <= 1e-6:
                    bottle.volume_ml = 0.0
                    if self.backups.get(strain) is bottle:
                        del self.backups[strain]
                self.stand(taker, volume_ml * per_ml, lag, day)
                self.pass_on(taker, bottle.outbreak, day)
                return True
        return False

    def stand(self, jar: Jar, cells: float, lag: float, day: int) -> None:
        per_ml = cells / self.fill[jar.row]
        planned = self.restart_per_ml[day][jar.row]
        if not abs(per_ml - planned) <= 1e-6 * planned:
            jar.off = True
        jar.z = (self.top[jar.row] / per_ml - 1.0) * math.exp(self.rate[jar.row] * lag)
        jar.since = jar.cleaned = day
        jar.reseeds, jar.given_ml = 0, 0.0

    def feed(self, day: int) -> None:
        keeps = self.plan.feeding.keeps_days
        self.draws = [draw for draw in self.draws if day - draw[1] <= keeps]
        self.draws += [[kind, day, ml] for kind, ml in self.harvest_ml.items()]
        self.harvest_ml = {}
        short = False
        for kind, ration_ml in enumerate(self.plan.feeding.ration_ml):
            left = ration_ml[day]
            for draw in self.draws:
                taken = min(left, draw[2]) if draw[0] == kind else 0.0
                draw[2] -= taken
                left -= taken
            short = short or left > 1e-6
        if short and day >= self.plan.first_feed:
            self.short_days += 1
