"""What changed between two rotas and why, and who is kin to whom in a rota: by hand."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from datetime import date, timedelta

import pytest
from made_logs import fulfils, numbered
from made_plans import START, example_plan

from greenrota.culture.growth import density
from greenrota.logbook.entry import Entry, Value
from greenrota.rota.change import Change, compare, first_day_told_anew
from greenrota.rota.pedigree import ALIVE, CRASHED, FRIDGE, GONE, PLANNED, pedigree
from greenrota.rota.plan import CyclePlan
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.standing import after_work, before_work, choice_of, vessel_spans
from greenrota.rota.task import Task

pytestmark = pytest.mark.usefixtures("few_walks")
DAY = timedelta(days=1)


def entry(day: int, kind: str, vessel: str, **values: Value) -> Entry:
    return Entry(START + day * DAY, kind, vessel, tuple(values.items()))


@pytest.fixture(scope="module")
def rota(few_walks: None) -> Rota:
    return schedule(example_plan())


def with_tasks(rota: Rota, **changed: Task | None) -> Rota:
    """The rota with one task exchanged (or left out) for each name; a new name is put in."""
    named: Mapping[str, Task | None] = {key.replace("_", "/"): task for key, task in changed.items()}
    tasks = [named.get(task.id, task) for task in rota.tasks]
    tasks += [task for name, task in named.items() if name not in {task.id for task in rota.tasks}]
    return replace(rota, tasks=tuple(task for task in tasks if task is not None))


def only(before: Rota, after: Rota) -> Change:
    (change,) = compare(before, after, START).changes
    return change


def task(rota: Rota, name: str) -> Task:
    return next(task for task in rota.tasks if task.id == name)


def test_a_rota_set_against_itself_keeps_every_task(rota: Rota) -> None:
    same = compare(rota, rota, START + DAY)
    assert (same.since, same.kept, same.changes) == (START + DAY, len(rota.tasks), ())


def test_a_task_moved_new_and_dropped(rota: Rota) -> None:
    was = task(rota, "north/1/harvest")
    later = replace(was, on=was.on + DAY, reason="because")
    moved = only(rota, with_tasks(rota, north_1_harvest=later))
    assert moved == Change("north/1/harvest", "moved", was, later, "because")
    new = only(with_tasks(rota, north_1_harvest=None), rota)
    assert new == Change("north/1/harvest", "new", None, was, was.reason)
    dropped = only(rota, with_tasks(rota, north_1_harvest=None))
    assert dropped == Change("north/1/harvest", "dropped", was, None, "follows from the changes before it")
    assert compare(rota, with_tasks(rota, north_1_harvest=later), START).kept == len(rota.tasks) - 1


def test_another_parent_is_told_whether_it_moved_or_not(rota: Rota) -> None:
    was = task(rota, "south/1/start")
    here, there = (
        replace(was, parent="north/1", reason="so"),
        replace(was, parent="north/1", reason="so", on=was.on + DAY),
    )
    told = "comes from north/1 now, not from starter:bought: so"
    assert only(rota, with_tasks(rota, south_1_start=here)) == Change(
        "south/1/start", "amounts", was, here, told
    )
    assert only(rota, with_tasks(rota, south_1_start=there)) == Change(
        "south/1/start", "moved", was, there, told
    )


@pytest.mark.parametrize("name", ["inoculum_ml", "seawater_ml", "salt_g", "harvest_ml", "keep_ml", "bank_ml"])
def test_a_pour_is_the_same_to_half_a_percent_or_half_a_millilitre(rota: Rota, name: str) -> None:
    # by hand: 1000 against 1005 is 5 of 5.025 allowed, against 1006 is 6 of 5.03; 10.0 against 10.5 and 10.6
    plain = task(rota, "north/1/start")

    def changed(a: float | None, b: float | None) -> int:
        before, after = (
            replace(plain, amounts=replace(plain.amounts, **{name: figure})) for figure in (a, b)
        )
        return len(
            compare(
                with_tasks(rota, north_1_start=before), with_tasks(rota, north_1_start=after), START
            ).changes
        )

    assert [changed(1000.0, 1005.0), changed(1000.0, 1006.0), changed(1006.0, 1000.0)] == [0, 1, 1]
    assert [changed(10.0, 10.5), changed(10.0, 10.6)] == [0, 1]
    assert [changed(None, None), changed(None, 1.0), changed(1.0, None), changed(0.0, None)] == [0, 1, 1, 1]


def test_nutrients_are_the_same_bottle_and_pour(rota: Rota) -> None:
    plain = task(rota, "north/1/start")

    def changed(nutrient_ml: dict[str, float]) -> list[str]:
        after = replace(plain, amounts=replace(plain.amounts, nutrient_ml=nutrient_ml))
        return [
            change.change for change in compare(rota, with_tasks(rota, north_1_start=after), START).changes
        ]

    assert changed({"f2": 0.8}) == []
    assert changed({"f2": 1.3}) == []  # 0.5 mL more
    assert changed({"f2": 1.4}) == ["amounts"]
    assert changed({"other": 0.8}) == ["amounts"]


def test_a_harvest_that_shrank_names_who_took_inoculum(rota: Rota) -> None:
    # by hand: a donor's harvest is smaller by what a start on the same day took from it
    after = schedule(example_plan(vessels=(*rota.plan.vessels, replace(rota.plan.vessels[0], name="east"))))
    start = next(
        task for task in after.tasks if task.kind == "start" and not task.parent.startswith("starter")
    )
    harvest = task(after, f"{start.parent}/harvest")
    assert harvest.on == start.on
    more = replace(harvest, amounts=replace(harvest.amounts, harvest_ml=9999.0))
    before = replace(after, tasks=tuple(more if each is harvest else each for each in after.tasks))
    assert only(before, after).reason == f"{start.batch} took inoculum from {start.parent}"
    reseed = task(after, "north/2/reseed")
    more = replace(reseed, amounts=replace(reseed.amounts, keep_ml=9999.0))
    before = replace(after, tasks=tuple(more if each is reseed else each for each in after.tasks))
    assert only(before, after) == Change("north/2/reseed", "amounts", more, reseed, reseed.reason)


def test_the_first_day_told_anew() -> None:
    a, b, c = entry(1, "note", "-"), entry(3, "note", "-"), entry(5, "note", "-")
    as_of = START + 9 * DAY
    assert first_day_told_anew([a], [a, c, b], as_of) == b.on
    assert first_day_told_anew([a, b], [a], as_of) == b.on
    assert first_day_told_anew([a], [a], as_of) == as_of
    assert first_day_told_anew([a], [a, c], START + 4 * DAY) == START + 4 * DAY


def lived() -> tuple[list[Entry], Rota]:
    """Both vessels started as planned; south crashes on the fifth day."""
    first = schedule(example_plan())
    told = [fulfils(each, each.on) for each in first.tasks if each.kind == "start"]
    day = max(each.on for each in told) + 5 * DAY
    told = numbered([*told, Entry(day, "crashed", "south", (("cause", "heat"),))])
    return told, schedule(example_plan(), told, day)


def test_a_crash_is_the_reason_of_what_it_drops() -> None:
    told, now = lived()
    changes = compare(schedule(example_plan(), told[:-1], now.as_of), now, now.as_of)
    assert first_day_told_anew(told[:-1], told, now.as_of) == now.as_of
    dropped = {change.id: change.reason for change in changes.changes if change.change == "dropped"}
    assert dropped["south/1/harvest"] == f"south/1 crashed on {now.as_of} (heat)"
    assert "south/2/start" in {change.id for change in changes.changes if change.change == "new"}
    days = [(change.after or change.before).on for change in changes.changes]  # type: ignore[union-attr]
    assert days == sorted(days)
    assert compare(now, schedule(example_plan(), told, now.as_of), now.as_of).changes == ()
    # what is done is not dropped
    assert not {change.id for change in changes.changes} & {"south/1/start", "north/1/start"}


def test_what_has_passed_and_what_is_suspect_are_told(rota: Rota) -> None:
    was = task(rota, "north/1/harvest")
    late = replace(with_tasks(rota, north_1_harvest=None), as_of=was.on + DAY)
    dropped = compare(rota, late, START).changes
    assert [change.reason for change in dropped] == [f"its day, {was.on}, has passed"]
    moved = replace(with_tasks(rota, north_1_harvest=replace(was, on=was.on + 2 * DAY)), as_of=was.on + DAY)
    assert only(rota, moved).reason == f"was due on {was.on}; {was.reason}"
    told = numbered(
        [
            *(fulfils(each, each.on) for each in rota.tasks if each.kind == "start"),
            entry(8, "crashed", "south", cause="contamination", since=START - 2 * DAY),
        ]
    )
    after = schedule(example_plan(), told, START + 8 * DAY)
    suspect = with_tasks(
        after, north_9_bank=replace(was, id="north/9/bank", parent="north/1", on=after.as_of + DAY)
    )
    assert only(suspect, after).reason == f"north/1 is suspect: {after.suspects['north/1'].because}"


# --- kin ----------------------------------------------------------------------------------------------------------


def test_what_became_of_every_batch_and_bottle() -> None:
    told, now = lived()
    told = numbered([*told, Entry(now.as_of, "banked", "north", (("volume", 300.0),))])
    now = schedule(example_plan(), told, now.as_of)
    kin = pedigree(now, planned=False)
    states = {name: (member.state, member.vessel) for name, member in kin.members.items()}
    assert states == {
        "starter:bought": (FRIDGE, None),
        "north/1": (ALIVE, "north"),
        "south/1": (CRASHED, "south"),
        "fridge:north/1": (FRIDGE, None),
    }
    crashed = kin.members["south/1"]
    assert (crashed.cause, crashed.ended) == ("heat", now.as_of)
    assert (kin.name, kin.as_of, kin.outbreak, kin.touched) == ("shelf", now.as_of, None, None)
    ahead = pedigree(now, planned=True).members
    assert ahead["south/2"].state == PLANNED
    assert ahead["south/2"].vessel == "south"
    poured = schedule(
        example_plan(), numbered([*told, Entry(now.as_of, "discarded", "fridge:north/1")]), now.as_of
    )
    assert pedigree(poured, planned=False).members["fridge:north/1"].state == GONE


def test_an_outbreak_is_asked_about_by_vessel_and_day() -> None:
    _, now = lived()
    begun = now.shelf.batches["north/1"].started
    for day in (begun - 3 * DAY, begun, begun + DAY):
        asked = pedigree(now, planned=False, outbreak=("north", day))
        assert asked.outbreak == ("north/1", day)
    assert asked.touched is not None
    assert set(asked.touched) == {"north/1"}
    assert (asked.name, asked.as_of) == ("shelf", now.as_of)
    assert asked.members == pedigree(now, planned=False).members
    since_start = pedigree(now, planned=False, outbreak=("north/1", begun))
    assert since_start.touched is not None
    assert set(since_start.touched) >= {"north/1", "starter:bought"}
    ahead = pedigree(now, planned=True, outbreak=("south", date.max - DAY))
    assert ahead.outbreak is not None
    latest = max(
        number
        for name, number in ((b.vessel, b.number) for b in now.forecast.shelf.batches.values())
        if name == "south"
    )
    assert ahead.outbreak[0] == f"south/{latest}"
    with pytest.raises(KeyError, match="east"):
        pedigree(now, planned=False, outbreak=("east", begun))


def test_the_suspect_are_marked_with_their_reason() -> None:
    first = schedule(example_plan())
    told = [fulfils(each, each.on) for each in first.tasks if each.kind == "start"]
    day = max(each.on for each in told) + 5 * DAY
    values: tuple[tuple[str, Value], ...] = (("cause", "contamination"), ("since", START - 2 * DAY))
    now = schedule(example_plan(), numbered([*told, Entry(day, "crashed", "south", values)]), day)
    members = pedigree(now, planned=False).members
    assert {name for name, member in members.items() if member.suspicion} == set(now.suspects)
    assert set(now.suspects) == {"south/1", "starter:bought", "north/1"}
    assert all(members[name].suspicion == why for name, why in now.suspects.items())


# --- what stands in a vessel --------------------------------------------------------------------------------------


def test_what_stands_before_and_after_the_work_of_a_day(rota: Rota) -> None:
    # by hand: nothing before the start; 93,750 cells/mL after it; on the harvest's day the old batch, then the new
    first, cut = task(rota, "north/1/start"), task(rota, "north/1/harvest")
    assert before_work(rota, "north", first.on) is None
    begun = after_work(rota, "north", first.on)
    assert begun is not None
    assert begun[1].density_per_ml == pytest.approx(93_750.0, rel=1e-12)
    ripe, reseeded = before_work(rota, "north", cut.on), after_work(rota, "north", cut.on)
    assert ripe is not None
    assert reseeded is not None
    assert (ripe[0].batch.id, reseeded[0].batch.id) == ("north/1", "north/2")
    assert ripe[1].density_per_ml == pytest.approx(cut.density_before_per_ml, rel=1e-12)
    assert reseeded[1].density_per_ml == pytest.approx(
        task(rota, "north/2/reseed").density_after_per_ml, rel=1e-12
    )
    between = before_work(rota, "north", first.on + DAY), after_work(rota, "north", first.on + DAY)
    assert between[0] == between[1]
    assert after_work(rota, "north", rota.through) is not None
    assert after_work(rota, "north", rota.through + DAY) is None
    spans = vessel_spans(rota, "north")
    assert {span.batch.vessel for span in spans} == {"north"}
    assert [span.first for span in spans] == sorted(span.first for span in spans)


def test_on_the_day_the_rota_stands_at_what_was_logged_is_done() -> None:
    _, now = lived()
    assert before_work(now, "south", now.as_of) is None
    here = before_work(now, "north", now.as_of)
    assert here is not None
    assert here[0].batch.id == "north/1"
    assert now.shelf.at(now.benches["north"], now.as_of) is not None
    assert here[1].density_per_ml > 93_750.0  # it has grown since its start
    day_before = before_work(now, "south", now.as_of - DAY)
    assert day_before is not None
    assert day_before[0].batch.id == "south/1"


def test_a_vessel_under_a_short_light_grows_by_it_to_the_day_the_rota_stands_at() -> None:
    # by hand: the same broth under 6 h instead of 14 h grows at 6 / 14 of the rate
    first = schedule(example_plan())
    told = [fulfils(each, each.on) for each in first.tasks if each.kind == "start" and each.vessel == "north"]
    begun = told[0].on
    told.append(Entry(begun + 8 * DAY, "reseeded", "north", (("inoculum", 1000.0), ("light", 6.0))))
    now = schedule(example_plan(), numbered(told), begun + 11 * DAY)
    here = before_work(now, "north", now.as_of)
    assert here is not None
    kept, bench = now.shelf.standing["north"], now.benches["north"]
    by_hand = density(
        kept.broth.density_per_ml, bench.ceiling(kept.broth).per_ml, bench.rate_per_day * 6 / 14, 3.0
    )
    assert (kept.on, kept.light_h) == (begun + 8 * DAY, 6.0)
    assert here[1].density_per_ml == pytest.approx(by_hand, rel=1e-9)


def test_a_renewed_vessel_is_empty_when_the_day_is_done() -> None:
    rota = schedule(example_plan(days=60, cycle=CyclePlan(renew_after=2)))
    renewed = next(task for task in rota.tasks if task.kind == "renew")
    assert before_work(rota, renewed.vessel, renewed.on) is not None
    again = [t for t in rota.tasks if t.vessel == renewed.vessel and t.kind == "start" and t.on == renewed.on]
    after = after_work(rota, renewed.vessel, renewed.on)
    assert (after is None) == (not again)


def test_the_choice_behind_a_harvest(rota: Rota) -> None:
    choice = choice_of(rota, "north/1")
    assert choice is not None
    assert choice.taken == task(rota, "north/1/harvest").on
    assert choice_of(rota, "north/99") is None
