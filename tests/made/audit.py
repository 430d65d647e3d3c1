"""An audit of a rota from its printed amounts alone: volumes in and out, who stands where, who may give.

It knows nothing of broths, deeds or walks: bottles and vessels are plain numbers of millilitres.
"""

from __future__ import annotations

from datetime import date

from audit_water import check_buckets, is_open

from greenrota.culture.growth.broth import bench_ceiling_per_ml
from greenrota.rota.rota import Rota
from greenrota.rota.state.lineage import links
from greenrota.rota.tasks.task import Task

SLACK_ML = 1e-3  # a thousandth of a millilitre: rounding over hundreds of pours
# As docs/model.md tells them: the least share of the ceiling, that of a scale-up step, and the smallest fill.
LEAST_SHARE, STEP_SHARE, SMALLEST_FILL = 0.065, 0.08, 0.1
THOUSANDTH = 1e-3  # of a share: the least share itself is not thin


class Ledger:
    """What stands in vessels (batch, mL) and bottles (mL) as the tasks are done one by one."""

    def __init__(self, rota: Rota) -> None:
        self.rota = rota
        shelf = rota.state
        self.vessels = {
            name: (culture.batch.id, culture.broth.volume_l * 1000.0)
            for name, culture in shelf.cultures.items()
        }
        self.bottles = {bottle.id: bottle.volume_ml for bottle in shelf.bottles.values()}
        self.strains = {bottle.id: bottle.strain for bottle in shelf.bottles.values()}
        self.emptied = dict(rota.start_state.emptied)
        self.filling = {name for name, culture in shelf.cultures.items() if culture.filling}

    def run(self) -> None:
        for task in self.rota.tasks:
            if task.kind != "prepare":
                getattr(self, task.kind)(task)

    def start(self, task: Task) -> None:
        assert task.vessel not in self.vessels, f"{task.id}: {self.vessels[task.vessel]} stands there"
        assert self.emptied.get(task.vessel) != task.on, f"{task.id}: emptied that very day"
        poured_ml = self._needed(task.amounts.inoculum_ml)
        assert poured_ml > 0.0
        if task.parent in self.bottles:
            self.bottles[task.parent] -= poured_ml
            assert self.bottles[task.parent] > -SLACK_ML, f"{task.id}: {task.parent} is overdrawn"
            assert self.strains[task.parent] == self._strain(task)
        else:
            giver = task.parent.rsplit("/", 1)[0]
            batch, held_ml = self.vessels[giver]
            assert batch == task.parent, f"{task.id}: {task.parent} does not stand in {giver}, {batch} does"
            assert held_ml - poured_ml > 0.0, f"{task.id}: {task.parent} is drawn dry"
            self.vessels[giver] = (batch, held_ml - poured_ml)
        self._filled(task, poured_ml)
        self._not_thin(task, poured_ml)

    def topup(self, task: Task) -> None:
        assert task.vessel in self.filling, f"{task.id}: it is full"
        batch, held_ml = self.vessels[task.vessel]
        assert batch == task.batch
        water_ml, salt_g = self._needed(task.amounts.seawater_ml), self._needed(task.amounts.salt_g)
        filled_ml, whole_ml = held_ml + water_ml, self._whole_ml(task)
        full = abs(filled_ml - whole_ml) <= SLACK_ML
        assert filled_ml <= whole_ml + SLACK_ML and salt_g > 0.0, task.id
        assert filled_ml <= 10.0 * held_ml + SLACK_ML, f"{task.id}: more than 1:10"
        assert full or filled_ml >= 2.0 * held_ml - SLACK_ML, f"{task.id}: less than 1:2"
        assert self._share(task) >= STEP_SHARE * (1.0 - THOUSANDTH), f"{task.id}: {self._share(task):.3f}"
        self._dosed(task, water_ml)
        self.vessels[task.vessel] = (batch, filled_ml)
        if full:
            self.filling.discard(task.vessel)

    def feed(self, task: Task) -> None:
        assert task.vessel not in self.filling, f"{task.id}: it is still to be topped up"
        assert self.vessels[task.vessel][0] == task.batch
        assert all(ml > 0.0 for ml in task.amounts.nutrient_ml.values())

    def bank(self, task: Task) -> None:
        banked_ml = self._draw(task, self._needed(task.amounts.bank_ml))
        strain = self._strain(task)
        for old in [b for b in self.bottles if b.startswith("fridge:") and self.strains[b] == strain]:
            del self.bottles[old]
        self.bottles[f"fridge:{task.batch}"] = banked_ml
        self.strains[f"fridge:{task.batch}"] = strain

    def harvest(self, task: Task) -> None:
        never = self.rota.benches[task.vessel].rate_per_day < 0.1 and self.rota.plan.cycle.days is not None
        assert task.vessel not in self.filling or never, f"{task.id}: not full"
        self._draw(task, self._needed(task.amounts.harvest_ml))
        kept_ml = self._needed(task.amounts.keep_ml)
        assert abs(self.vessels[task.vessel][1] - kept_ml) <= SLACK_ML, f"{task.id}: not what is left"

    def reseed(self, task: Task) -> None:
        batch, held_ml = self.vessels.pop(task.vessel)
        assert batch == task.parent
        assert abs(held_ml - self._needed(task.amounts.inoculum_ml)) <= SLACK_ML, task.id
        self._filled(task, held_ml)
        self.filling.discard(task.vessel)

    def renew(self, task: Task) -> None:
        batch, _ = self.vessels.pop(task.vessel)
        assert batch == task.batch
        self.emptied[task.vessel] = task.on

    def _filled(self, task: Task, culture_ml: float) -> None:
        vessel = self.rota.plan.vessel(task.vessel)
        water_ml, salt_g = self._needed(task.amounts.seawater_ml), self._needed(task.amounts.salt_g)
        filled_ml, whole_ml = culture_ml + water_ml, self._whole_ml(task)
        partly = task.kind == "start" and filled_ml < whole_ml - SLACK_ML
        assert partly or abs(filled_ml - whole_ml) <= SLACK_ML or water_ml == 0.0, (
            f"{task.id}: {filled_ml} mL"
        )
        assert filled_ml <= vessel.brim_l * 1000.0 + SLACK_ML
        assert (salt_g > 0.0) == (water_ml > 0.0)
        self._dosed(task, filled_ml if task.kind == "start" else water_ml)
        self.vessels[task.vessel] = (task.batch, filled_ml)
        if partly:
            least_ml = max(SMALLEST_FILL * whole_ml, culture_ml)
            assert least_ml - SLACK_ML <= filled_ml <= max(0.5 * whole_ml, culture_ml) + SLACK_ML, task.id
            self.filling.add(task.vessel)

    def _not_thin(self, task: Task, inoculum_ml: float) -> None:
        """No start under the least share, unless it says so and not even the smallest fill would be denser."""
        if self._share(task) >= LEAST_SHARE * (1.0 - THOUSANDTH):
            assert "a thin start" not in task.reason, f"{task.id}: {task.reason}"
            return
        assert "; a thin start: " in task.reason, f"{task.id}: {task.reason}"
        smallest_ml = max(SMALLEST_FILL * self._whole_ml(task), inoculum_ml)
        assert abs(self.vessels[task.vessel][1] - smallest_ml) <= SLACK_ML, (
            f"{task.id}: not the smallest fill"
        )

    def _dosed(self, task: Task, filled_ml: float) -> None:
        """Every bottle gives the label dose for so many mL."""
        nutrient = self.rota.plan.nutrients[self.rota.plan.vessel(task.vessel).nutrient]
        wanted_ml = nutrient.dose_ml_per_l * filled_ml / 1000.0
        assert all(abs(ml - wanted_ml) <= SLACK_ML for ml in task.amounts.nutrient_ml.values()), task.id

    def _share(self, task: Task) -> float:
        """What stands after a task, as a share of the ceiling of the full vessel."""
        vessel = self.rota.plan.vessel(task.vessel)
        top_per_ml = bench_ceiling_per_ml(self.rota.plan.strains[vessel.strain], vessel.fill_l)
        return self._needed(task.density_after_per_ml) / top_per_ml

    def _whole_ml(self, task: Task) -> float:
        return self.rota.plan.vessel(task.vessel).fill_l * 1000.0

    def _draw(self, task: Task, drawn_ml: float) -> float:
        batch, held_ml = self.vessels[task.vessel]
        assert batch == task.batch, f"{task.id}: {batch} stands there"
        assert 0.0 < drawn_ml <= held_ml + SLACK_ML, f"{task.id}: {drawn_ml} of {held_ml} mL"
        self.vessels[task.vessel] = (batch, held_ml - drawn_ml)
        return drawn_ml

    def _strain(self, task: Task) -> str:
        return self.rota.plan.vessel(task.vessel).strain

    @staticmethod
    def _needed(amount: float | None) -> float:
        assert amount is not None
        assert amount >= 0.0
        return amount


def audit(rota: Rota) -> None:
    """Every law that the tasks of one rota must hold, whatever the plan and the past."""
    Ledger(rota).run()
    ids = [task.id for task in rota.tasks]
    assert len(ids) == len(set(ids))
    assert not set(ids) & rota.start_state.done
    started: dict[str, date] = {b.id: b.started for b in rota.state.batches.values()}
    for task in rota.tasks:
        assert rota.as_of <= task.on <= rota.through, task.id
        if task.kind == "prepare":
            continue
        assert is_open(rota, task.on), f"{task.id} on {task.on}, when nobody is there"
        if task.kind in ("start", "reseed"):
            started[task.batch] = task.on
        else:
            assert started[task.batch] < task.on, f"{task.id} on the day {task.batch} was started or before"
    check_buckets(rota)


def check_lineage(rota: Rota) -> None:
    """Every batch and bottle goes back to a starter without a loop.

    What is planned also has parents of its own strain that were there before it; a person may write down otherwise.
    """
    family, told = links(rota.simulation.state), links(rota.state)
    for link in family.values():
        seen = {link.child}
        at = link
        while at.parent is not None and at.parent in family:
            assert at.parent not in seen, f"{link.child} descends from itself"
            seen.add(at.parent)
            if at.child not in told:
                assert family[at.parent].on <= at.on
                assert family[at.parent].strain == at.strain
            at = family[at.parent]
        assert at.parent is None or (at.child in told and at.parent.startswith("starter:")), at


def check_densities(rota: Rota) -> None:
    """No culture is denser than the densest thing it can have come from or grown into."""
    densest = {
        name: max([b.density_per_ml for b in rota.state.filled.values() if b.strain == name], default=0.0)
        for name in rota.plan.strains
    }
    for vessel in rota.plan.vessels:
        top = bench_ceiling_per_ml(rota.plan.strains[vessel.strain], vessel.fill_l)
        densest[vessel.strain] = max(densest[vessel.strain], top)
    for culture in rota.state.cultures.values():
        strain = culture.batch.strain
        densest[strain] = max(densest[strain], culture.broth.density_per_ml)
    for task in rota.tasks:
        for per_ml in (task.density_before_per_ml, task.density_after_per_ml):
            strain = rota.plan.vessel(task.vessel).strain
            assert per_ml is None or 0.0 <= per_ml <= densest[strain] * (1.0 + 1e-9), task.id


def check_all(rota: Rota) -> None:
    """The audit, the lineage and the densities."""
    audit(rota)
    check_lineage(rota)
    check_densities(rota)
    assert all(problem.what and problem.hint and problem.where for problem in rota.problems), rota.problems
