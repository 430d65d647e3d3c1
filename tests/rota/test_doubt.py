"""Doubts about new entries: every case with the entry beside it that gives no reason to ask.

Truth: derived by hand from the example plan: vessels of 4 L, 0.20 mL of f2 a litre, so one dose is 0.80 mL.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

import pytest
from made_plans import example_plan

from greenrota.logbook.book import culture, read_book
from greenrota.logbook.entry import Entry, parse_line
from greenrota.rota.schedule import schedule
from greenrota.rota.simulate.context import context_for
from greenrota.rota.tasks.task import Task
from greenrota.rota.warnings.doubts import doubts

STARTED = "2027-02-01 started north from=starter:bought inoculum=187.5mL n=1"
SMALL = "2027-02-02 started south from=starter:bought inoculum=100mL volume=1L n=2"


def codes(new: str, *before: str, tasks: Sequence[Task] = (), latest: date | None = None) -> list[str]:
    """The codes of the doubts about a new line after these lines."""
    entry = parse_line(new)
    assert isinstance(entry, Entry)
    book = read_book("\n".join([*before, ""]).encode())
    assert not book.problems
    context = context_for(example_plan())
    found = doubts(context, book.entries, culture(book.entries), [entry], tasks, latest)
    return [doubt.code for _, doubt in found]


CASES = [
    ("2027-02-05 fed north", ("2027-02-05 fed north n=2",), "log-twice"),
    ("2027-02-06 fed north", ("2027-02-05 fed north n=2",), None),
    ("2027-02-05 fed south", ("2027-02-05 fed north n=2",), None),
    ("2027-02-05 note north text=foam", ("2027-02-05 note north text=foam n=2",), "log-twice"),
    ("2027-02-05 note north text=clear", ("2027-02-05 note north text=foam n=2",), None),
    (
        "2027-02-05 counted north density=3e5/mL",
        ("2027-02-05 counted north density=3e5/mL n=2",),
        "log-count-twice",
    ),
    ("2027-02-05 fed north nutrient=0mL", (), "log-nothing"),
    ("2027-02-05 topped-up north seawater=300mL", (), "log-not-filling"),
    ("2027-02-06 topped-up south seawater=3L nutrient=0.6mL", (SMALL,), None),
    ("2027-02-06 topped-up south seawater=3.3L", (SMALL,), None),  # within a tenth of the 4 L
    ("2027-02-06 topped-up south seawater=3.5L", (SMALL,), "log-more-than-fits"),
    ("2027-02-06 topped-up south seawater=3L nutrient=1.3mL", (SMALL,), "log-many-doses"),
    ("2027-02-06 topped-up south seawater=0mL", (SMALL,), "log-nothing"),
    (
        "2027-02-06 topped-up south seawater=1L",
        (SMALL, "2027-02-06 topped-up south seawater=1L n=3"),
        "log-twice",
    ),
    ("2027-02-05 fed north dose=0", (), "log-nothing"),
    ("2027-02-05 banked north volume=0mL", (), "log-nothing"),
    ("2027-02-08 harvested north volume=3.2L keep=800mL", (), None),
    ("2027-02-08 harvested north volume=3L keep=800mL", (), None),  # 200 mL missing of 4 L: a jug is no finer
    ("2027-02-08 harvested north volume=2L keep=800mL", (), "log-not-adding-up"),
    ("2027-02-08 harvested north keep=4.6L", (), "log-more-than-stands"),
    ("2027-02-08 reseeded north inoculum=6L", (), "log-more-than-stands"),
    ("2027-02-08 reseeded north inoculum=800mL", (), None),
    ("2027-02-08 reseeded north inoculum=800mL", ("2027-02-08 harvested north volume=3.2L n=2",), None),
    (
        "2027-02-08 reseeded north inoculum=800mL",
        ("2027-02-08 harvested north volume=2L n=2",),
        "log-not-adding-up",
    ),
    ("2027-02-08 discarded north volume=6L", (), "log-more-than-stands"),
    ("2027-02-01 counted north density=93750/mL", (), None),  # 187.5 mL of 2e6/mL in 4 L
    ("2027-02-01 counted north density=18800/mL", (), None),  # just above a fifth
    ("2027-02-01 counted north density=18700/mL", (), "log-count-far"),
    ("2027-02-01 counted north density=468000/mL", (), None),  # just below five times
    ("2027-02-01 counted north density=469000/mL", (), "log-count-far"),
    ("2027-02-05 counted north density=6.5e9/mL", (), "log-count-far"),
    ("2027-02-05 counted north density=0/mL", (), "log-count-zero"),
    ("2027-02-05 fed north dose=50", (), "log-many-doses"),
    ("2027-02-05 fed north nutrient=8mL", (), "log-many-doses"),
    ("2027-02-05 fed north nutrient=0.9mL", (), None),
    ("2027-02-01 started south from=starter:bought inoculum=187.5mL nutrient=8mL", (), "log-many-doses"),
    ("2027-02-01 started south from=starter:bought inoculum=187.5mL nutrient=0.8mL", (), None),
    ("2027-01-20 started south from=starter:bought inoculum=187.5mL", (), "log-before-starter"),
    ("2027-02-01 reseeded north inoculum=800mL", (), "log-reseed-at-once"),
    ("2027-02-05 void - entry=1", (), None),
    ("2027-02-05 void north entry=1", (), None),
    ("2027-02-05 void south entry=1", (), "log-void-other"),
    ("2027-02-05 void - entry=1", ("2027-02-05 void - entry=1 n=2",), "log-void-twice"),
    ("2027-02-06 discarded north", ("2027-02-05 discarded north n=2",), "log-gone"),
    ("2027-02-06 discarded north/1", ("2027-02-05 discarded north n=2",), "log-gone"),
    ("2027-02-06 discarded starter:bought", ("2027-02-05 discarded starter:bought n=2",), "log-gone"),
    ("2027-02-06 discarded north", ("2027-02-05 harvested north volume=4L n=2",), None),  # broken down
    ("2027-02-06 skipped north task=south/1/feed", (), "log-task-other"),
]


@pytest.mark.parametrize(("new", "before", "code"), CASES)
def test_a_slip_is_asked_about_and_nothing_else_is(
    new: str, before: tuple[str, ...], code: str | None
) -> None:
    assert codes(new, STARTED, *before) == ([] if code is None else [code])


def test_a_day_that_has_not_come_is_asked_about_once() -> None:
    day = date(2027, 2, 5)
    assert codes("2027-02-05 fed north", STARTED, latest=day) == []
    assert codes("2027-02-06 fed north", STARTED, latest=day) == ["log-future"]
    several = [Entry(date(2027, 3, n), "fed", "north") for n in (1, 2, 3)]
    found = doubts(context_for(example_plan()), (), (), several, (), day)
    assert [doubt.code for _, doubt in found].count("log-future") == 1


def test_a_task_that_is_not_open_is_asked_about() -> None:
    tasks = schedule(example_plan()).tasks
    known = next(task for task in tasks if task.vessel == "north")
    assert codes(f"2027-02-01 skipped north task={known.id}", tasks=tasks) == []
    assert codes("2027-02-01 skipped north task=north/99/feed", tasks=tasks) == ["log-task-other"]


def test_doing_all_as_planned_is_never_asked_about() -> None:
    from greenrota.rota.tasks.fulfilment import planned_entries

    rota = schedule(example_plan())
    done = [entry for task in rota.tasks for entry in planned_entries(task)]
    assert doubts(rota.context, (), (), done, rota.tasks, example_plan().through) == []
