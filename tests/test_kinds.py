"""Kinds: every branch over kinds is closed, and each page and rule words every kind by its record.

`mypy --strict` refuses a kind without a record or a branch; what it can not see is held here.
"""

from __future__ import annotations

import ast
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import get_args

import pytest
from made_papers import plan_of
from made_plans import START, example_plan, example_vessel
from parsed import parsed

from greenrota.culture.data.strain import strains
from greenrota.logbook.entry import Entry, Value, format_entry, parse_line
from greenrota.logbook.vocabulary import KINDS, LogKind
from greenrota.risk.timetable import timetable
from greenrota.rota.answers.why import why
from greenrota.rota.kinds import TASK_KINDS, Amount, TaskKind
from greenrota.rota.plan import Away, CyclePlan, Starter, Work
from greenrota.rota.replay.replay import replay
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.simulate.context import context_for
from greenrota.rota.tasks.fulfilment import planned_entries
from greenrota.rota.tasks.measured import poured
from greenrota.views.month.month import month
from greenrota.views.tasks.agenda import agenda
from greenrota.views.tasks.pour import done, pour_text
from greenrota.views.text import amount
from greenrota.views.vessel.growth import SIGN_NAMES

SOURCE = Path(__file__).parent.parent / "src" / "greenrota"
FILES = sorted(SOURCE.rglob("*.py"))


@cache
def rota() -> Rota:
    """Three jars worked so that every kind of task occurs."""
    plan = plan_of(2)
    away = Away(plan.start.replace(day=20), plan.start.replace(day=22))
    cycle = CyclePlan(inoculum=0.25, days=7, feed_day=4, renew_after=1)
    starter = Starter("little", "nannochloropsis", 20.0, 2e7, plan.start, 0.0)
    east = replace(example_vessel("east"), strain="nannochloropsis")  # that little fills it in steps
    known = {**plan.strains, "nannochloropsis": strains()["nannochloropsis"]}
    plan = replace(plan, strains=known, vessels=(*plan.vessels, east), starters=(*plan.starters, starter))
    return schedule(replace(plan, work=Work(), cycle=cycle, away=(away,)))


def open_matches(tree: ast.AST) -> list[int]:
    """The lines of `match` statements whose last case is not `case _: assert_never(...)`."""
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Match):
            last = node.cases[-1]
            text = ast.unparse(last.body[-1])
            closed = ast.unparse(last.pattern) == "_" and text.startswith("assert_never(")
            found += [] if closed else [node.lineno]
    return found


def bare_kinds(tree: ast.AST) -> list[int]:
    """The lines where `x.kind` is looked up in a tuple of bare texts: mypy reads it as one of str and finds no slip."""
    return [
        node.lineno
        for node in ast.walk(tree)
        if isinstance(node, ast.Compare)
        and isinstance(node.ops[0], (ast.In, ast.NotIn))
        and isinstance(node.left, ast.Attribute)
        and node.left.attr == "kind"
        and isinstance(node.comparators[0], (ast.Tuple, ast.List, ast.Set))
        and any(isinstance(each, ast.Constant) for each in node.comparators[0].elts)
    ]


@pytest.mark.parametrize("path", FILES, ids=lambda path: str(path.relative_to(SOURCE)))
def test_every_match_is_closed_and_no_kind_is_a_bare_text(path: Path) -> None:
    tree = parsed(path)
    assert open_matches(tree) == []
    if path.name != "month_sheet.py":  # the kind of a day, whose texts are those of style sheets
        assert bare_kinds(tree) == []


def test_an_open_match_and_a_bare_kind_are_found() -> None:
    code = 'match a:\n    case 1:\n        b\nif t.kind in ("start", "reseed"):\n    c\n'
    assert open_matches(ast.parse(code)) == [1]
    assert bare_kinds(ast.parse(code)) == [4]


def test_every_kind_has_its_own_place_word_entry_and_sign() -> None:
    records = list(TASK_KINDS.values())
    places = list(range(len(records)))
    assert sorted(each.day_order for each in records) == places
    assert sorted(each.leads for each in records) == places
    assert len({each.entry for each in records}) == len(records)
    for words in ([each.verb for each in records], [each.done for each in records]):
        assert all(words) and len(set(words)) == len(words)
    signs = [each.sign for each in records if each.sign]
    assert len(set(signs)) == len(signs) and set(signs) < set(SIGN_NAMES)


@pytest.mark.parametrize("kind", TASK_KINDS)
def test_a_task_has_the_amounts_of_its_record_and_its_pages_word_them(kind: TaskKind) -> None:
    record, tasks = TASK_KINDS[kind], [task for task in rota().tasks if task.kind == kind]
    assert tasks
    shown: set[Amount] = {*record.amounts} - ({"keep"} if record.fills else set())  # it is the inoculum then
    shown -= {"salt"} if kind != "prepare" else set()  # it stands where it is dissolved
    for task in tasks:
        assert {name for name in get_args(Amount) if task.amounts.of(name) is not None} == set(record.amounts)
        text, read = pour_text(task), poured(task)
        for name in shown - {"nutrient", "salt"}:
            assert amount.volume(read.of(name) or 0.0, "metric") in text, (task.id, name)
        if "nutrient" in shown:
            assert "f2" in text and "f2" in done(task)
        assert text and done(task).startswith("mix" if kind == "prepare" else record.verb)
        assert done(task) in agenda(rota(), [task]) or kind == "prepare"


@pytest.mark.parametrize("kind", TASK_KINDS)
def test_the_month_words_it_or_another_task_of_the_visit(kind: TaskKind) -> None:
    days = {day.on: day for week in month(rota()).weeks for day in week}
    tasks = [task for task in rota().tasks if task.kind == kind and task.on in days]
    assert tasks
    for task in tasks if kind != "prepare" else ():
        words = {word for each in days[task.on].entries if each.vessel == task.vessel for word in each.words}
        assert words and (TASK_KINDS[kind].month or "harvest") in words, task.id


@pytest.mark.parametrize("kind", TASK_KINDS)
def test_what_its_entry_says_the_book_takes(kind: TaskKind) -> None:
    record = TASK_KINDS[kind]
    assert set(record.entry_values) <= KINDS[record.entry].keys
    for task in rota().tasks:
        if task.kind == kind:
            read = parse_line(format_entry(planned_entries(task)[0]))
            assert isinstance(read, Entry) and read.kind == record.entry
            assert {key for key, _ in read.values} >= set(record.entry_values) - {"light", "volume"}
            assert "volume" in dict(read.values) or kind != "start" or task.fill_ml is None


@pytest.mark.parametrize("kind", TASK_KINDS)
def test_its_day_is_explained(kind: TaskKind) -> None:
    task = next(task for task in rota().tasks if task.kind == kind)
    assert why(rota(), task).rule


def test_the_seasons_take_every_kind_of_event() -> None:
    assert {event.kind for event in rota().simulation.events} == set(TASK_KINDS) - {"prepare"}
    assert any(timetable(rota()).planned)


# A jar is no harvest bottle, and nobody who is fed.
NO_SUCH: dict[LogKind, set[str]] = {
    "given": {"log-unknown-consumer"},
    "given-away": {"log-unknown-subject"},
    "measured": {"log-unknown-subject"},
}


@pytest.mark.parametrize("kind", get_args(LogKind))
def test_every_kind_of_entry_is_replayed(kind: LogKind) -> None:
    rule = KINDS[kind]
    values: dict[str, Value] = {"density": 1e5, "task": "north/1/feed", "volume": 100.0, "entry": 1}
    entry = Entry(START, kind, "north", tuple((key, values[key]) for key in rule.required))
    start = Entry(START, "started", "north", (("from", "starter:bought"), ("inoculum", 200.0)))
    context = context_for(example_plan(vessels=(example_vessel("north"),)))
    told = [start] if kind == "started" else [start, entry]
    codes = {each.code for each in replay(context, told, START).problems}
    assert codes == NO_SUCH.get(kind, set())
