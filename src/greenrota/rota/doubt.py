"""Doubt: what in a new entry is more likely a slip than the truth, given the state before it and what was due.

A doubt is no error: the entry may be true all the same. Whoever writes it down is asked first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from greenrota.culture.broth import ML_PER_L
from greenrota.logbook.entry import NO_VESSEL, Entry
from greenrota.rota.doubt_scene import Scene, scenes
from greenrota.rota.fulfilment import EARLY_DAYS
from greenrota.rota.setting import Setting
from greenrota.rota.task import Task
from greenrota.rota.told import density_told_per_ml

COUNT_LOW, COUNT_HIGH = 0.2, 5.0  # times the projection: outside, a slip or a crash is likelier; our choice
SEVERAL_DOSES = 2.0  # times the planned dose: from here on a slip is likelier than a full syringe; our choice
OFF_SHARE, OFF_ML = 0.10, 50.0  # by how much volumes may fail to add up (the larger counts); our choice
_ON_CULTURE = ("counted", "harvested", "banked")  # kinds whose density is that of what stands in the vessel
_VOLUMES = ("inoculum", "volume", "keep", "nutrient")


@dataclass(frozen=True, slots=True)
class Doubt:
    """One reason to ask before an entry is written. `code` is stable; `text` names both values that disagree."""

    code: str
    text: str
    hint: str = "is it a slip?"


Check = Callable[[Scene, Entry], Iterable[Doubt]]


def doubts(
    setting: Setting,
    written: Sequence[Entry],
    held: Sequence[Entry],
    fresh: Sequence[Entry],
    tasks: Sequence[Task] = (),
    latest: date | None = None,
) -> list[tuple[Entry, Doubt]]:
    """Every doubt about new entries, each with the entry it is about.

    `written` is the book as it is, `held` are those of its entries that stand, `tasks` the open tasks. `latest` is
    the last day that has come; None: days are not looked at.
    """
    found = [] if latest is None else list(_still_to_come(fresh, latest))
    for entry, scene in scenes(setting, written, held, fresh, tasks):
        found += [(entry, doubt) for check in CHECKS for doubt in check(scene, entry)]
    return found


def _still_to_come(fresh: Sequence[Entry], latest: date) -> Iterator[tuple[Entry, Doubt]]:
    """One doubt for all entries whose day has not come."""
    late = [entry for entry in fresh if entry.on > latest]
    if late:
        last = max(entry.on for entry in late)
        what = f"{last} lies" if len(late) == 1 else f"{len(late)} entries, up to {last}, lie"
        text = f"{what} ahead: after {latest}"
        yield late[0], Doubt("log-future", text, "what is still to come is planned, not logged")


def twice(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """The same thing about the same vessel or bottle on the same day."""
    same = scene.same_day(entry, entry.kind)
    if entry.kind in ("note", "skipped"):
        same = [e for e in same if e.values == entry.values]
    if entry.kind == "prepared" and _prepares_left(scene, entry):
        return
    if not same or entry.kind == "void":
        return
    number = "" if same[-1].number is None else f" (entry {same[-1].number})"
    text = f"{entry.kind} {entry.subject} on {entry.on} stands in the book already{number}"
    if entry.kind == "counted":
        yield Doubt(
            "log-count-twice", text, "both counts are kept; the later one is the density from then on"
        )
    else:
        yield Doubt("log-twice", text, "was it done twice?")


def _prepares_left(scene: Scene, entry: Entry) -> bool:
    """True if a prepare task of the vessel is still open: water for two batches may be mixed on one day."""
    soon = entry.on + timedelta(days=EARLY_DAYS)
    new = sum(e.number is None for e in scene.same_day(entry, "prepared"))
    open_tasks = [
        t for t in scene.tasks if t.kind == "prepare" and t.vessel == entry.subject and t.on <= soon
    ]
    return len(open_tasks) > new


def nothing(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """0 mL of anything, and a dose of nothing."""
    breaks_down = any(
        t.kind == "renew" and t.vessel == entry.subject and t.on <= entry.on for t in scene.tasks
    )
    told = dict(entry.values)
    for key in (*_VOLUMES, "dose"):
        if told.get(key) == 0.0 and not (key == "keep" and breaks_down):
            shown = "a dose of 0" if key == "dose" else f"{key} is 0 mL"
            yield Doubt(
                "log-nothing",
                f"{entry.kind} {entry.subject}: {shown}",
                "leave it out if nothing was measured",
            )


def more_than_stands(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """More kept, carried over or poured away than stands in the vessel."""
    standing = scene.standing(entry)
    key = {"harvested": "keep", "reseeded": "inoculum", "discarded": "volume"}.get(entry.kind)
    told_ml = None if key is None else entry.volume_ml(key)
    if standing is None or told_ml is None:
        return
    held_ml = standing.broth.volume_l * ML_PER_L
    if told_ml > held_ml + _off_ml(held_ml):
        text = f"{key} is {told_ml:.0f} mL, and {standing.batch.id} holds {held_ml:.0f} mL"
        yield Doubt("log-more-than-stands", text)


def adds_up(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """What is taken and what stays make what stood there; a back-up of the day has been taken off before."""
    standing = scene.standing(entry)
    if standing is None:
        return
    held_ml = standing.broth.volume_l * ML_PER_L
    taken_ml, keep_ml = (entry.volume_ml(key) for key in ("volume", "keep"))
    harvested = entry.kind == "harvested" and taken_ml is not None and keep_ml is not None
    if harvested and abs((taken_ml or 0.0) + (keep_ml or 0.0) - held_ml) > _off_ml(held_ml):
        text = (
            f"{taken_ml:.0f} mL taken and {keep_ml:.0f} mL kept are not the {held_ml:.0f} mL that stood there"
        )
        yield Doubt("log-not-adding-up", text, "a back-up of the same day is logged before the harvest")
    kept_ml = entry.volume_ml("inoculum") if entry.kind == "reseeded" else None
    if kept_ml is not None and scene.same_day(entry, "harvested") and kept_ml < held_ml - _off_ml(held_ml):
        text = f"{kept_ml:.0f} mL carried over, but {held_ml:.0f} mL stayed after the harvest of the day"
        yield Doubt("log-not-adding-up", text, "what is missing would count as harvested too")


def _off_ml(held_ml: float) -> float:
    return max(OFF_ML, OFF_SHARE * held_ml)


def count(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """A count of zero, or far from the projection."""
    standing = scene.standing(entry)
    if standing is None or entry.kind not in _ON_CULTURE:
        return
    try:
        counted_per_ml = density_told_per_ml(entry)
    except ValueError:  # cells and squares that can not be: the replay tells of it
        return
    if counted_per_ml is None:
        return
    expected_per_ml = standing.broth.density_per_ml
    batch = standing.batch.id
    if counted_per_ml == 0.0:
        yield Doubt(
            "log-count-zero", f"no cells in {batch}", f"is it dead? then: log crashed {entry.subject}"
        )
    elif not COUNT_LOW * expected_per_ml <= counted_per_ml <= COUNT_HIGH * expected_per_ml:
        times = counted_per_ml / expected_per_ml if expected_per_ml > 0.0 else float("inf")
        text = (
            f"{_density(counted_per_ml)}/mL in {batch} is {times:.{0 if times >= COUNT_HIGH else 2}f} times the "
            f"{_density(expected_per_ml)}/mL that are expected"
        )
        low = "or has it crashed?" if counted_per_ml < expected_per_ml else "or was a dilution counted twice?"
        yield Doubt("log-count-far", text, f"is it a slip, {low}")


def _density(per_ml: float) -> str:
    """
    >>> _density(6.5e9)
    '6.5e9'
    """
    digits, power = f"{per_ml:.1e}".split("e")
    return f"{digits}e{int(power)}"


def doses(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """Several doses at once: for a feed of what stands in the vessel, else of the whole filling."""
    bench, standing = scene.bench(entry), scene.standing(entry)
    if bench is None or entry.kind not in ("fed", "started", "reseeded"):
        return
    planned = max(1.0, scene.setting.cycles[entry.subject].feed_dose) if entry.kind == "fed" else 1.0
    filled_ml = entry.volume_ml("volume") if entry.kind != "fed" else None
    volume_l = bench.vessel.fill_l if filled_ml is None else filled_ml / ML_PER_L
    if entry.kind == "fed" and standing is not None:
        volume_l = standing.broth.volume_l
    label_ml, poured_ml = bench.nutrient.dose_ml_per_l * volume_l, entry.volume_ml("nutrient")
    told = entry.figure("dose") if entry.kind == "fed" else None
    if told is None and poured_ml is not None and label_ml > 0.0:
        told = poured_ml / label_ml
    if told is not None and told >= SEVERAL_DOSES * planned:
        text = f"{told:.2g} label doses for {entry.subject} at once; {planned:g} is the most that is planned"
        yield Doubt("log-many-doses", text, f"one is {label_ml:.2g} mL of {bench.nutrient.name}")


def too_early(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """A start from a bottle that was not there yet; a re-seed on the day of the start."""
    source = entry.text("from") if entry.kind == "started" else None
    bottle = scene.shelf.filled.get(source) if source is not None else None
    if bottle is not None and bottle.filled > entry.on:
        text = f"{source} is on hand from {bottle.filled}, the start is of {entry.on}"
        yield Doubt("log-before-starter", text, "look at the day, or at on_hand in the plan")
    standing = scene.standing(entry)
    fresh = standing is not None and standing.batch.started == entry.on
    if (
        entry.kind == "reseeded" and fresh and not scene.same_day(entry, "reseeded")
    ):  # else `twice` tells of it
        yield Doubt("log-reseed-at-once", f"{entry.subject} was started on the same day, {entry.on}")


def void(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """A void that names the entry of another vessel, or one that is taken back already."""
    number = entry.entry_number()
    if entry.kind != "void" or number is None:
        return
    named = [e for e in scene.written if e.number == number]
    others = {e.entry_number(): e for e in scene.written if e.kind == "void"}
    earlier = others.get(number)
    if earlier is not None and earlier.number not in others:
        yield Doubt(
            "log-void-twice", f"entry {number} was taken back already, by entry {earlier.number}", "leave it"
        )
    for target in named:
        if entry.subject not in (NO_VESSEL, target.subject, _vessel(target.subject)):
            text = f"entry {number} is {target.kind} {target.subject}, not an entry of {entry.subject}"
            yield Doubt("log-void-other", text, "greenrota log list shows the numbers")


def _vessel(subject: str) -> str:
    """The vessel that a vessel, batch or back-up bottle is named after."""
    bare = subject.removeprefix("fridge:")
    return bare.rpartition("/")[0] or bare


def gone(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """Something is poured away that is gone already."""
    if entry.kind not in ("discarded", "condemned"):
        return
    shelf, name = scene.shelf, entry.subject
    living = {each.batch.id for each in shelf.standing.values()}
    lost = (name in shelf.filled and name not in shelf.bottles) or (
        name in shelf.batches and name not in living
    )
    if scene.bench(entry) is not None and name not in shelf.standing:
        last = next((e for e in reversed(scene.held) if e.subject == name and e.kind != "note"), None)
        lost = last is not None and last.kind in ("discarded", "crashed", "condemned")
    if lost and not scene.same_day(entry, entry.kind):
        yield Doubt("log-gone", f"{name} is gone already on {entry.on}", "was it another vessel or bottle?")


def skip(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """A skip of a task that is not open, or of another vessel."""
    task = entry.text("task") if entry.kind == "skipped" else None
    if task is None:
        return
    if task.rpartition("/")[0].rpartition("/")[0] != entry.subject:
        yield Doubt(
            "log-task-other", f"{task} is no task of {entry.subject}", "a task begins with its vessel"
        )
    elif scene.tasks and task not in {each.id for each in scene.tasks}:
        yield Doubt("log-task-other", f"no task {task} is open", "greenrota tasks shows the names")


# Asked in this order. A check of single values against their usual range has the same shape and is added here.
CHECKS: tuple[Check, ...] = (
    *(twice, nothing, more_than_stands, adds_up, count, doses, too_early, void, gone, skip),
)
