"""Why a task stands on its day: every day is told of once, each price is that of a real walk, reasons by hand."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta

import pytest
from every_rota import ROUNDING, small_plan, tiny_plan
from made_plans import START, example_plan, example_vessel

from greenrota.logbook.entry import Entry
from greenrota.rota.answers.why import Why, why
from greenrota.rota.plan import Away, CyclePlan, Plan, Tank, Work
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.search.score import Scorer
from greenrota.rota.search.search import search
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.simulation import simulate
from greenrota.rota.tasks.task import tasks_from


def wed_sat_sun(**changes: object) -> Plan:
    """Two vessels, three working days a week, five days away."""
    away = (Away(date(2027, 2, 13), date(2027, 2, 17)),)
    return replace(
        example_plan(work=Work(frozenset({2, 5, 6})), away=away, tank=Tank(300.0, 400.0)), **changes
    )


def day(number: int) -> date:
    return date(2027, 2, number)


def told(rota: Rota, task: str) -> Why:
    return why(rota, next(each for each in rota.tasks if each.id == task))


def interval(first: date, last: date) -> list[date]:
    return [first + timedelta(days=n) for n in range((last - first).days + 1)]


def small_rotas() -> Iterator[Rota]:
    dice = random.Random(3)
    return (schedule(small_plan(dice)) for _ in range(6))


def test_every_day_to_the_horizon_is_told_of_once() -> None:
    for rota in small_rotas():
        for task in rota.tasks:
            answer = why(rota, task)
            if not answer.possible:
                continue
            days = [each.on for each in answer.possible]
            for out in answer.impossible:
                assert out.because and "\n" not in out.because
                days += interval(out.first, out.last)
            opened = rota.simulation.state.batches[
                task.parent if task.kind == "reseed" else task.batch
            ].started
            first = START if task.kind == "start" else opened + timedelta(days=1)
            assert sorted(days) == interval(first, rota.through), task.id
            assert [each.on for each in answer.possible if each.taken] == [task.on]


@pytest.mark.usefixtures("whole_search")
def test_no_day_is_better_where_every_choice_was_tried() -> None:
    dice = random.Random(5)
    tiny = [schedule(tiny_plan(dice)) for _ in range(5)]
    exact = [rota for rota in tiny if rota.found.exact]
    assert exact
    for rota in exact:
        for task in rota.tasks:
            answer = why(rota, task)
            assert all(each.change >= -ROUNDING for each in (*answer.possible, *answer.amounts))


def test_a_price_is_that_of_the_better_of_two_walks() -> None:
    # Independent route: the walks are put together here by hand.
    rota = schedule(wed_sat_sun())
    answer = next(
        answer
        for task in rota.tasks
        if task.kind == "harvest" and len((answer := why(rota, task)).possible) > 1
    )
    batch, dates = answer.task.batch, rota.found.decisions
    other = next(each for each in answer.possible if not each.taken)
    vessel, number = batch.split("/")
    kept = dates._replace(harvests={**dates.harvests, batch: other.on})

    def before(each: str) -> bool:
        return each.split("/")[0] != vessel or int(each.split("/")[1]) <= int(number)

    opened = kept._replace(
        harvests={each: on for each, on in kept.harvests.items() if before(each)},
        keeps={each: share for each, share in kept.keeps.items() if before(each)},
    )
    scorer = Scorer(rota.context, rota.start_state, rota.previous)
    walks = [simulate(rota.context, rota.start_state, decisions) for decisions in (kept, opened)]
    best = min(scorer.score(simulated).total for simulated in walks)
    assert other.change == pytest.approx(best - rota.found.score.total, abs=1e-6)  # sums in another order


def test_another_start_day_costs_what_a_walk_with_it_costs() -> None:
    # Independent route: the walks are put together here, with all that was decided of the vessel kept, and left open.
    rota = schedule(example_plan(tank=Tank(300.0, 400.0)))
    dates, scorer = rota.found.decisions, Scorer(rota.context, rota.start_state, rota.previous)
    prices = []
    for vessel in rota.benches:
        answer = told(rota, f"{vessel}/1/start")
        for each in answer.possible:
            other = dates._replace(
                starts={**dates.starts, vessel: each.on},
                harvests={batch: on for batch, on in dates.harvests.items() if batch.split("/")[0] != vessel},
                keeps={batch: kept for batch, kept in dates.keeps.items() if batch.split("/")[0] != vessel},
            )
            if not each.taken:
                kept = dates._replace(starts=other.starts)
                total = min(
                    scorer.score(simulate(rota.context, rota.start_state, way)).total for way in (kept, other)
                )
                prices.append(each.change)
                assert each.change == pytest.approx(total - rota.found.score.total, abs=1e-6)
    assert len(prices) > 1 and len({round(price, 3) for price in prices}) > 1


def test_other_amounts_cost_what_a_walk_with_them_costs() -> None:
    # Independent route: each way is handed to a walk by itself, with nothing decided after it in its vessels.
    rota = schedule(example_plan(tank=Tank(300.0, 400.0)))
    decided, scorer = rota.found.decisions, Scorer(rota.context, rota.start_state, rota.previous)
    answer = told(rota, "north/1/start")
    (shared,) = rota.simulation.allotments
    assert [dict(each.ml) for each in answer.amounts if each.taken] == [
        dict(zip(shared.taken.vessels, shared.taken.volumes_ml, strict=True))
    ]
    assert len(answer.amounts) == len(shared.ways) > 1
    for way, found in zip(
        [way for way in shared.ways if way != shared.taken],
        [each for each in answer.amounts if not each.taken],
        strict=True,
    ):
        vessels = {*way.vessels, *shared.taken.vessels}
        other = Decisions(
            {batch: on for batch, on in decided.harvests.items() if batch.split("/")[0] not in vessels},
            {vessel: on for vessel, on in decided.starts.items() if vessel not in vessels},
            {batch: share for batch, share in decided.keeps.items() if batch.split("/")[0] not in vessels},
            {way.source: way},
        )
        total = scorer.score(simulate(rota.context, rota.start_state, other)).total
        assert found.change == pytest.approx(total - rota.found.score.total, abs=1e-6)


def test_what_stays_in_a_vessel_is_weighed_against_every_other_carry_over() -> None:
    rota = schedule(example_plan(tank=Tank(300.0, 400.0)))
    answer = told(rota, "north/1/harvest")
    fill_ml = 1000.0 * rota.benches["north"].vessel.fill_l
    kept = next(each.amounts.keep_ml for each in rota.tasks if each.id == "north/1/harvest")
    (taken,) = [each for each in answer.amounts if each.taken]
    assert taken.ml["north"] == pytest.approx(kept, rel=0.02)  # as near as it is measured
    assert [each.ml["north"] / fill_ml for each in answer.amounts] == pytest.approx(
        sorted(rota.cycles["north"].carry_overs)
    )
    fixed = schedule(example_plan(tank=Tank(300.0, 400.0), cycle=CyclePlan(inoculum=0.25)))
    assert told(fixed, "north/1/harvest").amounts == ()


def test_days_fall_out_for_the_reason_that_holds() -> None:
    rota = schedule(wed_sat_sun())
    answer = told(rota, "north/1/harvest")
    projection = next(each.projection for each in rota.simulation.choices if each.batch.id == "north/1")
    assert projection.ready_on is not None and projection.over_on is not None
    reason = {on: out.because for out in answer.impossible for on in interval(out.first, out.last)}
    for on, because in reason.items():
        # derived by hand from the plan: too early and too late first, then who is there
        if on < projection.ready_on:
            assert because == "before it is at 70% of its ceiling"
        elif on >= projection.over_on:
            assert because == "over-ripe"
        elif day(13) <= on <= day(17):
            assert because == "away"
        else:
            assert because == "no working day" and on.weekday() not in (2, 5, 6)
    assert {"away", "over-ripe", "before it is at 70% of its ceiling"} <= set(reason.values())


def test_a_pinned_day_is_the_reason_of_all_others() -> None:
    rota = schedule(example_plan(cycle=CyclePlan(days=10, inoculum=0.25)))
    answer = told(rota, "north/1/harvest")
    assert [each.on for each in answer.possible] == [rota.tasks[0].on + timedelta(days=10)]
    assert {out.because for out in answer.impossible} == {f"the plan sets it for {answer.task.on}"}


def test_start_days_by_hand() -> None:
    plan = example_plan()
    bought = replace(plan.starters[0], on_hand=day(4))
    rota = schedule(
        replace(plan, starters=(bought,), work=Work(frozenset({2, 5, 6})), cycle=CyclePlan(days=8))
    )
    answer = told(rota, "north/1/start")
    # from the fourth, one cycle of eight days: the sixth, seventh and tenth are working days
    assert [each.on for each in answer.possible] == [day(6), day(7), day(10)]
    first, closed, *_ = answer.impossible
    assert (first.first, first.last, first.because) == (
        day(1),
        day(3),
        "starter:bought is there from 2027-02-04 on",
    )
    assert (closed.first, closed.last, closed.because) == (day(4), day(5), "no working day")
    assert answer.impossible[-1].because == "starter:bought is too old by then" or (
        answer.impossible[-1].because == "more than a cycle of 8 days after it could first be poured"
    )


def test_what_follows_another_task_names_it() -> None:
    rota = schedule(wed_sat_sun(days=62, cycle=CyclePlan(renew_after=2)))
    ids = {task.id: task for task in rota.tasks}
    seen = set()
    for task in rota.tasks:
        answer = why(rota, task)
        assert answer.task == task
        seen.add(task.kind)
        if answer.sees:
            assert answer.sees in ids
            assert ids[answer.sees].on >= task.on
            assert task.kind == "prepare" or ids[answer.sees].on == task.on
        assert answer.rule
        assert bool(answer.possible) == (task.kind in ("harvest", "reseed", "bank")) or task.kind == "start"
    assert seen >= {"prepare", "start", "harvest", "reseed", "renew", "bank"}


def test_the_day_of_a_restart_is_weighed_and_kept() -> None:
    plan = example_plan(days=40, tank=Tank(300.0, 200.0), cycle=CyclePlan(renew_after=0))
    rota = schedule(plan)
    choice = next(each for each in rota.simulation.restarts if len(each.options) == 4)
    answer = told(rota, f"{choice.batch}/start")
    assert [each.on for each in answer.possible] == list(choice.options)
    assert [each.on for each in answer.possible if each.taken] == [choice.taken]
    assert [(choice.options[n] - choice.options[0]).days for n in range(4)] == [
        0,
        1,
        2,
        3,
    ]  # every day is open
    for each in answer.possible:
        # independent route: the walk itself, with what follows in the vessel kept and left out by hand
        kept = rota.found.decisions._replace(
            restarts={**rota.found.decisions.restarts, choice.batch: each.on}
        )
        vessel, number = choice.batch.split("/")

        def before(batch: str, vessel: str = vessel, number: str = number) -> bool:
            return batch.split("/")[0] != vessel or int(batch.split("/")[1]) < int(number)

        opened = kept._replace(
            harvests={batch: on for batch, on in kept.harvests.items() if before(batch)},
            keeps={batch: share for batch, share in kept.keeps.items() if before(batch)},
            topups={task: on for task, on in kept.topups.items() if before(task.rsplit("/", 1)[0])},
            restarts={
                batch: on for batch, on in kept.restarts.items() if before(batch) or batch == choice.batch
            },
        )
        scorer = Scorer(rota.context, rota.start_state, rota.previous)
        totals = [
            scorer.score(simulate(rota.context, rota.start_state, decided)).total
            for decided in (kept, opened)
        ]
        wanted = 0.0 if each.taken else min(totals) - rota.found.score.total
        assert each.change == pytest.approx(wanted, abs=1e-6)
    reasons = {out.because for out in answer.impossible}
    assert "before it stands empty and a source gives it a start" in reasons
    assert "more than 3 working days after it could first be restarted" in reasons
    noted = Entry(rota.tasks[0].on, "note", "-", (("text", "all well"),), 1)
    later = schedule(plan, (noted,))
    again = {each.batch: each.taken for each in later.simulation.restarts}
    assert again[choice.batch] == choice.taken
    assert told(later, f"{choice.batch}/start").held


def test_a_second_dose_has_a_rule() -> None:
    pinned = schedule(example_plan(cycle=CyclePlan(feed_day=4)))
    assert "on day 4 of a batch" in told(pinned, "north/1/feed").rule
    free = schedule(example_plan(vessels=(example_vessel(fill_l=0.5),)))
    assert "50% of the ceiling" in told(free, "north/1/feed").rule


def test_a_day_of_the_earlier_rota_is_said_to_be_held() -> None:
    plan = wed_sat_sun()
    before = schedule(plan)
    start = next(task for task in before.tasks if task.kind == "start")
    entry = Entry(start.on, "note", "-", (("text", "all well"),), 1)
    after = schedule(plan, (entry,))
    harvest = next(task for task in after.tasks if task.kind == "harvest")
    assert not why(before, harvest).held
    assert why(after, harvest).held


def test_a_held_day_whose_batch_ripens_after_the_horizon_is_told_of() -> None:
    # A day between ready and ripe, and no ripe day left in the plan: only the earlier rota puts a harvest there.
    slow = (example_vessel(photoperiod_h=6.0),)
    whole = schedule(example_plan(days=40, vessels=slow))
    first = next(each for each in whole.simulation.choices if each.batch.id == "north/1")
    ready, ripe = first.projection.ready_on, first.projection.ripe_on
    assert ready is not None and ripe is not None and (ripe - ready).days >= 2
    short = schedule(example_plan(days=(ripe - START).days, vessels=slow))
    culture = whole.found.decisions._replace(harvests={"north/1": ready}, keeps={})
    found = search(short.context, short.start_state, culture)
    tasks = tasks_from(
        short.benches, found.simulated.events, short.start_state.mixing(short.plan, short.context.open_days)
    )
    answer = told(replace(short, previous=culture, found=found, tasks=tasks), "north/1/harvest")
    assert answer.held
    assert [(each.on, each.taken) for each in answer.possible] == [(ready, True)]
    reason = {on: out.because for out in answer.impossible for on in interval(out.first, out.last)}
    opened = found.simulated.state.batches["north/1"].started
    assert sorted([*reason, ready]) == interval(opened + timedelta(days=1), short.through)
    assert {reason[on] for on in reason if on > ready} == {"it is ripe only after the horizon"}
