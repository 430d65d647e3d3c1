"""One season in plain Python, vessel by vessel: the rules of the rota written down once more, without arrays.

It shares the timetable and the numbers drawn with the package, and nothing of how a season is played.
"""

import math
from dataclasses import dataclass, field

from greenrota.culture.inoculum import fridge_share_alive, lag_days, too_old
from greenrota.risk.hazard import Danger
from greenrota.risk.timetable import Planned, StepKind, Timetable

RIPE, DONOR, STILL = 0.80, 0.50, 0.95  # shares of the ceiling: ripe, may give, stationary; as in the rota
GRACE, SETTLED, THIN, BANK = 3, 2, 0.5, 1.5
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
        self.backups = {
            stock.strain: FridgeBottle(
                stock.volume_ml, stock.density_per_ml, stock.filled, drawn=stock.drawn
            )
            for stock in plan.bottles
        }
        self.draws: list[list[float]] = [[kind, on, ml] for kind, on, ml in plan.feeding.lots_ml]

    def play(self, shelf: list[float], vessels: list[list[float]]) -> None:
        for day in range(self.plan.days):
            if day > 0:
                for jar in self.jars:
                    jar.z *= self.decay[jar.row]
                self.night(day, shelf[day], vessels[day])
            self.work(day)

    def work(self, day: int) -> None:
        steps = self.plan.planned[day]
        early = [step for step in steps if step.kind in (StepKind.START, StepKind.FEED)]
        late = [step for step in steps if step not in early]
        for step in early:
            self.do_step(step, day)
        for step in late:
            if step.z_before is not None and not self.jars[step.row].off:
                self.jars[step.row].z = step.z_before
        is_open = self.plan.is_open[day]
        due = self.ripe_off_plan(day) if is_open else []
        if is_open:
            kept = {step.row: step.kept_ml for step in late if step.kind is not StepKind.GIFT}
            kept = {row: ml for row, ml in kept.items() if not self.jars[row].off}
            kept.update({jar.row: self.kept_ml(jar) for jar in due})
            self.restarts(day, kept)
        for step in late:
            self.do_step(step, day)
        if is_open:
            self.harvest_all(due, day)
            self.waiting += self.emptied
            self.emptied = []
        for row in range(len(self.jars)):
            if not math.isnan(self.restart_per_ml[day][row]) and not self.jars[row].lives:
                self.jars[row].off = True
        self.feed(day)

    def do_step(self, step: Planned, day: int) -> None:
        if not self.jars[step.row].off:
            self.planned(step, day)
        if step.kind is not StepKind.RENEW:
            self.plan_top[step.row] = step.top_per_ml

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
                del self.backups[self.strain[jar.row]]
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
            jar.broken_down = False
        for jar, _ in dead:
            self.check_lost(self.strain[jar.row], day)

    def empty(self, jar: Jar) -> None:
        jar.z, jar.seen_on, jar.suspect = math.inf, None, False
        self.emptied.append(jar.row)

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

    def planned(self, step: Planned, day: int) -> None:
        jar = self.jars[step.row]
        if step.kind is StepKind.FEED:
            jar.z = step.z
        elif step.kind is StepKind.START:
            self.fill_planned(jar, step, day)
        elif step.kind is StepKind.GIFT:
            giver = self.jars[step.donor]
            if giver.off or not giver.lives or giver.suspect:
                jar.off = jar.broken_down = True
                self.waiting.append(jar.row)
                return
            self.fill_planned(jar, step, day)
            giver.given_ml += step.gift_ml
            self.pass_on(jar, giver.outbreak if giver.seen_on is not None else None, day)
        else:
            renewing = step.kind is StepKind.RENEW
            self.harvest(jar, step.kept_ml, renewing, day)
            if not renewing:
                jar.z = step.z

    def fill_planned(self, jar: Jar, step: Planned, day: int) -> None:
        jar.z, jar.since, jar.cleaned, jar.reseeds = step.z, day, day, 0

    def pass_on(self, jar: Jar, outbreak: int | None, day: int) -> None:
        if outbreak is not None:
            jar.outbreak, jar.seen_on = outbreak, day + self.danger.hidden_days

    def ripe_off_plan(self, day: int) -> list[Jar]:
        pinned = self.plan.pinned_days
        return [
            jar
            for jar in self.jars
            if jar.off
            and jar.lives
            and (self.ripe(jar.z) if pinned is None else jar.since <= day - pinned)
        ]

    def ripe(self, z: float) -> bool:
        return z <= (1 / RIPE - 1) * (1 + HAIR)

    def kept_ml(self, jar: Jar) -> float:
        return 0.0 if jar.reseeds >= self.renew[jar.row] else self.keep[jar.row] * self.fill[jar.row]

    def harvest_all(self, due: list[Jar], day: int) -> None:
        alone = {jar.row: self.alone(jar) for jar in due}
        for jar in due:
            renewing = jar.reseeds >= self.renew[jar.row]
            self.harvest(jar, self.kept_ml(jar), renewing, day, alone[jar.row])
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
        if young and bottle is not None and bottle.drawn:  # what is left of it must still restart the least needy
            young = bottle.volume_ml * self.alive(bottle, strain, day) >= self.least_of(strain)
        last = renewing and (self.alone(jar) if alone is None else alone)
        if self.plan.backup and not jar.suspect and (not young or last):
            per_ml = self.per_ml(jar)
            volume_ml = min(BANK * self.least_of(strain) / per_ml, self.plan.most_backup_ml)
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
            jar.broken_down = True
        else:
            jar.since, jar.reseeds = day, jar.reseeds + 1

    def restarts(self, day: int, kept: dict[int, float]) -> None:
        """Every vessel that waits asks; the one that needs least comes first. `kept`: what today's harvests keep."""
        turn = sorted(self.waiting, key=lambda row: (self.strain[row], self.least[row], row))
        patient = []
        started: list[int] = []
        for ask in (
            lambda jar: self.from_harvest(jar, day, kept),
            lambda jar: self.from_ripe(jar, day, kept),
            lambda jar: jar.broken_down and self.from_unripe(jar, day, kept),
            lambda jar: self.must_wait(jar, day, kept) and patient.append(jar.row) is None,
            lambda jar: self.from_starter(jar, day, 1.0),
            lambda jar: self.from_backup(jar, day, 1.0),
            lambda jar: self.from_unripe(jar, day, kept),
            lambda jar: self.from_starter(jar, day, THIN),
            lambda jar: self.from_backup(jar, day, THIN),
        ):
            for row in turn:
                if row not in started and row not in patient and ask(self.jars[row]) and row not in patient:
                    started.append(row)
        left = [row for row in turn if row not in started and row not in patient]
        for row in left:
            self.check_lost(self.strain[row], day)
        self.waiting = [row for row in left if self.strain[row] not in self.lost_on] + patient

    def kin(self, taker: Jar, day: int) -> list[Jar]:
        found = [
            jar
            for jar in self.jars
            if jar.lives and not jar.suspect and self.strain[jar.row] == self.strain[taker.row]
        ]
        names = self.plan.places.names
        return sorted(found, key=lambda jar: (jar.reseeds, jar.since, names[jar.row] + "/"))

    def from_harvest(self, taker: Jar, day: int, kept: dict[int, float]) -> bool:
        givers = [jar for jar in self.kin(taker, day) if jar.row in kept]
        return any(self.pour(taker, jar, self.fill[jar.row] - kept[jar.row], day) for jar in givers)

    def from_ripe(self, taker: Jar, day: int, kept: dict[int, float]) -> bool:
        givers = [jar for jar in self.kin(taker, day) if jar.row not in kept and self.ripe(jar.z)]
        return any(self.pour(taker, jar, self.spare(jar), day) for jar in givers)

    def from_unripe(self, taker: Jar, day: int, kept: dict[int, float]) -> bool:
        givers = [
            jar
            for jar in self.kin(taker, day)
            if jar.row not in kept
            and not self.ripe(jar.z)
            and jar.z <= (1 / DONOR - 1) * (1 + HAIR)
            and day - jar.since > SETTLED
        ]
        return any(self.pour(taker, jar, self.spare(jar), day) for jar in givers)

    def must_wait(self, taker: Jar, day: int, kept: dict[int, float]) -> bool:
        """Whether one that is ripe on an open day of the next two will give this vessel enough."""
        ahead = [n for n in (1, 2) if day + n < self.plan.days and self.plan.is_open[day + n]]
        for jar in self.kin(taker, day):
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
        self.stand(taker, volume_ml * per_ml, 0.0, day)
        self.pass_on(taker, giver.outbreak if giver.seen_on is not None else None, day)
        return True

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
