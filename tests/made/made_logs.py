"""Logbooks: a person who lives with the rota, and one who writes down whatever comes to mind."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from hypothesis import strategies as st
from made_plans import example_plan

from greenrota.logbook.book import culture
from greenrota.logbook.entry import Entry, Value
from greenrota.logbook.vocabulary import CAUSES
from greenrota.rota.earlier.record import EarlierRota
from greenrota.rota.kinds import TASK_KINDS
from greenrota.rota.plan import Plan
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule, schedule_from
from greenrota.rota.tasks.fulfilment import planned_values
from greenrota.rota.tasks.task import Task


def fulfils(task: Task, on: date, factor: float = 1.0) -> Entry:
    """The entry that says a task was done; `factor` is how far the culture or nutrient poured was off."""
    values = [
        (
            key,
            value * factor
            if isinstance(value, float) and key != "light" and task.kind != "reseed"
            else value,
        )
        for key, value in planned_values(task)
    ]
    return Entry(on, TASK_KINDS[task.kind].entry, task.vessel, tuple(values))


def numbered(entries: Sequence[Entry]) -> list[Entry]:
    """Entries in order of day, with running numbers as the program writes them."""
    return [replace(entry, number=n) for n, entry in enumerate(sorted(entries, key=lambda e: e.on), start=1)]


def lived(plan: Plan, days: int, seed: int, luck: float = 0.8) -> list[Entry]:
    """So many days of living with the rota: most tasks done as they stand, some late or otherwise, with mishaps.

    The dates of the day before are remembered, as the program does it. `luck` is the chance that a task is done as
    planned; with 1.0 nothing ever goes wrong.
    """
    chance = random.Random(seed)
    told: list[Entry] = []
    remembered: tuple[EarlierRota, ...] = ()
    for n in range(min(days, plan.days)):
        today = plan.start + timedelta(days=n)
        scheduled = schedule_from(plan, told, today, remembered)
        remembered = scheduled.remembered
        for task in scheduled.rota.tasks:
            if task.on > today or task.on < today:
                continue
            if chance.random() < luck:
                told.append(fulfils(task, today))
            elif chance.random() < 0.3:
                told.append(fulfils(task, today, chance.choice((0.5, 0.9, 1.1, 1.5))))
            elif chance.random() < 0.2:
                told.append(Entry(today, "skipped", task.vessel, (("task", task.id),)))
        if chance.random() > luck:
            told.append(_mishap(plan, today, chance))
    return numbered(told)


def _mishap(plan: Plan, today: date, chance: random.Random) -> Entry:
    vessel = chance.choice(plan.vessels).name
    kind = chance.choice(("crashed", "counted", "discarded", "note", "crashed", "harvested"))
    if kind == "crashed":
        since = today - timedelta(days=chance.randrange(6))
        return Entry(today, kind, vessel, (("cause", chance.choice(CAUSES)), ("since", since)))
    if kind == "counted":
        return Entry(today, kind, vessel, (("density", 10 ** chance.uniform(3.0, 7.0)),))
    if kind == "note":
        return Entry(today, kind, "-", (("text", "smells of the sea"),))
    if kind == "harvested":
        return Entry(today, kind, vessel, (("volume", chance.uniform(10.0, 3000.0)),))
    return Entry(today, kind, vessel)


@st.composite
def books(draw: st.DrawFn, plan: Plan, most: int = 12) -> list[Entry]:
    """Entries that fit the plan's names and little else: what people, editors and sync services can make of a book."""
    names = [vessel.name for vessel in plan.vessels]
    batches = [f"{name}/{n}" for name in names for n in (1, 2, 3)]
    bottles = [f"fridge:{batch}" for batch in batches[:4]] + [f"harvest:{batch}" for batch in batches[:6]]
    bottles += [f"starter:{s.name}" for s in plan.starters]
    sources = st.sampled_from([*batches, *bottles, *names, "starter:unheard-of"])
    told = []
    for _ in range(draw(st.integers(0, most))):
        on = plan.start + timedelta(days=draw(st.integers(-3, plan.days + 3)))
        kind = draw(st.sampled_from(BOOK_KINDS))
        told.append(draw(_entries(on, kind, names, sources)))
    return numbered(told)


BOOK_KINDS = (
    *("started", "started", "started", "harvested", "reseeded", "fed", "counted", "crashed", "banked"),
    *("discarded", "skipped", "note", "prepared", "cleared", "condemned", "topped-up"),
    *("suspected", "given", "given-away", "measured"),
)
_ML = st.sampled_from((0.0, 1.0, 187.5, 800.0, 3200.0, 4000.0, 50000.0))


@st.composite
def _entries(
    draw: st.DrawFn, on: date, kind: str, names: list[str], sources: st.SearchStrategy[str]
) -> Entry:
    values: list[tuple[str, Value]] = []
    subject = draw(st.sampled_from(names))
    if kind in ("cleared", "condemned", "discarded", "suspected", "given-away", "measured"):
        subject = draw(sources)
    if kind == "given":
        subject = draw(st.sampled_from(("tank", "copepods")))
    options: dict[str, st.SearchStrategy[Value]] = {
        "started": st.fixed_dictionaries({}, optional={"from": sources, "inoculum": _ML, "volume": _ML}),
        "topped-up": st.fixed_dictionaries({}, optional={"seawater": _ML, "nutrient": _ML}),
        "harvested": st.fixed_dictionaries({}, optional={"volume": _ML, "keep": _ML}),
        "reseeded": st.fixed_dictionaries({}, optional={"inoculum": _ML}),
        "fed": st.fixed_dictionaries(
            {}, optional={"dose": st.sampled_from((0.0, 0.5, 1.0)), "nutrient": _ML}
        ),
        "counted": st.fixed_dictionaries({"density": st.sampled_from((0.0, 1e4, 1e6, 1e8))}),
        "crashed": st.fixed_dictionaries(
            {"cause": st.sampled_from(CAUSES)},
            optional={"since": st.integers(0, 9).map(lambda n: on - timedelta(days=n))},
        ),
        "given": st.fixed_dictionaries({}, optional={"volume": _ML, "from": sources}),
        "given-away": st.fixed_dictionaries({}, optional={"volume": _ML}),
        "measured": st.fixed_dictionaries({"volume": _ML}),
        "suspected": st.fixed_dictionaries(
            {}, optional={"since": st.integers(0, 9).map(lambda n: on - timedelta(days=n))}
        ),
        "banked": st.fixed_dictionaries({}, optional={"volume": _ML}),
        "skipped": st.fixed_dictionaries(
            {
                "task": st.sampled_from(("start", "topup", "feed", "harvest", "reseed", "bank")).map(
                    lambda k: f"{subject}/1/{k}"
                )
            }
        ),
        "note": st.just({"text": "looked fine"}),
    }  # type: ignore[dict-item]
    if kind in options:
        values = list(draw(options[kind]).items())  # type: ignore[attr-defined]
    return Entry(on, kind, subject, tuple(values))


def held(entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """The entries that stand, as the program takes them."""
    return culture(entries)


def crash_on_the_fifth_day() -> tuple[list[Entry], Rota]:
    """Both vessels started as planned; south crashes on the fifth day."""
    first = schedule(example_plan())
    told = [fulfils(each, each.on) for each in first.tasks if each.kind == "start"]
    day = max(each.on for each in told) + timedelta(days=5)
    told = numbered([*told, Entry(day, "crashed", "south", (("cause", "heat"),))])
    return told, schedule(example_plan(), told, day)
