"""Supplies: what the tasks of a rota use up, when each bottle runs dry, and what to buy."""

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from datetime import date
from typing import NamedTuple

from greenrota.culture.bench.sanitation import bleach_ml
from greenrota.culture.growth.broth import ML_PER_L
from greenrota.culture.water.seawater import density_kg_per_m3
from greenrota.frozen import FrozenDict
from greenrota.rota.feed.rations import standby_vessels
from greenrota.rota.kinds import CLEANING, MIXED_FOR
from greenrota.rota.plan import Plan, Vessel
from greenrota.rota.tasks import measured
from greenrota.rota.tasks.task import Task

# WHO 2014, Annex G (ncbi.nlm.nih.gov/books/NBK214356): 500 mg/L, immersion 30 min, organics cleaned off first; that
# a culture vessel is soaked so, full to the brim, is our choice.
SOAK_CHLORINE_MG_PER_L = 500.0
BLEACH_PERCENT = 5.0  # the weakest of the usable range, 5-9 % (CDC advice, copy), so that enough is bought
RINSES = 2  # brim volumes of fresh water after the soak, before the chlorine test; our choice
DRY_ML = 1e-6  # rounding of the arithmetic; our choice
NOTHING: Mapping[str, float] = FrozenDict()


class Supplies(NamedTuple):
    """What a list of tasks uses. Volumes in mL, salt in g of dry mix; nutrients and starters by name.

    Salt and seawater are those that are still to be mixed.
    `mixing_ml` is the fresh water in the new seawater, `cleaning_ml` that for soaking and rinsing. `feed_ml` is the
    harvest for the animals, without that of standby vessels.
    """

    nutrient_ml: Mapping[str, float]
    starter_ml: Mapping[str, float]
    salt_g: float
    seawater_ml: float
    mixing_ml: float
    cleanings: int
    bleach_ml: float
    cleaning_ml: float
    feed_ml: float

    @property
    def cautions(self) -> tuple[str, ...]:
        """Cautions of what is bought and used: bleach only where something is cleaned with it."""
        salt = ("mains",) if self.salt_g else ()
        return (*(CLEANING if self.cleanings else ()), *salt, *(("nutrient",) if self.nutrient_ml else ()))

    @property
    def fresh_water_ml(self) -> float:
        """All fresh water; what evaporates is not in it."""
        return self.mixing_ml + self.cleaning_ml


def unmixed_shares(tasks: Iterable[Task]) -> dict[str, float]:
    """The share of each filling's seawater that is still to be mixed, by task id; the rest stands in a bucket.

    The fillings that a bucket serves say how much of it they still need.
    """
    tasks = list(tasks)
    needed_ml: dict[str, float] = defaultdict(float)
    for fill in (fill for task in tasks for fill in task.fills):
        needed_ml[fill.task] += fill.seawater_ml
    filled = [task for task in tasks if task.kind in MIXED_FOR and task.amounts.seawater_ml]
    return {task.id: min(1.0, needed_ml[task.id] / (task.amounts.seawater_ml or 1.0)) for task in filled}


def supplies(plan: Plan, tasks: Iterable[Task], unmixed: Mapping[str, float] = NOTHING) -> Supplies:
    """Add up what the tasks pour. Salt and seawater are counted where they are poured, not where they are mixed.

    `unmixed` is the share of a filling's seawater that is still to be mixed (`unmixed_shares`); all of it where it says
    nothing. A vessel is cleaned once between two fillings: before every start, and at a renewal that no start follows.
    """
    tasks = list(tasks)
    poured = [(task, unmixed.get(task.id, 1.0)) for task in tasks if task.kind in MIXED_FOR]
    cleaned, standby = list(_cleaned(plan, tasks)), standby_vessels(plan)
    return Supplies(
        nutrient_ml=_nutrients(tasks),
        starter_ml=_starters(tasks),
        salt_g=sum(share * (task.amounts.salt_g or 0.0) for task, share in poured),
        seawater_ml=sum(share * (task.amounts.seawater_ml or 0.0) for task, share in poured),
        mixing_ml=sum(share * _fresh_ml(plan, task) for task, share in poured),
        cleanings=len(cleaned),
        bleach_ml=sum(bleach_ml(v.brim_l, SOAK_CHLORINE_MG_PER_L, BLEACH_PERCENT) for v in cleaned),
        cleaning_ml=sum((1 + RINSES) * vessel.brim_l * ML_PER_L for vessel in cleaned),
        feed_ml=sum(
            task.amounts.harvest_ml or 0.0
            for task in tasks
            if task.kind == "harvest" and task.vessel not in standby and not task.withheld
        ),
    )


def _nutrients(tasks: Iterable[Task]) -> dict[str, float]:
    used: dict[str, float] = defaultdict(float)
    for task in tasks:
        for name, ml in task.amounts.nutrient_ml.items():
            used[name] += ml
    return dict(used)


def _starters(tasks: Iterable[Task]) -> dict[str, float]:
    used: dict[str, float] = defaultdict(float)
    for task in tasks:
        kind, _, name = task.parent.partition(":")
        if task.kind == "start" and kind == "starter":
            used[name] += task.amounts.inoculum_ml or 0.0
    return dict(used)


def _fresh_ml(plan: Plan, task: Task) -> float:
    """Fresh water that the salt of a task goes into: the mass of the seawater without that of the dry mix."""
    seawater_ml, salt_g = task.amounts.seawater_ml or 0.0, task.amounts.salt_g or 0.0
    water_c = plan.vessel(task.vessel).temperature_c
    seawater_g = seawater_ml * density_kg_per_m3(plan.water.salinity_psu, water_c) / 1000.0
    return max(0.0, seawater_g - salt_g) / density_kg_per_m3(0.0, water_c) * 1000.0


def _cleaned(plan: Plan, tasks: Iterable[Task]) -> Iterator[Vessel]:
    broken_down: set[str] = set()
    for task in tasks:
        if task.kind == "start":
            broken_down.discard(task.vessel)
            yield plan.vessel(task.vessel)
        elif task.kind == "renew":
            broken_down.add(task.vessel)
    for name in sorted(broken_down):
        yield plan.vessel(name)


def left_in_bottle_ml(plan: Plan, name: str, poured: Mapping[str, float] = NOTHING) -> float | None:
    """What a nutrient bottle holds (mL) by the plan, less what the logbook says was poured; None if not known."""
    nutrient = plan.nutrients.get(name)
    if nutrient is None or nutrient.bottle_ml is None:
        return None
    return max(0.0, nutrient.bottle_ml - poured.get(name, 0.0))


def runs_dry(plan: Plan, tasks: Iterable[Task], poured: Mapping[str, float] = NOTHING) -> dict[str, date]:
    """The day of the first task for which a nutrient bottle no longer holds enough, by nutrient name.

    A bottle holds what the plan says less what the logbook says was `poured` (mL by nutrient), and loses the measured
    amounts of tasks. Bottles of unknown content and those that last are left out.
    """
    left_ml = {
        name: n.bottle_ml - poured.get(name, 0.0)
        for name, n in plan.nutrients.items()
        if n.bottle_ml is not None
    }
    dry: dict[str, date] = {}
    for task in sorted(tasks, key=lambda task: task.on):
        for name, ml in measured.poured(task).nutrient_ml.items():
            if name in left_ml:
                left_ml[name] -= ml
                if left_ml[name] < -DRY_ML:
                    dry.setdefault(name, task.on)
    return dry


class Purchase(NamedTuple):
    """One line of the shopping list. `bottles` None: how many is not known, for the plan gives no size.

    `amount` is what is missing, in `unit` ("mL" or "g"). `by` is the day on which it is first missing.
    """

    what: str
    amount: float
    unit: str
    bottles: int | None
    by: date | None


def shopping(
    plan: Plan,
    tasks: Iterable[Task],
    poured: Mapping[str, float] = NOTHING,
    unmixed: Mapping[str, float] = NOTHING,
) -> tuple[Purchase, ...]:
    """What to have in the house for the tasks, beyond the nutrient that the plan says is there.

    `unmixed` as in `supplies`. The plan knows no stock of salt and bleach, so these are listed in full; a nutrient of
    unknown content too.
    """
    tasks = list(tasks)
    used, dry = supplies(plan, tasks, unmixed), runs_dry(plan, tasks, poured)
    bought = []
    for name, ml in used.nutrient_ml.items():
        nutrient = plan.nutrients.get(name)
        left_ml = left_in_bottle_ml(plan, name, poured) or 0.0
        missing_ml, size_ml = ml - left_ml, None if nutrient is None else nutrient.size_ml
        if missing_ml > DRY_ML:
            bottles = None if size_ml is None else math.ceil((missing_ml - DRY_ML) / size_ml)
            bought.append(Purchase(name, missing_ml, "mL", bottles, dry.get(name)))
    if used.salt_g > 0.0:
        bought.append(Purchase("dry salt", used.salt_g, "g", None, None))
    if used.bleach_ml > 0.0:
        bought.append(Purchase("bleach", used.bleach_ml, "mL", None, None))
    return tuple(bought)
