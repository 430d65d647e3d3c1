"""Tasks: what is to be done on which day, with every amount that is poured, made from simulated events."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import lru_cache
from types import MappingProxyType
from typing import assert_never

from greenrota.culture.bench.dose import dose_ml
from greenrota.culture.growth.broth import ML_PER_L
from greenrota.frozen import FrozenDict
from greenrota.rota.kinds import (
    CLEANING,
    FILLING,
    MIXED_FOR,
    STRAIN_TOOLS,
    TASK_KINDS,
    Amount,
    TaskKind,
    prepare_id,
    task_id,
)
from greenrota.rota.simulate.events import Event, HarvestChoice
from greenrota.rota.state import scale_up
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.opendays import EVE_DAYS, OpenDays
from greenrota.rota.tasks.reasons import Reasons

MORE = "prepare-more"  # in place of "prepare" in the id of a task that mixes what is missing
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

    def of(self, name: Amount) -> float | None:
        """One of the amounts; of the nutrients all parts together. None where it does not apply.

        >>> Amounts(nutrient_ml={"a": 0.5, "b": 0.5}).of("nutrient"), Amounts().of("harvest")
        (1.0, None)
        """
        match name:
            case "inoculum":
                return self.inoculum_ml
            case "seawater":
                return self.seawater_ml
            case "salt":
                return self.salt_g
            case "nutrient":
                return sum(self.nutrient_ml.values()) if self.nutrient_ml else None
            case "harvest":
                return self.harvest_ml
            case "keep":
                return self.keep_ml
            case "bank":
                return self.bank_ml
            case _:
                assert_never(name)


@dataclass(frozen=True, slots=True)
class Task:
    """One dated task. `id` is made by `kinds.task_id` and stays the same when the date moves.

    Densities in cells per mL before and after; None where nothing stands. `cautions` are keys of
    `culture.sanitation.CAUTIONS`; `light_h` is a photoperiod to set, None where it stays as it is. `withheld`:
    what is harvested is suspect and must not be given. `number` tells the top-ups of a batch apart; `fill_ml` is what
    stands in a vessel that is filled only in part, else None. `measured` are the amounts as the instruments show them
    (see `rota.tasks.measured`), None where that has not been worked out.
    """

    id: str
    kind: TaskKind
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
    number: int = 1
    fill_ml: float | None = None
    measured: Amounts | None = field(default=None, compare=False)


def tasks_from(
    benches: Mapping[str, Bench],
    events: Iterable[Event],
    as_of: date,
    open_days: OpenDays,
    done: frozenset[str] = frozenset(),
    mixed_ml: Mapping[str, float] = MappingProxyType({}),
    choices: Iterable[HarvestChoice] = (),
) -> tuple[Task, ...]:
    """All tasks of planned events, in the order of the calendar and of work; prepare tasks come with them.

    Tasks whose id is in `done` are left out; where `mixed_ml`, the seawater of a prepare task that was done, is no
    longer enough, a task for the rest is added. Where the benches grow several strains, tasks that move living
    culture carry the caution about shared tools. `choices` are the harvests chosen in the simulation, for the reasons.
    """
    tasks: list[Task] = []
    events = tuple(events)
    reasons = Reasons(benches, events, choices)
    several = len({bench.strain.name for bench in benches.values()}) > 1
    for event in events:
        bench = benches[event.batch.vessel]
        tasks.append(_task(bench, event, reasons.of(event), several))
        if event.kind in MIXED_FOR:
            prepare = _prepare(bench, event, as_of, open_days)
            tasks.append(prepare)
            if prepare.id in mixed_ml and prepare.id in done:
                tasks += _mix_more(prepare, mixed_ml[prepare.id])
    open_tasks = [task for task in tasks if task.id not in done]
    return tuple(sorted(open_tasks, key=lambda task: (task.on, _bench_order(task), task.vessel, task.batch)))


def served(tasks: Iterable[Task]) -> dict[str, Task]:
    """The tasks that pour new seawater, by the ids of the prepare tasks before each."""
    found = {prepare_id(task.batch, task.kind, task.number): task for task in tasks if task.kind in MIXED_FOR}
    return found | {name.replace("/prepare", f"/{MORE}"): task for name, task in found.items()}


def _bench_order(task: Task) -> int:
    """The place of a task in its day; a bottle that is filled that day is filled before it gives."""
    late = task.kind == "start" and task.parent.startswith("fridge:")
    return TASK_KINDS["harvest" if late else task.kind].day_order


def _mix_more(prepare: Task, mixed_ml: float) -> Iterator[Task]:
    """A task for the missing seawater, if more is missing than `ENOUGH_ML` or `ENOUGH_SHARE` of what is needed."""
    wanted_ml, salt_g = prepare.amounts.seawater_ml or 0.0, prepare.amounts.salt_g or 0.0
    missing_ml = wanted_ml - mixed_ml
    if missing_ml > max(ENOUGH_ML, ENOUGH_SHARE * wanted_ml):
        yield replace(
            prepare,
            id=prepare.id.replace("/prepare", f"/{MORE}"),
            amounts=Amounts(seawater_ml=missing_ml, salt_g=salt_g * missing_ml / wanted_ml),
            reason=f"{mixed_ml:.0f} mL were mixed, {wanted_ml:.0f} mL are needed now",
            cautions=TASK_KINDS["prepare"].cautions,
        )


def _task(bench: Bench, event: Event, reason: str, several_strains: bool) -> Task:
    record = TASK_KINDS[event.kind]
    tools = (STRAIN_TOOLS,) if several_strains and record.carries else ()
    return Task(
        id=task_id(event.batch.id, event.kind, event.number),
        kind=event.kind,
        on=event.on,
        vessel=event.batch.vessel,
        batch=event.batch.id,
        parent=event.batch.parent,
        amounts=_amounts(bench, event),
        density_before_per_ml=None if event.before is None else event.before.density_per_ml,
        density_after_per_ml=None if event.after is None else event.after.density_per_ml,
        reason=reason,
        cautions=(*record.cautions, *tools),
        light_h=event.light_h,
        withheld=event.barred,
        number=event.number,
        fill_ml=_fill_ml(bench, event),
    )


def _amounts(bench: Bench, event: Event) -> Amounts:
    has = TASK_KINDS[event.kind].amounts
    return Amounts(
        inoculum_ml=event.volume_ml if "inoculum" in has else None,
        seawater_ml=event.seawater_l * ML_PER_L if "seawater" in has else None,
        salt_g=event.seawater_l * bench.salt_g_per_l if "salt" in has else None,
        nutrient_ml=_nutrient_ml(bench, event.label_doses_l) if "nutrient" in has else NO_NUTRIENT,
        harvest_ml=event.volume_ml if "harvest" in has else None,
        keep_ml=_keep_ml(event) if "keep" in has else None,
        bank_ml=event.volume_ml if "bank" in has else None,
    )


def _keep_ml(event: Event) -> float:
    """What stays in the vessel of a harvest; a re-seed is made on what was kept."""
    if event.kind in FILLING:
        return event.volume_ml
    return 0.0 if event.after is None else event.after.volume_l * ML_PER_L


def _fill_ml(bench: Bench, event: Event) -> float | None:
    """What stands in a vessel after new seawater was poured in, where it is still to be topped up."""
    if event.kind not in MIXED_FOR or event.after is None:
        return None
    volume_l = event.after.volume_l
    return volume_l * ML_PER_L if scale_up.is_filling(bench, volume_l) else None


def _nutrient_ml(bench: Bench, label_doses_l: float) -> Mapping[str, float]:
    nutrient = bench.nutrient
    names = (nutrient.name,) if nutrient.other_part is None else (nutrient.name, nutrient.other_part)
    return _each(names, dose_ml(label_doses_l, nutrient.dose_ml_per_l))


@lru_cache(maxsize=4096)
def _each(names: tuple[str, ...], poured_ml: float) -> Mapping[str, float]:
    """The same dose of each part. A year of tasks knows few doses: equal ones are one record."""
    return FrozenDict(dict.fromkeys(names, poured_ml))


def _prepare(bench: Bench, event: Event, as_of: date, open_days: OpenDays) -> Task:
    """Clean and mix on the last open day before seawater is poured; on that day where there is none."""
    fresh, cautions = event.kind == "start", TASK_KINDS["prepare"].cautions
    on = open_days.eve(event.on, as_of)
    what = "clean the vessel and mix the seawater" if fresh else "mix the seawater"
    when = (
        f"on the day itself: no working day in the {EVE_DAYS} days before"
        if on == event.on
        else f"for {event.on}"
    )
    return Task(
        id=prepare_id(event.batch.id, event.kind, event.number),
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
        cautions=(*CLEANING, *cautions) if fresh else cautions,
    )
