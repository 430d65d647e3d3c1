"""Earlier rotas: what is remembered of a rota saves work and changes no fact.

Work is counted in searches and entries read, not in seconds.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_logs import fulfils, lived, numbered
from made_plans import START, example_plan, example_vessel, lively_plans

from greenrota.logbook.entry import Entry
from greenrota.rota.earlier import text, way
from greenrota.rota.earlier.record import EarlierRota, plan_digest
from greenrota.rota.earlier.text import earlier_text, read_earlier
from greenrota.rota.plan import Away, CyclePlan, Plan
from greenrota.rota.replay import replay as replaying
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import Scheduled, schedule, schedule_from
from greenrota.rota.search import search as searching


class Counter:
    """Counts the calls of a function."""

    def __init__(self, patch: pytest.MonkeyPatch, module: object, name: str) -> None:
        self.calls = 0
        inner = getattr(module, name)

        def counted(*args: object, **named: object) -> object:
            self.calls += 1
            return inner(*args, **named)

        patch.setattr(module, name, counted)


@pytest.fixture
def hurried(monkeypatch: pytest.MonkeyPatch) -> Iterator[pytest.MonkeyPatch]:
    """Searches of a few simulations: the laws hold for every date, good or bad."""
    monkeypatch.setattr(searching, "FEWEST_BATCHES", 20)
    monkeypatch.setattr(searching, "MOST_BATCHES", 40)
    monkeypatch.setattr(searching, "EXACT_BATCHES", 0)
    yield monkeypatch


def shelf(days: int = 30) -> Plan:
    return example_plan(days=days, vessels=tuple(example_vessel(name) for name in ("north", "south")))


def worked(plan: Plan, days: int) -> list[Entry]:
    """A book of so many days on which everything was done as the first rota says, each day with a note."""
    rota = schedule(replace(plan, days=days))
    told = [fulfils(task, task.on) for task in rota.tasks]
    notes = [Entry(plan.start + timedelta(days=n), "note", "-", (("text", "x"),)) for n in range(days)]
    return numbered([*told, *notes])


def lived_with(plan: Plan, entries: Sequence[Entry], through: date) -> Scheduled:
    """The rota on a day, with what a person who looked at it every day has remembered."""
    remembered: tuple[EarlierRota, ...] = ()
    day = plan.start
    while day <= through:
        found = schedule_from(plan, [e for e in entries if e.on <= day], day, remembered)
        remembered = found.remembered
        day += timedelta(days=1)
    return found


def facts(rota: Rota) -> tuple[object, ...]:
    """What the logbook says, whatever is planned.

    A bottle that is still to be filled on the day itself is none of it, nor what is left of one that was filled on the
    day: its vessel may still be re-seeded from it.
    """
    filled = {harvest.id for harvest in rota.state.harvests}
    given = [
        replace(each, left_ml=0.0) if each.bottle.on == rota.as_of else each
        for each in rota.bottles
        if each.bottle.id in filled
    ]
    return (rota.state, rota.past, rota.crashes, rota.suspects, rota.problems, rota.poured, given)


@settings(max_examples=8, deadline=None)
@given(lively_plans(most_days=25, most_vessels=3), st.integers(0, 10_000))
def test_what_is_remembered_changes_no_fact(plan: Plan, seed: int) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(searching, "FEWEST_BATCHES", 20)
        patch.setattr(searching, "MOST_BATCHES", 40)
        patch.setattr(searching, "EXACT_BATCHES", 0)
        entries, day = lived(plan, 14, seed, luck=0.6), plan.start + timedelta(days=14)
        remembering = lived_with(plan, entries, day).rota
        assert facts(remembering) == facts(schedule(plan, entries, day))


def test_a_short_book_gives_the_same_dates_with_and_without(hurried: pytest.MonkeyPatch) -> None:
    plan = shelf()
    entries = [entry for entry in worked(plan, 7) if entry.kind != "note"]
    day = START + timedelta(days=9)
    assert len({entry.on for entry in entries}) <= way.WORKED_OUT_DAYS
    assert lived_with(plan, entries, day).rota == schedule(plan, entries, day)


def test_a_rota_seen_again_is_the_same_without_a_search(hurried: pytest.MonkeyPatch) -> None:
    plan, day = shelf(), START + timedelta(days=12)
    entries = [entry for entry in worked(plan, 12) if entry.on <= day]
    first = schedule_from(plan, entries, day, ())
    searches = Counter(hurried, way, "search")
    again = schedule_from(plan, entries, day, first.remembered)
    assert searches.calls == 0
    assert again.rota == first.rota
    assert again.remembered == first.remembered


def test_a_note_changes_no_date_and_costs_no_search(hurried: pytest.MonkeyPatch) -> None:
    plan, day = shelf(), START + timedelta(days=12)
    entries = [entry for entry in worked(plan, 12) if entry.on <= day and entry.kind != "note"]
    first = schedule_from(plan, entries, day, ())
    searches = Counter(hurried, way, "search")
    note = Entry(day, "note", "-", (("text", "south looks pale"),), number=len(entries) + 1)
    again = schedule_from(plan, [*entries, note], day, first.remembered)
    assert searches.calls == 0
    assert again.rota.tasks == first.rota.tasks
    crash = Entry(day, "crashed", "south", (("cause", "overheating"),), number=len(entries) + 1)
    schedule_from(plan, [*entries, crash], day, first.remembered)
    assert searches.calls > 0


def test_the_day_from_which_all_is_worked_out_moves_on_every_eighth_day_with_entries(
    hurried: pytest.MonkeyPatch,
) -> None:
    """So that the rotas of a week rest on one another. By hand: from the first for eight days, then one day back."""
    plan, begins = shelf(), []
    days = [START + timedelta(days=n) for n in range(1, 20)]
    entries = [Entry(on, "note", "-", (("text", "as usual"),), n) for n, on in enumerate(days, start=1)]
    states = way.Way._states

    def seen(self: way.Way, worked_out: list[date], asked: date) -> object:
        begins.append(days.index(worked_out[0]))
        return states(self, worked_out, asked)

    hurried.setattr(way.Way, "_states", seen)
    for n in range(1, 20):
        schedule_from(plan, entries[:n], days[n - 1], ())
    assert way.WORKED_OUT_DAYS == 8
    assert begins == [0] * 8 + [7] * 8 + [15] * 3


def test_work_does_not_grow_with_the_book(hurried: pytest.MonkeyPatch) -> None:
    """Twenty days with entries or a hundred and fifty: as many searches, and every entry is read once."""
    plan, found = shelf(), []
    book = worked(plan, 160)
    for days in (20, 150):
        day = START + timedelta(days=days)
        entries = [entry for entry in book if entry.on < day]
        with pytest.MonkeyPatch.context() as patch:
            searches, read = Counter(patch, way, "search"), Counter(patch, replaying, "read")
            first = schedule_from(plan, entries, day, ())
            assert searches.calls <= 2 * way.WORKED_OUT_DAYS + 1
            assert read.calls == len(entries)
            searches.calls = read.calls = 0
            schedule_from(plan, entries, day + timedelta(days=1), first.remembered)
            found.append(searches.calls)
            assert read.calls == len(entries)
    assert found == [1, 1]


@pytest.mark.parametrize("remembering", [True, False])
@pytest.mark.parametrize("lead", [0, 1])
def test_days_away_that_are_entered_late_make_nothing_overdue(
    lead: int, remembering: bool, hurried: pytest.MonkeyPatch
) -> None:
    """Had they always stood in the plan, it would have wanted harvests before leaving."""
    plan, day = shelf(40), START + timedelta(days=11)
    entries = [entry for entry in worked(plan, 9) if entry.kind != "note"]
    before = schedule_from(plan, entries, day, ())
    other = replace(plan, away=(Away(day + timedelta(days=lead), day + timedelta(days=lead + 9)),))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(way, "due_in_both", lambda one, other: one)
        if lead:  # on the day itself this shelf has nothing that should have been done before
            assert not set(schedule(other, entries, day).overdue) <= set(before.rota.overdue)
    after = schedule_from(other, entries, day, before.remembered if remembering else ())
    assert set(after.rota.overdue) <= set(before.rota.overdue)
    later = schedule_from(other, entries, day + timedelta(days=1), after.remembered).rota
    assert all(on >= day or name in before.rota.overdue for name, on in later.overdue.items())


def test_another_cycle_makes_nothing_overdue(hurried: pytest.MonkeyPatch) -> None:
    """What is remembered tells what stood: the days of the new plan are not those of the old one."""
    plan = shelf(40)
    entries = [entry for entry in worked(plan, 10) if entry.kind != "note"]
    day = START + timedelta(days=11)
    before = schedule_from(plan, entries, day, ())
    other = replace(plan, cycle=CyclePlan(days=3))
    assert set(schedule(other, entries, day).overdue) > set(before.rota.overdue)  # else this shows nothing
    after = schedule_from(other, entries, day, before.remembered)
    assert set(after.rota.overdue) <= set(before.rota.overdue)
    again = schedule_from(other, entries, day + timedelta(days=1), after.remembered).rota
    assert all(on >= day or name in before.rota.overdue for name, on in again.overdue.items())


def test_what_is_overdue_stays_so_when_it_is_remembered(hurried: pytest.MonkeyPatch) -> None:
    plan = shelf()
    first = min(task.on for task in schedule(plan).tasks if task.kind == "harvest")
    entries = [entry for entry in worked(plan, 20) if entry.on < first]
    late = lived_with(plan, entries, first + timedelta(days=3)).rota
    assert first in late.overdue.values()


def test_an_entry_taken_back_gives_the_old_dates_back(hurried: pytest.MonkeyPatch) -> None:
    plan, day = shelf(), START + timedelta(days=9)
    entries = [entry for entry in worked(plan, 9) if entry.on <= day]
    before = schedule_from(plan, entries, day, ())
    crash = Entry(day, "crashed", "north", (("cause", "overheating"),))
    crashed = schedule_from(plan, [*entries, crash], day, before.remembered)
    assert crashed.rota.tasks != before.rota.tasks
    assert schedule_from(plan, entries, day, crashed.remembered).rota == before.rota


def test_late_bookkeeping_rests_on_the_days_before_it(hurried: pytest.MonkeyPatch) -> None:
    plan, day = shelf(), START + timedelta(days=12)
    entries = worked(plan, 12)
    remembered = schedule_from(plan, entries, day, ()).remembered
    late = Entry(START + timedelta(days=10), "counted", "north", (("density", 5e5),))
    told = sorted([*entries, late], key=lambda entry: entry.on)
    kept = schedule_from(plan, told, day, remembered).remembered
    assert facts(schedule(plan, told, day)) == facts(schedule_from(plan, told, day, remembered).rota)
    assert {each.on for each in kept} >= {START + timedelta(days=n) for n in (10, 11)}


def _remembered() -> tuple[EarlierRota, ...]:
    plan = shelf()
    entries = [entry for entry in worked(plan, 9) if entry.kind != "note"]
    return schedule_from(plan, entries, START + timedelta(days=10), ()).remembered


def test_what_is_written_is_read_back(hurried: pytest.MonkeyPatch) -> None:
    remembered = _remembered()
    written = earlier_text(remembered)
    assert written is not None
    assert read_earlier(written) == remembered


def test_what_is_torn_or_foreign_counts_as_nothing(hurried: pytest.MonkeyPatch) -> None:
    written = earlier_text(_remembered())
    assert written is not None
    for cut in range(0, len(written) - 1, 97):
        assert read_earlier(written[:cut]) == ()
    told = json.loads(written)
    for change in (
        {"format": "greenrota/earlier/0"},
        {"rotas": 3},
        {"rotas": [{}]},
        {"rotas": [{**told["rotas"][0], "more": 1}]},
        {"rotas": [{**told["rotas"][0], "on": "2027-02-30"}]},
        {"rotas": [{**told["rotas"][0], "exact": "yes"}]},
    ):
        assert read_earlier(json.dumps({**told, **change}).encode()) == ()
    assert read_earlier(b"\xff\x00" * 50) == read_earlier(b"[" * 100_000) == ()


def test_a_rota_of_another_book_is_not_rested_on(hurried: pytest.MonkeyPatch) -> None:
    plan, day = shelf(), START + timedelta(days=10)
    remembered = _remembered()
    other = [Entry(START, "started", "south", (("from", "starter:bought"), ("inoculum", 100.0)))]
    assert schedule_from(plan, other, day, remembered).rota == schedule(plan, other, day)


def test_a_search_that_was_interrupted_is_not_remembered() -> None:
    def interrupt(_: float) -> None:
        raise KeyboardInterrupt

    plan = shelf()
    entries = numbered([Entry(START, "started", "north", (("from", "starter:bought"),))])
    found = schedule_from(plan, entries, START + timedelta(days=1), (), interrupt)
    assert found.rota.found.cut_short
    assert found.remembered == ()


def test_a_huge_record_is_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    remembered = _remembered()
    one = earlier_text(remembered[-1:])
    assert one is not None
    monkeypatch.setattr(text, "MOST_BYTES", len(one))
    assert read_earlier(earlier_text(remembered) or b"") == remembered[-1:]
    monkeypatch.setattr(text, "MOST_BYTES", len(one) - 1)
    assert earlier_text(remembered) is None


def test_the_digest_of_a_plan_is_that_of_what_it_says() -> None:
    plan = shelf()
    assert plan_digest(plan) == plan_digest(replace(plan)) != plan_digest(replace(plan, days=31))
