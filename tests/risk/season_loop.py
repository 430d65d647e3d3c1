"""One season in plain Python, vessel by vessel: the rules of the rota written down once more, without arrays.

It shares the timetable and the numbers drawn with the package, and nothing of how a season is played.
"""

import math

from season_keeper import FridgeBottle, Jar, Keeper

from greenrota.risk.timetable import Planned, StepKind

STILL, GRACE, BANK = (
    0.95,
    3,
    1.5,
)  # stationary share of the ceiling, days until over-ripe, margin of a back-up


class Loop(Keeper):
    """One season, played by `play`."""

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
            ripe = danger.crash + (danger.over_ripe if jar.z < self.over(jar) else 0.0)
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

    def ripe_off_plan(self, day: int) -> list[Jar]:
        pinned = self.plan.pinned_days
        return [
            jar
            for jar in self.jars
            if jar.off and jar.lives and (self.ripe(jar.z) if pinned is None else jar.since <= day - pinned)
        ]

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
        if (
            young and bottle is not None and bottle.drawn
        ):  # what is left of it must still restart the least needy
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
        if (day == 0 and self.plan.feeding.short_today) or (short and day >= self.plan.first_feed):
            self.short_days += 1

    def over(self, jar: Jar) -> float:
        """z below which a culture is over-ripe."""
        return (1 / STILL - 1) * math.exp(-GRACE * self.rate[jar.row])
