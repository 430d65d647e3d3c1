"""Tasks: what is to be done on which day, with every amount that is poured, made from planned visits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import lru_cache
from types import MappingProxyType

from greenrota.culture.broth import ML_PER_L
from greenrota.culture.dose import dose_ml
from greenrota.frozen import FrozenDict
from greenrota.rota.simulate.events import Event
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.opendays import EVE_DAYS, OpenDays

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
MORE = "prepare-more"  # last part of the id of a task that mixes what is missing
ENOUGH_ML, ENOUGH_SHARE = 20.0, 0.02  # seawater that may be missing before more is mixed; our choice
NO_NUTRIENT: Mapping[str, float] = FrozenDict()


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
    `culture.sanitation.CAUTIONS`; `light_h` is a photoperiod to set, None where it stays as it is. `withheld`:
    what is harvested is suspect and must not be given. `measured` are the
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
    withheld: bool = False
    measured: Amounts | None = field(default=None, compare=False)


def tasks_from(
    benches: Mapping[str, Bench],
    events: Iterable[Event],
    as_of: date,
    open_days: OpenDays,
    done: frozenset[str] = frozenset(),
    mixed_ml: Mapping[str, float] = MappingProxyType({}),
) -> tuple[Task, ...]:
    """All tasks of planned events, in the order of the calendar and of work; prepare tasks come with them.

    Tasks whose id is in `done` are left out; where `mixed_ml`, the seawater that was made ready for a batch, is no
    longer enough for it, a task for the rest is added. Where the benches grow several strains, tasks that move living
    culture carry the caution about shared tools.
    """
    tasks: list[Task] = []
    several = len({bench.strain.name for bench in benches.values()}) > 1
    for event in events:
        bench = benches[event.batch.vessel]
        tasks.append(_task(bench, event, several))
        if event.kind in ("start", "reseed"):
            prepare = _prepare(bench, event, as_of, open_days)
            tasks.append(prepare)
            if event.batch.id in mixed_ml and prepare.id in done:
                tasks += _mix_more(prepare, mixed_ml[event.batch.id])
    open_tasks = [task for task in tasks if task.id not in done]
    return tuple(sorted(open_tasks, key=lambda task: (task.on, _bench_order(task), task.vessel, task.batch)))


def _bench_order(task: Task) -> int:
    """The place of a task in its day; a bottle that is filled that day is filled before it gives."""
    late = task.kind == "start" and task.parent.startswith("fridge:")
    return DAY_ORDER["harvest" if late else task.kind]


def _mix_more(prepare: Task, mixed_ml: float) -> Iterator[Task]:
    """The task for the seawater that is missing, where what was mixed is not enough by more than pouring can tell."""
    wanted_ml, salt_g = prepare.amounts.seawater_ml or 0.0, prepare.amounts.salt_g or 0.0
    missing_ml = wanted_ml - mixed_ml
    if missing_ml > max(ENOUGH_ML, ENOUGH_SHARE * wanted_ml):
        yield replace(
            prepare,
            id=f"{prepare.batch}/{MORE}",
            amounts=Amounts(seawater_ml=missing_ml, salt_g=salt_g * missing_ml / wanted_ml),
            reason=f"{mixed_ml:.0f} mL were mixed, {wanted_ml:.0f} mL are needed now",
            cautions=CAUTIONS["prepare"],
        )


def _task(bench: Bench, event: Event, several_strains: bool) -> Task:
    cautions = CAUTIONS[event.kind]
    if several_strains and event.kind in CARRYING:
        cautions = (*cautions, STRAIN_TOOLS)
    return Task(
        id=f"{event.batch.id}/{event.kind}",
        kind=event.kind,
        on=event.on,
        vessel=event.batch.vessel,
        batch=event.batch.id,
        parent=event.batch.parent,
        amounts=_amounts(bench, event),
        density_before_per_ml=None if event.before is None else event.before.density_per_ml,
        density_after_per_ml=None if event.after is None else event.after.density_per_ml,
        reason=event.reason,
        cautions=cautions,
        light_h=event.light_h,
        withheld=event.barred,
    )


def _amounts(bench: Bench, event: Event) -> Amounts:
    if event.kind == "harvest":
        keep_l = 0.0 if event.after is None else event.after.volume_l
        return Amounts(harvest_ml=event.volume_ml, keep_ml=keep_l * ML_PER_L)
    if event.kind == "bank":
        return Amounts(bank_ml=event.volume_ml)
    nutrient_ml = _nutrient_ml(bench, event.label_doses_l)
    if event.kind == "feed":
        return Amounts(nutrient_ml=nutrient_ml)
    if event.kind == "renew":
        return Amounts()
    return Amounts(
        inoculum_ml=event.volume_ml,
        seawater_ml=event.seawater_l * ML_PER_L,
        salt_g=event.seawater_l * bench.salt_g_per_l,
        nutrient_ml=nutrient_ml,
        keep_ml=event.volume_ml if event.kind == "reseed" else None,
    )


def _nutrient_ml(bench: Bench, label_doses_l: float) -> Mapping[str, float]:
    nutrient = bench.nutrient
    names = (nutrient.name,) if nutrient.other_part is None else (nutrient.name, nutrient.other_part)
    return _each(names, dose_ml(label_doses_l, nutrient.dose_ml_per_l))


@lru_cache(maxsize=4096)
def _each(names: tuple[str, ...], poured_ml: float) -> Mapping[str, float]:
    """The same dose of each part. A year of tasks knows few doses: equal ones are one record."""
    return FrozenDict(dict.fromkeys(names, poured_ml))


def _prepare(bench: Bench, event: Event, as_of: date, open_days: OpenDays) -> Task:
    """Clean and mix on the last open day shortly before the visit; on the day itself where there is none."""
    fresh = event.kind == "start"
    on = open_days.eve(event.on, as_of)
    what = "clean the vessel and mix the seawater" if fresh else "mix the seawater"
    when = (
        f"on the day itself: no working day in the {EVE_DAYS} days before"
        if on == event.on
        else f"for {event.on}"
    )
    return Task(
        id=f"{event.batch.id}/prepare",
        kind="prepare",
        on=on,
        vessel=event.batch.vessel,
        batch=event.batch.id,
        parent=event.batch.parent,
        amounts=Amounts(
            seawater_ml=event.seawater_l * ML_PER_L, salt_g=event.seawater_l * bench.salt_g_per_l
        ),
        density_before_per_ml=None,
        density_after_per_ml=None,
        reason=f"{what} {when}",
        cautions=(*CLEANING, *CAUTIONS["prepare"]) if fresh else CAUTIONS["prepare"],
    )
