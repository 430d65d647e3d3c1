"""Scale-up by hand: first fills, steps and their days by the logistic law, mass balance, and what the logbook tells.

The laws that hold for every plan (no thin start without a word, steps of 1:2 to 1:10, density after each, doses) are
in `made/audit.py` and tried on generated plans in `test_core_laws.py`.
"""

from __future__ import annotations

import math
from dataclasses import replace
from datetime import date, timedelta

import pytest
from audit import check_all
from hypothesis import given, settings
from hypothesis import strategies as st
from made_plans import START, example_plan, example_vessel

from greenrota.culture.data.strain import strains
from greenrota.culture.growth.broth import Broth, days_to_share
from greenrota.logbook.entry import Entry, Value
from greenrota.risk.places import shape
from greenrota.risk.timetable import timetable
from greenrota.rota.answers.why import why
from greenrota.rota.plan import Away, CyclePlan, Plan, Starter, Work
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.search.score import Scorer
from greenrota.rota.simulate.context import context_for
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.simulation import simulate
from greenrota.rota.simulate.start import StartState, start_from_plan
from greenrota.rota.state import actions, scale_up
from greenrota.rota.state.bench import Bench, benches
from greenrota.rota.state.opendays import OpenDays
from greenrota.rota.state.salt_water import Mixing
from greenrota.rota.state.state import Culture, FridgeBottle, State, first_state
from greenrota.rota.tasks.fulfilment import planned_entries
from greenrota.rota.tasks.task import Task, tasks_from
from greenrota.rota.warnings.doubts import doubts

TANK = example_vessel(brim_l=25.0, fill_l=20.0)
# the strain's ceiling is that of 4 L and falls with the power 0.4 of the volume, as its source has it
CEILING_PER_ML = strains()["tetraselmis"].ceiling_per_ml * (20.0 / 4.0) ** -0.4
GOOD_PER_ML, LEAST_PER_ML = 0.08 * CEILING_PER_ML, 0.065 * CEILING_PER_ML


def few(
    volume_ml: float = 250.0, density_per_ml: float = 1e6, keep_back: float = 0.25, **changes: object
) -> Plan:
    """A tank of 20 L and one small bottle of starter."""
    bottle = Starter("bottle", "tetraselmis", volume_ml, density_per_ml, START, keep_back)
    return example_plan(vessels=(TANK,), starters=(bottle,), **changes)


def bench(plan: Plan) -> Bench:
    return benches(plan)["north"]


def tasks_of(rota: Rota, kind: str) -> list[Task]:
    return [task for task in rota.tasks if task.kind == kind]


def logistic(density_per_ml: float, rate_per_day: float, days: int) -> float:
    """Verhulst's law in the tank, written out: K / (1 + (K/N - 1) e^(-r t))."""
    crowd = CEILING_PER_ML / density_per_ml - 1.0
    return CEILING_PER_ML / (1.0 + crowd * math.exp(-rate_per_day * days))


def steps_by_hand(
    first_l: float, rate_per_day: float, started: date, taken: list[date]
) -> list[tuple[date, float]]:
    """For each top-up the first day on which it can be, and the litres on the day on which it is.

    Day by day: to the whole 20 L if that is at 8 % of the ceiling, else to twice and more, up to half the tank.
    """
    found = []
    volume_l, density, since = first_l, GOOD_PER_ML, started

    def to_l(on: date) -> float:
        reach_l = volume_l * logistic(density, rate_per_day, (on - since).days) / GOOD_PER_ML
        return 20.0 if reach_l >= 20.0 else min(reach_l, 10.0)

    for on in taken:
        first = next(day for n in range(60) if to_l(day := since + timedelta(days=n)) >= 2.0 * volume_l)
        after_l = to_l(on)
        found.append((first, after_l))
        density = logistic(density, rate_per_day, (on - since).days) * volume_l / after_l
        volume_l, since = after_l, on
    return found


def test_a_small_starter_fills_a_large_tank_in_the_steps_of_the_logistic_law() -> None:
    plan = few()
    rota = schedule(plan)
    start, topups = tasks_of(rota, "start")[0], tasks_of(rota, "topup")
    # 187.5 mL of a million cells/mL make 8 % of the ceiling in this many litres
    first_l = 187.5e6 / GOOD_PER_ML / 1000.0
    assert start.amounts.inoculum_ml == pytest.approx(187.5)
    assert start.amounts.seawater_ml == pytest.approx(first_l * 1000.0 - 187.5)
    assert start.density_after_per_ml == pytest.approx(GOOD_PER_ML)
    assert start.amounts.nutrient_ml["f2"] == pytest.approx(0.20 * first_l)
    days = [task.on for task in topups]
    wanted = steps_by_hand(first_l, bench(plan).rate_per_day, start.on, days)
    assert len(wanted) == 2 and wanted[-1][1] == 20.0
    poured, volume_l = [], first_l
    for task in topups:
        water_ml = task.amounts.seawater_ml or 0.0
        volume_l += water_ml / 1000.0
        poured.append((task.on, volume_l))
        assert task.amounts.nutrient_ml["f2"] == pytest.approx(
            0.20 * water_ml / 1000.0
        )  # for the new water only
    # every day is open: each may wait for up to three days
    assert [list(choice.options) for choice in rota.simulation.topups] == [
        [first + timedelta(days=n) for n in range(4)] for first, _ in wanted
    ]
    assert [choice.taken for choice in rota.simulation.topups] == days
    assert [to_l for _, to_l in poured] == pytest.approx([to_l for _, to_l in wanted])
    assert [task.id for task in topups] == ["north/1/topup", "north/1/topup.2"]
    for task in topups:
        [(bucket, fill)] = [
            (bucket, fill)
            for bucket in tasks_of(rota, "prepare")
            for fill in bucket.fills
            if fill.task == task.id
        ]
        assert fill.seawater_ml == pytest.approx(task.amounts.seawater_ml)
        assert why(rota, bucket).sees == bucket.serves[0]


@pytest.mark.parametrize("day", [0, 1, 3, 4])
def test_a_top_up_is_on_the_day_decided_for_it(day: int) -> None:
    plan = few()
    context, start_state = context_for(plan), start_from_plan(plan)
    start = simulate(context, start_state, Decisions()).topups[0]
    on = start.options[0] + timedelta(days=day)
    found = simulate(context, start_state, Decisions(topups={"north/1/topup": on}))
    first, *later = found.topups
    assert first.options == start.options
    assert first.taken == (on if day <= 3 else start.options[0])
    assert all(each.options[0] > first.taken for each in later)
    harvest = next(each for each in found.choices if each.batch.id == "north/1")
    assert min(harvest.options) > found.topups[-1].taken


def test_a_top_up_keeps_its_day_and_says_what_another_would_change() -> None:
    plan = few()
    rota = schedule(plan, [begun()], START)
    choice = rota.simulation.topups[0]
    later = schedule(
        plan, [begun(), replace(entry(1, "note", text="all well"), subject="-")], START + timedelta(days=1)
    )
    assert [(each.task, each.taken) for each in later.simulation.topups] == [
        (each.task, each.taken) for each in rota.simulation.topups
    ]
    told = why(later, next(task for task in later.tasks if task.id == choice.task))
    assert told.held and [each.on for each in told.possible] == list(choice.options)
    scorer = Scorer(later.context, later.start_state, later.previous)
    for each in told.possible:
        # independent route: what follows in the vessel is left out by hand
        kept = later.found.decisions._replace(topups={**later.found.decisions.topups, choice.task: each.on})
        opened = Decisions(topups={choice.task: each.on}, sharings=kept.sharings)
        totals = [
            scorer.score(simulate(later.context, later.start_state, decided)).total
            for decided in (kept, opened)
        ]
        best = later.found.score.total if each.taken else min(totals)
        assert each.change == pytest.approx(best - later.found.score.total, abs=1e-6)
    reasons = {out.because for out in told.impossible}
    assert any("8% of its ceiling" in each for each in reasons)
    assert "more than 3 working days after it could first be topped up" in reasons


def test_the_first_harvest_is_that_of_the_full_tank() -> None:
    plan = few()
    rota = schedule(plan)
    choice = next(each for each in rota.simulation.choices if each.batch.id == "north/1")
    last, harvest = tasks_of(rota, "topup")[-1], tasks_of(rota, "harvest")[0]
    assert harvest.on > last.on and min(choice.options) > last.on
    assert last.density_after_per_ml is not None
    # ripe at 80 % of the ceiling: the first whole day by the logistic law from the last top-up on
    days = (harvest.on - last.on).days
    at = [
        logistic(last.density_after_per_ml, bench(plan).rate_per_day, n) / CEILING_PER_ML for n in range(60)
    ]
    ripe = next(n for n, share in enumerate(at) if share >= 0.8)
    assert choice.projection.ripe_on == last.on + timedelta(days=ripe)
    assert harvest.density_before_per_ml == pytest.approx(at[days] * CEILING_PER_ML)


def test_a_top_up_waits_for_an_open_day() -> None:
    plan = few(
        work=Work(frozenset({2, 5, 6})), away=(Away(START + timedelta(days=8), START + timedelta(days=15)),)
    )
    rota = schedule(plan)
    topups = tasks_of(rota, "topup")
    assert topups
    for task in topups:
        assert task.on.weekday() in (2, 5, 6) and not 8 <= (task.on - START).days <= 15


@pytest.mark.parametrize(
    ("share", "fill_l"),  # of the ceiling, if the whole tank was filled
    [
        (0.30, 20.0),
        (0.065, 20.0),
        (0.064, 10.0),  # 16 L would start at 8 %, but the last step is to be 1:2 at least
        (0.040, 10.0),
        (0.020, 5.0),
        (0.0081, 2.025),
        (0.0070, 2.0),  # 7 % of the ceiling in the smallest fill: above the least share
        (0.0010, 2.0),  # thin
    ],
)
def test_the_first_fill_of_few_cells(share: float, fill_l: float) -> None:
    density = 4e6
    seed_l = share * CEILING_PER_ML * 20.0 / density
    assert scale_up.first_fill_l(bench(few()), seed_l, density) == pytest.approx(fill_l)


def test_a_first_fill_holds_its_inoculum() -> None:
    # three litres at 5 % of the ceiling: thin in itself, and not thinned further
    assert scale_up.first_fill_l(bench(few()), 3.0, 0.05 * CEILING_PER_ML) == pytest.approx(3.0)


@given(
    cells_share=st.floats(0.001, 0.06),
    fills=st.tuples(st.floats(0.1, 0.9), st.floats(0.1, 0.9)).map(sorted),
    topped_after_days=st.integers(1, 8),
    days=st.integers(1, 20),
)
def test_of_two_first_fills_with_the_same_cells_the_larger_has_more_on_every_later_day(
    cells_share: float, fills: list[float], topped_after_days: int, days: int
) -> None:
    """Why the size of a first fill is a rule and not searched: none but the largest that starts well grows best.

    Both are topped up to the working volume on the same day.
    """
    place = bench(few())
    inoculum = Broth(0.25, cells_share * CEILING_PER_ML * 20.0 / 0.25, 0.0, 0.0, 0.0, 26.0)

    def cells(share: float) -> float:
        broth = place.topped_up(inoculum, share * 20.0 - 0.25)
        broth = place.grow(broth, min(days, topped_after_days))
        if days > topped_after_days:
            broth = place.grow(place.topped_up(broth, 20.0 - share * 20.0), days - topped_after_days)
        return broth.volume_l * broth.density_per_ml

    smaller, larger = fills
    assert cells(larger) >= cells(smaller) * (1.0 - 1e-9)
    if larger > 1.1 * smaller:
        assert cells(larger) > cells(smaller)


def test_a_start_is_thin_only_where_the_smallest_fill_is_and_says_so() -> None:
    rota = schedule(few(volume_ml=10.0))
    start = tasks_of(rota, "start")[0]
    cells = 7.5e6
    assert start.fill_ml == pytest.approx(2000.0)
    assert start.density_after_per_ml == pytest.approx(cells / 2000.0)
    share = cells / 2000.0 / CEILING_PER_ML
    assert f"a thin start: {share:.1%} of its ceiling even in the smallest fill, under 6.5%" in start.reason
    assert "starter-thin" in {warning.code for warning in rota.warnings}
    good = schedule(few())
    assert "thin" not in tasks_of(good, "start")[0].reason
    assert "starter-thin" not in {warning.code for warning in good.warnings}


def test_a_top_up_conserves_cells_salt_and_nutrient() -> None:
    plan = few()
    place = bench(plan)
    state = first_state(plan)
    broth = Broth(4.0, 3e5, 500.0, 20.0, 90.0, 30.0, lag_days=0.5)
    seed = actions.fill(state, place, "starter:bottle", broth._replace(volume_l=1.0), START, 4.0)
    state.cultures["north"] = state.cultures["north"]._replace(broth=broth, fed_on=None)
    done = actions.topup(state, place, 10.0, START)
    after = state.cultures["north"]
    label = place.nutrient.medium
    assert done.seawater_l == done.label_doses_l == pytest.approx(6.0)
    assert done.batch == seed.batch and after.batch == seed.batch  # it stays the same batch
    assert after.broth.volume_l == pytest.approx(10.0)
    assert after.broth.density_per_ml == pytest.approx(3e5 * 4.0 / 10.0)
    assert after.broth.nitrogen_umol_l == pytest.approx((500.0 * 4.0 + label.nitrogen_umol_l * 6.0) / 10.0)
    assert after.broth.phosphorus_umol_l == pytest.approx((20.0 * 4.0 + label.phosphorus_umol_l * 6.0) / 10.0)
    assert after.broth.silicon_umol_l == pytest.approx((90.0 * 4.0 + label.silicon_umol_l * 6.0) / 10.0)
    assert after.broth.salinity_psu == pytest.approx((30.0 * 4.0 + 26.0 * 6.0) / 10.0)
    assert after.broth.lag_days == 0.5
    assert (after.topups, after.filling) == (1, True)
    actions.topup(state, place, 20.0, START)
    assert (state.cultures["north"].topups, state.cultures["north"].filling) == (2, False)


def test_a_culture_that_does_not_grow_is_never_full() -> None:
    plan = few()
    cold = bench(plan)._replace(temperature_factor=0.0)
    broth = Broth(4.0, GOOD_PER_ML, 882.0, 36.0, 0.0, 26.0)
    found = scale_up.scale_up(cold, broth, START, START, OpenDays(plan))
    assert not found.full and found.topups == ()


def test_the_end_of_the_calendar_is_no_trap() -> None:
    broth = Broth(4.0, GOOD_PER_ML, 882.0, 36.0, 0.0, 26.0)
    for on in (date.max, date.max - timedelta(days=1)):
        assert not scale_up.scale_up(bench(few()), broth, on, on, OpenDays(few())).full


def entry(day: int, kind: str, **values: Value) -> Entry:
    words = {key.rstrip("_"): value for key, value in values.items()}
    return Entry(START + timedelta(days=day), kind, "north", tuple(words.items()))  # type: ignore[arg-type]


def begun(volume: float = 4000.0) -> Entry:
    return entry(0, "started", from_="starter:bottle", inoculum=187.5, volume=volume)


def test_the_logbook_carries_a_scale_up_on() -> None:
    plan = few()
    rota = schedule(plan, [begun()], START + timedelta(days=1))
    assert [task.id for task in tasks_of(rota, "topup")] == ["north/1/topup", "north/1/topup.2"]
    first = tasks_of(rota, "topup")[0]
    told = [begun(), replace(entry(3, "topped-up", seawater=5000.0), on=first.on)]
    later = schedule(plan, told, first.on)
    culture = later.state.cultures["north"]
    assert culture.filling and culture.broth.volume_l == pytest.approx(9.0)
    assert culture.batch.id == "north/1"
    assert [task.id for task in tasks_of(later, "topup")] == ["north/1/topup.2"]
    assert "north/1/prepare.2" not in {task.id for task in later.tasks}
    assert later.poured["f2"] == pytest.approx(0.2 * 4.0 + 0.2 * 5.0)
    assert not later.problems


def test_a_full_vessel_is_not_topped_up_and_a_nearly_full_one_neither() -> None:
    for volume, wanted in ((20000.0, 0), (18000.0, 0), (17900.0, 1)):
        rota = schedule(few(volume_ml=2000.0, density_per_ml=2e6), [begun(volume)], START)
        assert len(tasks_of(rota, "topup")) == wanted, volume


def test_what_a_top_up_leaves_out_is_what_would_be_planned() -> None:
    plan = few()
    planned = tasks_of(schedule(plan, [begun()], START), "topup")[0]
    told = [begun(), replace(entry(0, "topped-up"), on=planned.on)]
    after_l = schedule(plan, told, planned.on).state.cultures["north"].broth.volume_l
    assert after_l == pytest.approx(4.0 + (planned.amounts.seawater_ml or 0.0) / 1000.0)
    early = schedule(plan, [begun(), entry(0, "topped-up")], START)
    assert early.state.cultures["north"].broth.volume_l == pytest.approx(8.0)  # twice what stands there


@pytest.mark.parametrize("volume_ml", [30.0, 60.0, 250.0])
def test_a_scale_up_done_as_planned_asks_nothing_and_moves_nothing(volume_ml: float) -> None:
    plan = few(volume_ml=volume_ml)
    rota = schedule(plan)
    full_on = max(task.on for task in tasks_of(rota, "topup"))
    done = [entry for task in rota.tasks if task.on <= full_on for entry in planned_entries(task)]
    assert doubts(rota.context, (), (), done, rota.tasks) == []
    later = schedule(plan, done, full_on)
    assert not later.problems and not [w for w in later.warnings if w.code.startswith("unusual")]
    wanted, found = (
        [(t.id, t.on) for t in each.tasks if t.on > full_on and t.batch in ("north/1", "north/2")]
        for each in (rota, later)
    )
    assert wanted and found == wanted


def test_more_than_the_brim_and_nothing_are_told() -> None:
    plan = few()
    brim = schedule(plan, [begun(), entry(1, "topped-up", seawater=22000.0)], START + timedelta(days=1))
    assert [problem.code for problem in brim.problems] == ["log-brim"]
    assert brim.state.cultures["north"].broth.volume_l == 25.0
    none = schedule(plan, [begun(), entry(1, "topped-up", seawater=0.0)], START + timedelta(days=1))
    assert [problem.code for problem in none.problems] == ["log-nothing"]
    assert none.state.cultures["north"].topups == 0


def test_a_skipped_top_up_comes_on_a_later_day() -> None:
    plan = few()
    first = tasks_of(schedule(plan, [begun()], START), "topup")[0]
    told = [begun(), replace(entry(0, "skipped", task="north/1/topup"), on=first.on)]
    later = tasks_of(schedule(plan, told, first.on), "topup")[0]
    assert later.id == "north/1/topup" and later.on == first.on + timedelta(days=1)


def test_seawater_that_was_made_ready_is_that_of_the_top_up() -> None:
    plan = few()
    first = tasks_of(schedule(plan, [begun()], START), "topup")[0]
    wanted_ml = first.amounts.seawater_ml or 0.0
    told = [begun(), replace(entry(0, "prepared", volume=wanted_ml / 2.0), on=first.on)]
    rota = schedule(plan, told, first.on)
    more = next(task for task in rota.tasks if task.id == "north/1/prepare-more.2")
    assert more.fills[0].task == first.id
    assert more.fills[0].seawater_ml == pytest.approx(wanted_ml / 2.0, rel=1e-6)
    assert "north/1/prepare.2" not in {task.id for task in rota.tasks}


def test_half_the_least_back_up_makes_a_good_start_of_a_smaller_fill() -> None:
    plan = few()
    state = first_state(plan)
    del state.bottles["starter:bottle"]
    least_cells = LEAST_PER_ML * 20000.0
    state.put(FridgeBottle("fridge:old/1", "tetraselmis", 500.0, 0.6 * least_cells / 500.0, START, "old/1"))
    state.numbers["north"] = 1
    start = next(task for task in _from_state(plan, state) if task.kind == "start")
    assert start.parent == "fridge:old/1" and start.id == "north/2/start"
    # 0.6 times 6.5 % of the tank are 8 % of 9.75 L
    assert start.fill_ml == pytest.approx(20000.0 * 0.6 * 0.065 / 0.08)
    assert start.density_after_per_ml == pytest.approx(GOOD_PER_ML)
    assert "a small first fill, 9.75 of 20 L" in start.reason and "thin" not in start.reason


def _from_state(plan: Plan, state: State) -> tuple[Task, ...]:
    """The tasks that follow from a state on the first day, with the dates that come first to mind."""
    context, start_state = context_for(plan), StartState(state, plan.start)
    simulated = simulate(context, start_state, Decisions())
    mixing = Mixing(context.open_days, plan.start, 20_000.0)
    return tasks_from(context.benches, simulated.events, mixing, simulated.choices)


@pytest.mark.parametrize(("volume_ml", "days"), [(250.0, 8), (60.0, 3)])
def test_a_pinned_harvest_waits_only_until_the_vessel_is_full(volume_ml: float, days: int) -> None:
    rota = schedule(few(volume_ml=volume_ml, cycle=CyclePlan(days=days, inoculum=0.25)))
    start, harvest = tasks_of(rota, "start")[0], tasks_of(rota, "harvest")[0]
    full_on = max(task.on for task in tasks_of(rota, "topup") if task.batch == "north/1")
    assert harvest.on == max(start.on + timedelta(days=days), full_on + timedelta(days=1))


def test_seasons_take_the_first_fill_as_the_same_cells_in_the_whole_tank() -> None:
    plan = few()
    rota = schedule(plan)
    start = tasks_of(rota, "start")[0]
    step = next(step for steps in timetable(rota).planned for step in steps)
    cells_per_ml = 187.5e6 / 20000.0
    whole = Broth(20.0, cells_per_ml, 1e6, 1e6, 1e6, 26.0)
    assert step.z == pytest.approx(shape(bench(plan), whole))
    begun_on = schedule(plan, [replace(begun(4000.0), on=start.on)], start.on)
    assert timetable(begun_on).first_day.z[0] == pytest.approx(step.z)


@pytest.mark.parametrize(("weekdays", "most"), [(range(7), 0.2), ((2, 5, 6), 0.26)])
@pytest.mark.parametrize("rate_factor", [0.3, 1.0, 1.5])
@pytest.mark.parametrize("share", [0.06, 0.02, 0.0066])
def test_steps_are_ripe_somewhat_later_than_the_same_cells_in_the_whole_tank(
    weekdays: tuple[int, ...], most: float, rate_factor: float, share: float
) -> None:
    # docs/model.md says by how much at most: what the seasons leave out
    plan = few(work=Work(frozenset(weekdays)))
    place = bench(plan)._replace(temperature_factor=rate_factor, photoperiod_factor=1.0, salinity_factor=1.0)
    seed = Broth(share * 20.0 / 5.0, 5.0 * CEILING_PER_ML, 882.0, 36.0, 0.0, 26.0)
    filled_l = scale_up.first_fill_l(place, seed.volume_l, seed.density_per_ml)
    whole, first = (place.topped_up(seed, to_l - seed.volume_l) for to_l in (20.0, filled_l))
    ahead = scale_up.scale_up(place, first, START, START + timedelta(days=1), OpenDays(plan))
    at_once = days_to_share(whole, 0.8, CEILING_PER_ML, place.rate_per_day)
    rest = days_to_share(ahead.broth, 0.8, CEILING_PER_ML, place.rate_per_day)
    assert ahead.full and at_once <= (ahead.on - START).days + rest <= at_once * (1.0 + most)


@st.composite
def sparse_plans(draw: st.DrawFn) -> Plan:
    """One to three vessels and a starter with cells for a small part of them; few working days, days away."""
    fill_l = draw(st.sampled_from((0.5, 4.0, 18.5)) | st.floats(0.3, 40.0))
    names = ("north", "south", "east")[: draw(st.integers(1, 3))]
    vessels = tuple(example_vessel(name, brim_l=fill_l * 1.2, fill_l=fill_l) for name in names)
    dense = draw(st.sampled_from((0.5, 2.0, 5.0))) * CEILING_PER_ML
    cells = draw(st.floats(0.003, 0.1)) * CEILING_PER_ML * fill_l * 1000.0
    bottle = Starter("bottle", "tetraselmis", cells / dense, dense, START, draw(st.sampled_from((0.0, 0.25))))
    first = START + timedelta(days=draw(st.integers(1, 20)))
    away = (Away(first, first + timedelta(days=draw(st.integers(0, 6)))),) if draw(st.booleans()) else ()
    weekdays = draw(st.just(frozenset(range(7))) | st.frozensets(st.integers(0, 6), min_size=1))
    cycle = CyclePlan(days=draw(st.none() | st.integers(3, 12)), feed_day=draw(st.none() | st.integers(1, 8)))
    return example_plan(
        vessels=vessels, starters=(bottle,), work=Work(weekdays), away=away, cycle=cycle, days=35
    )


def test_every_law_holds_for_sparse_starters() -> None:
    steps: list[int] = []

    @settings(max_examples=40)
    @given(sparse_plans())
    def laws(plan: Plan) -> None:
        rota = schedule(plan)
        check_all(rota)
        steps.append(len(tasks_of(rota, "topup")))

    laws()
    assert sum(n > 0 for n in steps) >= len(steps) / 3  # the laws are about something
    assert max(steps) >= 3


def test_a_vessel_that_is_being_filled_gives_nothing_away() -> None:
    plan = few()
    context_state = schedule(plan, [begun()], START).state
    culture = context_state.cultures["north"]
    assert isinstance(culture, Culture) and culture.filling
    dense = culture._replace(broth=culture.broth._replace(density_per_ml=0.9 * CEILING_PER_ML, volume_l=9.0))
    context_state.cultures["north"] = dense
    two = replace(plan, vessels=(TANK, replace(TANK, name="south")), starters=())
    context_state.numbers["south"] = 1
    context_state.bottles.clear()
    tasks = _from_state(two, context_state)
    given = [task for task in tasks if task.kind == "start" and task.vessel == "south"]
    full_on = max(task.on for task in tasks if task.kind == "topup")
    assert all(task.on > full_on for task in given)
