"""Doubts about what happened: twice, too early, to something that is gone, or named wrongly."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from greenrota.logbook.entry import NO_VESSEL, Entry
from greenrota.logbook.vocabulary import KINDS, LogKind
from greenrota.rota.replay.replay import replay
from greenrota.rota.tasks.fulfilment import EARLY_DAYS
from greenrota.rota.warnings.doubt_scene import Doubt, Scene

_POURED_AWAY: tuple[LogKind, ...] = (
    "discarded",
    "condemned",
)  # kinds of entry after which somebody empties it


def twice(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """The same thing about the same vessel or bottle on the same day."""
    same = scene.same_day(entry, entry.kind)
    if KINDS[entry.kind].repeats:
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


def withheld(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """Something is given from a bottle that is suspect or was found bad."""
    bottle = entry.text("from") if entry.kind == "given" else None
    if bottle is None:
        return
    logged = replay(scene.context, [each for each in scene.held if each.on <= entry.on], entry.on)
    if bottle in logged.suspects or bottle in logged.condemned:
        because = logged.suspects[bottle].because if bottle in logged.suspects else "it was found bad"
        yield Doubt("log-withheld", f"{bottle} must not be given: {because}", "give from another bottle")


def _prepares_left(scene: Scene, entry: Entry) -> bool:
    """True if a prepare task of the vessel is still open: water for two batches may be mixed on one day."""
    soon = entry.on + timedelta(days=EARLY_DAYS)
    new = sum(e.number is None for e in scene.same_day(entry, "prepared"))
    open_tasks = [
        t for t in scene.tasks if t.kind == "prepare" and entry.subject in t.vessels and t.on <= soon
    ]
    return len(open_tasks) > new


def too_early(scene: Scene, entry: Entry) -> Iterator[Doubt]:
    """A start from a bottle that was not there yet; a re-seed on the day of the start."""
    source = entry.text("from") if entry.kind == "started" else None
    bottle = scene.state.filled.get(source) if source is not None else None
    if bottle is not None and bottle.filled > entry.on:
        text = f"{source} is on hand from {bottle.filled}, the start is of {entry.on}"
        yield Doubt("log-before-starter", text, "look at the day, or at on_hand in the plan")
    culture = scene.culture(entry)
    fresh = culture is not None and culture.batch.started == entry.on
    if (
        entry.kind == "reseeded" and fresh and not scene.same_day(entry, "reseeded")
    ):  # else `twice` reports it
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
    if entry.kind not in _POURED_AWAY:
        return
    state, name = scene.state, entry.subject
    living = {each.batch.id for each in state.cultures.values()}
    lost = (name in state.filled and name not in state.bottles) or (
        name in state.batches and name not in living
    )
    if scene.bench(entry) is not None and name not in state.cultures:
        last = next((e for e in reversed(scene.held) if e.subject == name and e.kind != "note"), None)
        lost = last is not None and KINDS[last.kind].ends
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
