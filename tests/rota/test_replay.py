"""What entries of the logbook do to the shelf, by hand, and what is said of those that cannot be as written."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from made_logs import numbered
from made_plans import START, example_plan, example_vessel

from greenrota.culture.data.medium import media
from greenrota.culture.data.strain import strains
from greenrota.errors import Place, Problem
from greenrota.logbook.entry import Entry, Value
from greenrota.rota.plan import CyclePlan, Nutrient, Starter
from greenrota.rota.replay.logged import LoggedState, inspections
from greenrota.rota.replay.replay import replay
from greenrota.rota.simulate.context import context_for
from greenrota.rota.state.lineage import Link, Suspicion, links

DAY = timedelta(days=1)
PLAN = example_plan(vessels=tuple(map(example_vessel, ("north", "south"))))
SETTING = context_for(PLAN)


def entry(day: int, kind: str, subject: str, **values: Value) -> Entry:
    named = {("from" if key == "source" else key): value for key, value in values.items()}
    return Entry(START + day * DAY, kind, subject, tuple(named.items()))


def started(
    day: int = 0, vessel: str = "north", inoculum: float = 200.0, source: str = "starter:bought"
) -> Entry:
    return entry(day, "started", vessel, source=source, inoculum=inoculum)


def told(*entries: Entry, until: int = 20) -> LoggedState:
    return replay(SETTING, numbered(entries), START + until * DAY)


def only(history: LoggedState) -> Problem:
    (problem,) = history.problems
    return problem


def litres(history: LoggedState, vessel: str = "north") -> float:
    return history.recorder.state.cultures[vessel].broth.volume_l


def density(history: LoggedState, vessel: str = "north") -> float:
    return history.recorder.state.cultures[vessel].broth.density_per_ml


def test_a_start_as_written() -> None:
    # by hand: 200 mL of 2e6 in 4 L; 0.20 mL/L of the nutrient over 4 L
    history = told(started())
    assert density(history) == pytest.approx(1e5, rel=1e-12)
    assert history.poured == {"f2": pytest.approx(0.8, rel=1e-12)}
    assert history.done == {"north/1/start", "north/1/prepare"}
    assert history.recorder.state.bottles["starter:bought"].volume_ml == 300.0
    assert history.problems == []


def test_a_start_that_says_little_is_filled_in_the_likeliest_way() -> None:
    # our choice: a fifth of the fill, 800 mL, of the oldest bottle; it holds 500, so the density is a guess
    history = told(entry(0, "started", "north", inoculum=500.0))
    assert history.recorder.state.batches["north/1"].parent == "starter:bought"
    assert "starter:bought" not in history.recorder.state.bottles
    assert history.problems == []
    short = told(entry(0, "started", "north"))
    assert only(short).code == "log-source"
    assert "holds 500 mL, 800 mL are asked" in only(short).what
    # by hand: the least share, 0.065 of 1.1e6, whatever the inoculum
    assert density(short) == pytest.approx(71_500.0, rel=1e-9)
    assert short.recorder.state.batches["north/1"].parent == "starter:bought"


def test_what_was_drawn_to_the_last_half_millilitre_is_all_of_it() -> None:
    # our choice: nobody measures finer than 0.5 mL
    assert "starter:bought" not in told(started(inoculum=499.5)).recorder.state.bottles
    assert told(started(inoculum=499.4)).recorder.state.bottles["starter:bought"].volume_ml == pytest.approx(
        0.6
    )
    over = told(started(inoculum=500.5))
    assert over.problems == []
    assert density(over) == pytest.approx(2.5e5, rel=1e-12)


def test_a_start_into_a_vessel_that_is_full_is_kept_and_said() -> None:
    history = told(started(), started(1, inoculum=100.0))
    problem = only(history)
    assert problem.code == "log-vessel-occupied"
    assert "north was started while north/1 still stood in it" in problem.what
    assert problem.hint == "log the old batch as discarded first"
    assert history.recorder.state.cultures["north"].batch.id == "north/2"
    assert history.recorder.emptied == {"north": START + DAY}


def test_an_inoculum_is_never_more_than_the_fill() -> None:
    history = told(entry(0, "started", "north", source="starter:mystery", inoculum=9000.0))
    assert litres(history) == pytest.approx(4.0, rel=1e-12)
    assert history.recorder.state.batches["north/1"].parent == "starter:mystery"


def test_a_count_with_the_start_sets_its_density() -> None:
    first = Entry(START, "started", "north", (("inoculum", 200.0), ("density", 3e5)))
    assert density(told(first)) == 3e5
    assert density(told(started(), entry(0, "counted", "north", density=4e5))) == 4e5


def test_a_vessel_that_the_plan_does_not_know() -> None:
    near, far = told(entry(0, "fed", "nroth")), told(entry(0, "fed", "balcony"))
    assert (only(near).code, only(near).hint) == ("log-unknown-vessel", "did you mean north?")
    assert only(near).what == 'the plan has no vessel "nroth"'
    assert "may have left the plan" in only(far).hint


@pytest.mark.parametrize("kind", ["fed", "harvested", "reseeded", "counted", "banked", "crashed"])
def test_what_is_done_to_an_empty_vessel_is_said_and_does_nothing(kind: str) -> None:
    history = told(entry(0, kind, "north"))
    assert (only(history).code, only(history).hint) == ("log-empty-vessel", "was a start left out?")
    assert f"{kind} north, but nothing stands in it on 2027-02-01" in only(history).what
    assert (history.recorder.state.cultures, history.crashes, history.done) == ({}, [], set())


def test_a_note_and_the_dash_touch_nothing() -> None:
    history = told(Entry(START, "note", "nobody"), entry(0, "prepared", "-"))
    assert (history.problems, history.done) == ([], set())


def test_what_lies_after_the_day_is_not_read() -> None:
    seen: list[str] = []
    entries = numbered([started(), entry(3, "fed", "north"), entry(4, "fed", "north")])
    history = replay(SETTING, entries, START + 3 * DAY, lambda e, shelf: seen.append(e.kind))
    assert seen == ["started", "fed"]
    assert history.as_of == START + 3 * DAY


def test_a_second_dose_as_written_or_at_label_strength() -> None:
    # by hand: 4 L at 0.20 mL/L is 0.8 mL; the start poured as much before
    assert told(started(), entry(2, "fed", "north")).poured["f2"] == pytest.approx(1.6, rel=1e-12)
    half = told(started(), entry(2, "fed", "north", dose=0.5))
    assert half.poured["f2"] == pytest.approx(1.2, rel=1e-12)
    by_ml = told(started(), entry(2, "fed", "north", nutrient=0.4))
    assert by_ml.poured["f2"] == pytest.approx(1.2, rel=1e-12)
    assert half.done >= {"north/1/feed"}
    doses = [h.recorder.state.cultures["north"].broth.nitrogen_umol_l for h in (half, by_ml)]
    assert doses[0] == pytest.approx(doses[1], rel=1e-12)
    whole = told(started(), entry(2, "fed", "north")).recorder.state.cultures["north"]
    f2 = media()["f/2"].nitrogen_umol_l
    assert whole.broth.nitrogen_umol_l - doses[0] == pytest.approx(0.5 * f2, rel=1e-12)
    assert whole.fed_on == START + 2 * DAY


def test_both_parts_of_a_nutrient_are_poured() -> None:
    parts = {
        "a": Nutrient("a", media()["f/2"], dose_ml_per_l=0.25, other_part="b"),
        "b": Nutrient("b", media()["f/2"], dose_ml_per_l=0.25),
    }
    plan = replace(PLAN, nutrients=parts, vessels=(example_vessel("north", nutrient="a"),))
    history = replay(context_for(plan), numbered([started()]), START)
    assert history.poured == {"a": pytest.approx(1.0), "b": pytest.approx(1.0)}


def test_a_harvest_keeps_what_it_says_or_the_usual() -> None:
    keep_l = SETTING.cycles["north"].keep_share * 4.0
    assert litres(told(started(), entry(5, "harvested", "north"))) == pytest.approx(keep_l, rel=1e-12)
    assert litres(told(started(), entry(5, "harvested", "north", keep=500.0))) == pytest.approx(
        0.5, rel=1e-12
    )
    assert litres(told(started(), entry(5, "harvested", "north", volume=1000.0))) == pytest.approx(
        3.0, rel=1e-12
    )
    counted = told(started(), entry(5, "harvested", "north", volume=1000.0, density=7e5))
    assert counted.recorder.state.harvests[0].broth.density_per_ml == 7e5


def test_less_than_half_of_a_harvest_is_a_cup_for_the_tank() -> None:
    # our choice, by hand: 2 L kept of 4 leave 2 to take; half of that is 1 L
    whole = told(started(), entry(5, "harvested", "north", volume=1000.0, keep=2000.0))
    cup = told(started(), entry(5, "harvested", "north", volume=999.0, keep=2000.0))
    assert "north/1/harvest" in whole.done
    assert "north/1/harvest" not in cup.done


def test_a_harvest_of_more_than_there_is_takes_all_and_is_said() -> None:
    history = told(started(), entry(5, "harvested", "north", volume=4001.0))
    assert only(history).code == "log-not-enough"
    assert only(history).what == "4001 mL harvested from north/1, which held 4000 mL"
    assert [harvest.volume_ml for harvest in history.recorder.state.harvests] == [pytest.approx(4000.0)]
    assert history.recorder.state.cultures == {}
    assert history.recorder.emptied == {"north": START + 5 * DAY}
    assert told(started(), entry(5, "harvested", "north", volume=4000.5)).problems == []


def test_a_reseed_that_keeps_less_than_stood_there_was_a_harvest_too() -> None:
    # by hand: 1 L kept of 4, so 3 L went into the feed bottle and 3 L are new, 0.6 mL of nutrient after 0.8
    history = told(started(), entry(5, "reseeded", "north", inoculum=1000.0, light=10.0))
    assert [harvest.volume_ml for harvest in history.recorder.state.harvests] == [pytest.approx(3000.0)]
    assert history.poured["f2"] == pytest.approx(1.4, rel=1e-12)
    assert history.done >= {"north/2/reseed", "north/2/prepare", "north/1/harvest"}
    culture = history.recorder.state.cultures["north"]
    assert (culture.batch.id, culture.light_h) == ("north/2", 10.0)
    assert litres(history) == pytest.approx(4.0, rel=1e-12)
    as_it_stood = told(started(), entry(5, "reseeded", "north", inoculum=3999.5))
    assert as_it_stood.recorder.state.harvests == []
    nothing_said = told(started(), entry(5, "reseeded", "north"))
    assert nothing_said.recorder.state.harvests == []


def test_a_back_up_takes_the_place_of_the_strains_older_ones() -> None:
    history = told(
        started(),
        entry(5, "banked", "north", volume=300.0),
        started(5, "south", 200.0),
        entry(6, "banked", "south"),
    )
    bottles = history.recorder.state.bottles
    assert set(bottles) == {"starter:bought", "fridge:south/1"}
    assert bottles["fridge:south/1"].volume_ml == pytest.approx(400.0)  # our choice: a tenth of the fill
    assert set(history.recorder.state.filled) == {"starter:bought", "fridge:north/1", "fridge:south/1"}
    assert history.done >= {"north/1/bank", "south/1/bank"}
    assert litres(history) == pytest.approx(3.7, rel=1e-12)


def test_a_back_up_of_more_than_there_is_is_refused() -> None:
    history = told(started(), entry(5, "banked", "north", volume=4001.0))
    assert (only(history).code, only(history).what) == (
        "log-not-enough",
        "north/1 holds 4000 mL, 4001 mL are asked",
    )
    assert only(history).hint == "check the amounts, or correct with a void"
    assert "fridge:north/1" not in history.recorder.state.bottles
    assert "north/1/bank" not in history.done


def test_a_crash_empties_the_vessel_and_is_remembered() -> None:
    history = told(started(), entry(5, "crashed", "north"))
    (crash,) = history.crashes
    assert (crash.vessel, crash.batch, crash.cause) == ("north", "north/1", "unknown")
    assert (crash.on, crash.since) == (START + 5 * DAY, START + 5 * DAY)
    assert history.recorder.state.cultures == {}
    point = history.start_state()
    assert (point.causes, point.emptied) == ({"north": "unknown on 2027-02-06"}, {"north": START + 5 * DAY})
    known = told(started(), entry(5, "crashed", "north", cause="heat", since=START + 3 * DAY), started(6))
    assert (known.crashes[0].cause, known.crashes[0].since) == ("heat", START + 3 * DAY)
    assert known.start_state().causes == {}
    assert known.suspects == {}


def test_a_contamination_makes_the_kin_suspect_until_cleared() -> None:
    # by hand: south took inoculum from north/1 on day 5, after day 4; the starter gave on day 0, before it
    events = (
        started(),
        started(5, "south", 500.0, "north"),
        entry(6, "crashed", "north", cause="contamination", since=START + 4 * DAY),
    )
    history = told(*events)
    assert history.recorder.state.batches["south/1"].parent == "north/1"
    assert history.suspects == {
        "north/1": Suspicion(START + 4 * DAY, "contaminated since 2027-02-05", START + 6 * DAY),
        "south/1": Suspicion(START + 5 * DAY, "took inoculum from north/1 on 2027-02-06", START + 6 * DAY),
    }
    assert "south/1" not in told(*events, entry(7, "cleared", "south")).suspects
    assert (
        "starter:bought"
        in told(*events[:2], replace(events[2], values=(*events[2].values[:1], ("since", START)))).suspects
    )


def test_a_culture_found_bad_makes_suspect_what_came_of_it_that_day_and_nothing_before() -> None:
    # by hand: south took inoculum from north/1 on the day before it was looked at, or on the very day
    for day, doubted in ((5, False), (6, True)):
        history = told(started(), started(day, "south", 500.0, "north"), entry(6, "condemned", "north"))
        assert "north" not in history.recorder.state.cultures
        assert ("north/1" in history.suspects, "south/1" in history.suspects) == (True, doubted)


def test_what_is_skipped_is_let_go_or_put_off() -> None:
    let_go = told(started(), entry(1, "skipped", "north", task="north/1/feed"))
    assert "north/1/feed" in let_go.done
    assert let_go.put_off == {}
    for kind in ("start", "harvest", "reseed", "renew"):
        put_off = told(started(), entry(1, "skipped", "north", task=f"north/1/{kind}"))
        assert put_off.put_off == {"north": START + DAY}
        assert f"north/1/{kind}" not in put_off.done - {"north/1/start"}


def test_water_prepared_twice_is_for_two_fillings() -> None:
    history = told(entry(0, "prepared", "north"), entry(0, "prepared", "north"))
    assert history.done == {"north/1/prepare", "north/2/prepare"}
    later = told(started(), entry(2, "prepared", "north"), entry(2, "prepared", "north"))
    assert later.done == {"north/1/start", "north/1/prepare", "north/2/prepare", "north/3/prepare"}


def test_what_is_poured_away_is_gone() -> None:
    vessel = told(started(), entry(5, "discarded", "north"))
    assert vessel.recorder.state.cultures == {}
    assert vessel.done >= {"north/1/renew", "north/1/harvest"}
    by_batch = told(started(), entry(5, "condemned", "north/1"))
    assert by_batch.recorder.state.cultures == {}
    bottle = told(entry(1, "discarded", "starter:bought"))
    assert (bottle.recorder.state.bottles, bottle.problems) == ({}, [])
    part = told(started(), entry(5, "discarded", "north", volume=1000.0))
    assert litres(part) == pytest.approx(3.0, rel=1e-12)
    assert "north/1/renew" not in part.done
    assert part.recorder.state.harvests == []
    all_but_a_drop = told(started(), entry(5, "discarded", "north", volume=3999.6))
    assert all_but_a_drop.recorder.state.cultures == {}
    again = told(started(), entry(5, "discarded", "north"), entry(6, "discarded", "north"))
    assert again.problems == []
    gone = told(started(), entry(5, "discarded", "north"), started(6), entry(7, "discarded", "north/1"))
    assert gone.recorder.state.cultures["north"].batch.id == "north/2"


def test_a_judgement_on_nobody_is_said() -> None:
    near, far = told(entry(0, "cleared", "starter:bougt")), told(entry(0, "condemned", "xyz"))
    assert (only(near).code, only(near).hint) == ("log-unknown-subject", "did you mean starter:bought?")
    assert only(far).hint == "name a vessel, a batch or a bottle"
    assert only(far).what == 'nothing is called "xyz"'
    never = told(entry(0, "discarded", "north"))
    assert only(never).code == "log-unknown-subject"


def test_a_pinned_keep_back_is_what_a_harvest_keeps() -> None:
    plan = replace(PLAN, cycle=CyclePlan(inoculum=0.25, days=7))
    history = replay(
        context_for(plan), numbered([started(), entry(7, "harvested", "north")]), START + 7 * DAY
    )
    assert litres(history) == pytest.approx(1.0, rel=1e-12)


def test_what_a_start_leaves_unsaid_is_the_oldest_bottle_of_its_strain_that_was_there() -> None:
    starters = (
        Starter("young", "tetraselmis", 900.0, 2e6, START - DAY),
        Starter("old", "tetraselmis", 900.0, 2e6, START - 5 * DAY),
        Starter("other", "isochrysis", 900.0, 2e6, START - 9 * DAY),
        Starter("late", "tetraselmis", 900.0, 2e6, START + 3 * DAY),
    )
    several = {name: strains()[name] for name in ("tetraselmis", "isochrysis")}

    def source(day: int, *names: str) -> str:
        there = tuple(starter for starter in starters if starter.name in names)
        context = context_for(replace(PLAN, starters=there, strains=several))
        history = replay(context, numbered([entry(day, "started", "north")]), START + 9 * DAY)
        return history.recorder.state.batches["north/1"].parent

    assert source(0, "young", "old", "other", "late") == "starter:old"
    assert source(0, "young", "other", "late") == "starter:young"
    assert source(0, "other", "late") == "starter:unknown"
    assert source(3, "other", "late") == "starter:late"


def test_looks_are_what_is_suspect_and_still_there() -> None:
    # by hand: south took from north/1 on day 5; north/1 itself is gone
    history = told(
        started(),
        started(5, "south", 500.0, "north"),
        entry(6, "crashed", "north", cause="contamination", since=START + 4 * DAY),
        until=8,
    )
    (look,) = inspections(history)
    assert (look.subject, look.on, look.since) == ("south/1", START + 8 * DAY, START + 5 * DAY)
    assert look.because == history.suspects["south/1"].because


def test_a_problem_names_its_line() -> None:
    place = Place("log", 7)
    history = replay(SETTING, [replace(entry(0, "fed", "balcony"), where=place)], START)
    assert only(history).where == place


def test_later_entries_leave_what_was_done_before_done() -> None:
    history = told(
        started(), entry(2, "fed", "north"), entry(5, "reseeded", "north"), entry(9, "discarded", "north")
    )
    assert history.done >= {"north/1/start", "north/1/feed", "north/2/reseed", "north/2/renew"}


def test_half_a_millilitre_over_is_still_a_full_bottle() -> None:
    assert told(started(), entry(5, "banked", "north", volume=4000.4)).problems == []
    assert only(told(started(), entry(5, "banked", "north", volume=4000.6))).code == "log-not-enough"
    counted = Entry(START + 5 * DAY, "banked", "north", (("volume", 300.0), ("density", 7e5)))
    assert told(started(), counted).recorder.state.bottles["fridge:north/1"].density_per_ml == 7e5


def test_a_living_donor_is_grown_to_the_day_and_measured() -> None:
    # by hand: 2 L of north given as 2000.3 mL is all of it; five days of growth at the bench's rate came before
    bench = SETTING.benches["north"]
    thin = entry(0, "harvested", "north", volume=2000.0)
    history = told(started(), thin, started(5, "south", 2000.3, "north/1"))
    assert history.problems == []
    assert "north" not in history.recorder.state.cultures
    given = bench.grow(
        told(started(), thin, until=0).recorder.state.cultures["north"].broth, 5.0
    ).density_per_ml
    assert density(history, "south") == pytest.approx(given / 2.0, rel=1e-9)


def test_what_was_poured_is_as_told() -> None:
    history = told(Entry(START, "started", "north", (("inoculum", 200.0), ("nutrient", 1.3))))
    assert history.poured == {"f2": 1.3}


def test_a_source_that_cannot_give_is_told_and_never_one_that_is_yet_to_come() -> None:
    strange = told(started(source="north/7"))
    assert (only(strange).code, strange.recorder.state.batches["north/1"].parent) == (
        "log-source",
        "starter:unknown",
    )
    assert "its density is a guess" in only(strange).hint
    gone = told(started(), entry(5, "discarded", "north"), started(6, "south", 200.0, "north/1"))
    assert (only(gone).code, gone.recorder.state.batches["south/1"].parent) == ("log-source", "north/1")
    emptied = told(started(inoculum=500.0), started(1, "south"))
    assert (only(emptied).code, emptied.recorder.state.batches["south/1"].parent) == (
        "log-source",
        "starter:bought",
    )


def test_the_watcher_sees_the_shelf_after_each_entry() -> None:
    seen: list[tuple[str, ...]] = []
    entries = numbered([started(), entry(3, "discarded", "north")])
    replay(SETTING, entries, START + 9 * DAY, lambda _, shelf: seen.append(tuple(shelf.cultures)))
    assert seen == [("north",), ()]


def test_the_standpoint_carries_what_was_done_and_put_off() -> None:
    history = told(started(), entry(1, "skipped", "north", task="north/1/harvest"))
    point = history.start_state()
    assert (point.state, point.as_of) == (history.recorder.state, START + 20 * DAY)
    assert point.done == frozenset({"north/1/start", "north/1/prepare"})
    assert point.put_off == {"north": START + DAY}
    assert point.suspect == frozenset()


def test_links_of_a_shelf_hold_batches_and_bottles() -> None:
    history = told(started(), entry(5, "banked", "north", volume=300.0))
    found = links(history.recorder.state)
    assert found == {
        "starter:bought": Link("starter:bought", None, START - 2 * DAY, "tetraselmis"),
        "north/1": Link("north/1", "starter:bought", START, "tetraselmis"),
        "fridge:north/1": Link("fridge:north/1", "north/1", START + 5 * DAY, "tetraselmis"),
    }
