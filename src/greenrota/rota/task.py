"""Tasks: what is to be done on which day, with every amount that is poured, made from planned visits."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from functools import lru_cache
from types import MappingProxyType

from greenrota.culture.broth import ML_PER_L
from greenrota.culture.dose import dose_ml
from greenrota.rota.bench import Bench
from greenrota.rota.opendays import EVE_DAYS, OpenDays
from greenrota.rota.visit import Visit

KINDS = ("prepare", "start", "feed", "harvest", "reseed", "renew", "bank")
# Order of the bench within a day: what gives comes before what receives.
DAY_ORDER = {
    kind: n for n, kind in enumerate(("prepare", "start", "feed", "bank", "harvest", "reseed", "renew"))
}

# Each caution stands at the tasks in which it is needed: a harvest lifts a full jar out of its place, stops its air
# and puts bottles into the fridge.
CLEANING = ("bleach", "bleach_kind", "bleach_rinse", "chlorine_test", "hot_water", "glass")
CAUTIONS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "prepare": ("mains",),
        "start": ("mains", "air_line", "nutrient"),
        "feed": ("nutrient",),
        "harvest": ("mains", "air_line", "glass", "food_fridge"),
        "reseed": ("mains", "air_line", "nutrient"),
        "renew": (*CLEANING, "mains"),
        "bank": ("mains", "food_fridge"),
    }
)
# Where a plan grows several strains: what opens a culture or carries one from place to place.
STRAIN_TOOLS = "strain_tools"
CARRYING = frozenset({"start", "reseed", "bank"})
NO_NUTRIENT: Mapping[str, float] = MappingProxyType({})


@dataclass(frozen=True, slots=True)
class Amounts:
    """What a task pours or takes out; None where it does not apply. Volumes in mL, salt in g of dry mix."""

    inoculum_ml: float | None = None
    seawater_ml: float | None = None
    salt_g: float | None = None
    nutrient_ml: Mapping[str, float] = field(default_factory=lambda: NO_NUTRIENT, hash=False)
    harvest_ml: float | None = None
    keep_ml: float | None = None
    bank_ml: float | None = None


@dataclass(frozen=True, slots=True)
class Task:
    """One dated task. `id` is `batch/kind` and stays the same when the date moves.

    Densities in cells per mL before and after; None where nothing stands. `cautions` are keys of
    `culture.sanitation.CAUTIONS`; `light_h` is a photoperiod to set, None where it stays as it is. `measured` are the
    amounts as the instruments show them (see `measuring`), None where that has not been worked out.
    """

    id: str
    kind: str
    on: date
    vessel: str
    batch: str
    parent: str
    amounts: Amounts
    density_before_per_ml: float | None
    density_after_per_ml: float | None
    reason: str
    cautions: tuple[str, ...]
    light_h: float | None = None
    measured: Amounts | None = field(default=None, compare=False)


def tasks_from(
    benches: Mapping[str, Bench],
    visits: Iterable[Visit],
    as_of: date,
    open_days: OpenDays,
    done: frozenset[str] = frozenset(),
) -> tuple[Task, ...]:
    """All tasks of planned visits, in the order of the calendar and of the bench; prepare tasks come with them.

    Tasks whose id is in `done` are left out. Where the benches grow several strains, tasks that move living culture
    carry the caution about shared tools.
    """
    tasks: list[Task] = []
    several = len({bench.strain.name for bench in benches.values()}) > 1
    for visit in visits:
        bench = benches[visit.batch.vessel]
        tasks.append(_task(bench, visit, several))
        if visit.kind in ("start", "reseed"):
            tasks.append(_prepare(bench, visit, as_of, open_days))
    open_tasks = [task for task in tasks if task.id not in done]
    return tuple(sorted(open_tasks, key=lambda task: (task.on, _bench_order(task), task.vessel, task.batch)))


def _bench_order(task: Task) -> int:
    """The place of a task in its day; a bottle that is filled that day is filled before it gives."""
    late = task.kind == "start" and task.parent.startswith("fridge:")
    return DAY_ORDER["harvest" if late else task.kind]


def _task(bench: Bench, visit: Visit, several_strains: bool) -> Task:
    cautions = CAUTIONS[visit.kind]
    if several_strains and visit.kind in CARRYING:
        cautions = (*cautions, STRAIN_TOOLS)
    return Task(
        id=f"{visit.batch.id}/{visit.kind}",
        kind=visit.kind,
        on=visit.on,
        vessel=visit.batch.vessel,
        batch=visit.batch.id,
        parent=visit.batch.parent,
        amounts=_amounts(bench, visit),
        density_before_per_ml=None if visit.before is None else visit.before.density_per_ml,
        density_after_per_ml=None if visit.after is None else visit.after.density_per_ml,
        reason=visit.reason,
        cautions=cautions,
        light_h=visit.light_h,
    )


def _amounts(bench: Bench, visit: Visit) -> Amounts:
    if visit.kind == "harvest":
        keep_l = 0.0 if visit.after is None else visit.after.volume_l
        return Amounts(harvest_ml=visit.volume_ml, keep_ml=keep_l * ML_PER_L)
    if visit.kind == "bank":
        return Amounts(bank_ml=visit.volume_ml)
    nutrient_ml = _nutrient_ml(bench, visit.label_doses_l)
    if visit.kind == "feed":
        return Amounts(nutrient_ml=nutrient_ml)
    if visit.kind == "renew":
        return Amounts()
    return Amounts(
        inoculum_ml=visit.volume_ml,
        seawater_ml=visit.seawater_l * ML_PER_L,
        salt_g=visit.seawater_l * bench.salt_g_per_l,
        nutrient_ml=nutrient_ml,
        keep_ml=visit.volume_ml if visit.kind == "reseed" else None,
    )


def _nutrient_ml(bench: Bench, label_doses_l: float) -> Mapping[str, float]:
    nutrient = bench.nutrient
    names = (nutrient.name,) if nutrient.other_part is None else (nutrient.name, nutrient.other_part)
    return _each(names, dose_ml(label_doses_l, nutrient.dose_ml_per_l))


@lru_cache(maxsize=4096)
def _each(names: tuple[str, ...], poured_ml: float) -> Mapping[str, float]:
    """The same dose of each part. A year of tasks knows few doses: equal ones are one record."""
    return MappingProxyType(dict.fromkeys(names, poured_ml))


def _prepare(bench: Bench, visit: Visit, as_of: date, open_days: OpenDays) -> Task:
    """Clean and mix on the last open day shortly before the visit; on the day itself where there is none."""
    fresh = visit.kind == "start"
    on = open_days.eve(visit.on, as_of)
    what = "clean the vessel and mix the seawater" if fresh else "mix the seawater"
    when = (
        f"on the day itself: no working day in the {EVE_DAYS} days before"
        if on == visit.on
        else f"for {visit.on}"
    )
    return Task(
        id=f"{visit.batch.id}/prepare",
        kind="prepare",
        on=on,
        vessel=visit.batch.vessel,
        batch=visit.batch.id,
        parent=visit.batch.parent,
        amounts=Amounts(
            seawater_ml=visit.seawater_l * ML_PER_L, salt_g=visit.seawater_l * bench.salt_g_per_l
        ),
        density_before_per_ml=None,
        density_after_per_ml=None,
        reason=f"{what} {when}",
        cautions=(*CLEANING, *CAUTIONS["prepare"]) if fresh else CAUTIONS["prepare"],
    )
