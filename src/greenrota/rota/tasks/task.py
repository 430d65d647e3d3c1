"""Tasks: what is to be done on which day, with every amount that is poured, made from simulated events."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from itertools import repeat
from typing import NamedTuple

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.rota.ids import task_id
from greenrota.rota.kinds import CLEANING, MIXED_FOR, STRAIN_TOOLS, TASK_KINDS, TaskKind
from greenrota.rota.simulate.events import Event, HarvestChoice, fills_of
from greenrota.rota.state import scale_up
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.opendays import EVE_DAYS
from greenrota.rota.state.salt_water import Bucket, Fill, MixedWater, Mixing
from greenrota.rota.state.state import BACK_UP
from greenrota.rota.tasks.amounts import Amounts, amounts_of
from greenrota.rota.tasks.mixing_reasons import cleaned, of_bucket
from greenrota.rota.tasks.reasons import Reasons

MORE = "prepare-more"  # in place of "prepare" in the id of a task that mixes what is missing


@dataclass(frozen=True, slots=True)
class Task:
    """One dated task, made of a `Draft`. `id` is made by `ids.task_id` and stays the same when the date moves.

    Densities in cells per mL before and after; None where nothing stands. `cautions` are keys of
    `culture.sanitation.CAUTIONS`; `light_h` is a photoperiod to set, None where it stays as it is. `withheld`:
    what is harvested is suspect and must not be given. `number` tells the top-ups of a batch apart; `fill_ml` is what
    stands in a vessel that is filled only in part, else None. `measured` are the amounts as the instruments show them
    (see `rota.tasks.measured`), None where that has not been worked out. `fills` is what a prepare mixes a bucket of
    salt water for; its vessel and batch are those of the first.
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
    fills: tuple[Fill, ...] = ()
    measured: Amounts | None = field(default=None, compare=False)

    @property
    def batches(self) -> tuple[str, ...]:
        """The batches it is for: those a bucket of salt water serves, else its own."""
        return tuple(dict.fromkeys(fill.batch for fill in self.fills)) or (self.batch,)

    @property
    def vessels(self) -> tuple[str, ...]:
        """The vessels it is for, likewise."""
        return tuple(dict.fromkeys(fill.vessel for fill in self.fills)) or (self.vessel,)

    @property
    def serves(self) -> tuple[str, ...]:
        """The ids of the tasks for which a prepare mixes salt water; empty for every other kind."""
        return tuple(fill.task for fill in self.fills)

    @property
    def cleans(self) -> tuple[str, ...]:
        """The vessels that are cleaned in this task, in order, because a start follows."""
        if self.kind == "start" and CLEANING[0] in self.cautions:
            return (self.vessel,)
        return tuple(fill.vessel for fill in self.fills if cleaned(fill, self.on))


class Draft(NamedTuple):
    """The fields of a `Task`, in its order, while it is not known yet what instruments show: quick to make."""

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
    fills: tuple[Fill, ...] = ()


Measure = Callable[[Sequence[Draft]], Iterable[Amounts | None]]


def tasks_from(
    benches: Mapping[str, Bench],
    events: Iterable[Event],
    mixing: Mixing,
    choices: Iterable[HarvestChoice] = (),
    measure: Measure | None = None,
) -> tuple[Task, ...]:
    """All tasks of planned events, in the order of the calendar and of work; prepare tasks come with them.

    `mixing` is what the days of mixing salt water depend on. Tasks whose id is in its `done` are left out; what was
    made ready for a batch and is no longer enough makes a task for the rest. Where the benches grow several strains,
    tasks that move living culture carry the caution about shared tools. `choices` are the harvests chosen in the
    simulation, for the reasons. `measure` gives what instruments show of each task (None: that is not worked out).
    """
    events = tuple(events)
    reasons = Reasons(benches, events, choices)
    buckets = mixing.buckets(fills_of(events), {event.on for event in events})
    several = len({bench.strain.name for bench in benches.values()}) > 1
    clean = set(_clean(buckets, mixing.on_hand, events))
    filled = {task_id(v.batch.id, v.kind, v.number): v for v in events if v.seawater_l > 0.0}
    drafts = [_prepare(benches, bucket, mixing, filled) for bucket in buckets]
    for event in events:
        draft = _draft(benches[event.batch.vessel], event, reasons.of(event), several)
        if event.kind == "start" and event.batch.id not in clean:
            draft = draft._replace(cautions=(*CLEANING, *draft.cautions))
        drafts.append(draft)
    drafts = [draft for draft in drafts if draft.id not in mixing.done]
    drafts.sort(key=lambda draft: (draft.on, _bench_order(draft), draft.vessel, draft.batch))
    measured = repeat(None, len(drafts)) if measure is None else measure(drafts)
    return tuple(Task(*draft, amounts) for draft, amounts in zip(drafts, measured, strict=True))


def _bench_order(task: Draft) -> int:
    """The place of a task in its day; a bottle that is filled that day is filled before it gives."""
    late = task.kind == "start" and task.parent.startswith(BACK_UP)
    return TASK_KINDS["harvest" if late else task.kind].day_order


def _clean(
    buckets: Iterable[Bucket], on_hand: Iterable[MixedWater], events: Iterable[Event]
) -> Iterator[str]:
    """The batches whose vessel is cleaned with the mixing of water, or was when water was made ready for it."""
    for bucket in buckets:
        yield from (fill.batch for fill in bucket.fills if cleaned(fill, bucket.on))
    made_ready = {water.batch: water.on for water in on_hand}
    for event in events if made_ready else ():
        on = made_ready.get(event.batch.id)
        if on is not None and (event.on - on).days <= EVE_DAYS:
            yield event.batch.id


def _draft(bench: Bench, event: Event, reason: str, several_strains: bool) -> Draft:
    kind, batch = event.kind, event.batch
    return Draft(
        id=task_id(batch.id, kind, event.number),
        kind=kind,
        on=event.on,
        vessel=batch.vessel,
        batch=batch.id,
        parent=batch.parent,
        amounts=amounts_of(bench, event),
        density_before_per_ml=None if event.before is None else event.before.density_per_ml,
        density_after_per_ml=None if event.after is None else event.after.density_per_ml,
        reason=reason,
        cautions=_cautions(kind, several_strains),
        light_h=event.light_h,
        withheld=event.barred,
        number=event.number,
        fill_ml=_fill_ml(bench, event),
    )


@cache
def _cautions(kind: TaskKind, several_strains: bool) -> tuple[str, ...]:
    record = TASK_KINDS[kind]
    return (*record.cautions, STRAIN_TOOLS) if several_strains and record.carries else record.cautions


def _fill_ml(bench: Bench, event: Event) -> float | None:
    """What stands in a vessel after new seawater was poured in, where it is still to be topped up."""
    if event.kind not in MIXED_FOR or event.after is None:
        return None
    volume_l = event.after.volume_l
    return volume_l * ML_PER_L if scale_up.is_filling(bench, volume_l) else None


def _prepare(
    benches: Mapping[str, Bench], bucket: Bucket, mixing: Mixing, events: Mapping[str, Event]
) -> Draft:
    """Mix a bucket of salt water, and clean the vessels that are started shortly after."""
    first, fills = bucket.fills[0], bucket.fills
    again = first.prepare in mixing.done
    cleans = any(cleaned(fill, bucket.on) for fill in fills)
    salt_g = sum(fill.seawater_ml / ML_PER_L * benches[fill.vessel].salt_g_per_l for fill in fills)
    return Draft(
        id=first.prepare.replace("/prepare", f"/{MORE}") if again else first.prepare,
        kind="prepare",
        on=bucket.on,
        vessel=first.vessel,
        batch=first.batch,
        parent=events[first.task].batch.parent,
        amounts=Amounts(seawater_ml=bucket.seawater_ml, salt_g=salt_g),
        density_before_per_ml=None,
        density_after_per_ml=None,
        reason=of_bucket(bucket, mixing, {fill.task: events[fill.task].seawater_l for fill in fills}),
        cautions=(*(CLEANING if cleans else ()), *TASK_KINDS["prepare"].cautions),
        fills=fills,
    )
