"""The score of a walk, the cheapest day of a harvest, and the tasks made of visits: term by term, by hand."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta

import pytest
from made_plans import START, example_plan

from greenrota.culture.growth.broth import Broth
from greenrota.rota.plan import Away, Nutrient, Tank, Work
from greenrota.rota.search.score import WEIGHTS, Score, Scorer, _mean_wait, _ripeness
from greenrota.rota.simulate.agenda import Load, pick_day
from greenrota.rota.simulate.before_away import Reseeding
from greenrota.rota.simulate.context import context_for
from greenrota.rota.simulate.decisions import (
    Decisions,
    after_day,
    with_harvest,
    with_start,
    with_topup,
    without_vessels,
)
from greenrota.rota.simulate.events import Event, FirstFilling, HarvestChoice, Interval, first_starts
from greenrota.rota.simulate.projection import Projection
from greenrota.rota.simulate.simulation import Simulation
from greenrota.rota.simulate.start import StartState
from greenrota.rota.state.bench import benches
from greenrota.rota.state.opendays import OpenDays
from greenrota.rota.state.salt_water import Mixing
from greenrota.rota.state.sharing import Sharing
from greenrota.rota.state.state import Batch, Culture, HarvestBottle, first_state
from greenrota.rota.tasks.task import tasks_from

DAY = timedelta(days=1)
PLAN = example_plan()
NORTH = benches(PLAN)["north"]
BATCH = Batch("north/1", "north", "tetraselmis", 1, "starter:bought", START, 0)
NEXT = Batch("north/2", "north", "tetraselmis", 2, "north/1", START + 8 * DAY, 1)
BROTH = Broth(4.0, 1e5, 882.0, 36.0, 106.0, 26.0)


def on(day: int) -> date:
    return START + day * DAY


AHEAD = Projection(on(5), on(8), on(12), None, None, 0.0)


# --- the cheapest day ---------------------------------------------------------------------------------------------


def picked(*days: int, projection: Projection = AHEAD, load: Load | None = None) -> int | None:
    day = pick_day([on(day) for day in days], projection, load or Load(None), "tetraselmis")
    return None if day is None else (day - START).days


def test_the_day_it_is_ripe_is_best_then_a_day_later() -> None:
    assert picked(7, 8, 9) == 8
    assert picked(7, 9) == 9
    assert picked() is None
    assert picked(8, projection=AHEAD._replace(ripe_on=None)) is None
    assert picked(8, 6, projection=AHEAD._replace(pinned_on=on(6))) == 6


def test_over_ripe_is_worse_than_early() -> None:
    assert picked(7, 12) == 7
    assert picked(11, 12) == 11
    assert picked(12, 13) == 12
    assert picked(12, 30, projection=AHEAD._replace(over_on=None)) == 12


def test_a_full_day_and_a_shared_day_are_left_for_a_free_one() -> None:
    load = Load(1)
    assert not load.is_full(on(8))
    load.add(on(8))
    assert load.is_full(on(8))
    assert not load.is_full(on(9))
    assert picked(8, 9, load=load) == 9
    unlimited = Load(None)
    unlimited.add(on(8))
    assert not unlimited.is_full(on(8))
    assert picked(8, 9, load=unlimited) == 8
    unlimited.add(on(8), "isochrysis")
    assert picked(8, 9, load=unlimited) == 8
    unlimited.add(on(8), "tetraselmis")
    assert (unlimited.harvests(on(8), "tetraselmis"), unlimited.harvests(on(9), "tetraselmis")) == (1, 0)
    assert picked(8, 9, load=unlimited) == 9


# --- the score ----------------------------------------------------------------------------------------------------


class Walked:
    """What the terms of the score read of a walk."""

    def __init__(self, *, choices: tuple[HarvestChoice, ...] = (), harvests: tuple[int, ...] = ()) -> None:
        self.choices = choices
        self.events = [Event("harvest", on(day), BATCH, BROTH, BROTH) for day in harvests]
        self.events.append(Event("start", on(0), BATCH, None, BROTH))
        self.as_of, self.through = on(0), on(20)


@pytest.mark.parametrize(
    ("taken", "early", "over_ripe"), [(8, 0, 0), (6, 2, 0), (11, 0, 0), (12, 0, 1), (15, 0, 4), (None, 0, 9)]
)
def test_days_early_and_days_over_ripe(taken: int | None, early: int, over_ripe: int) -> None:
    # by hand: ripe on day 8, over-ripe from day 12; what is never harvested stands to day 20
    choice = HarvestChoice(BATCH, AHEAD, (), None if taken is None else on(taken))
    assert _ripeness(Walked(choices=(choice,))) == (early, over_ripe)  # type: ignore[arg-type]
    assert _ripeness(Walked(choices=(choice, choice))) == (2 * early, 2 * over_ripe)  # type: ignore[arg-type]
    blind = choice._replace(projection=AHEAD._replace(ripe_on=None, over_on=None))
    assert _ripeness(Walked(choices=(blind,))) == (0, 0)  # type: ignore[arg-type]


def test_the_mean_wait_by_hand() -> None:
    # by hand: gaps of 7, 7 and 7 days to the morning after day 20: (49 + 49 + 49) / (2 x 21); 3, 18: 333 / 42
    assert _mean_wait(Walked(harvests=(0, 7, 14))) == pytest.approx(3.5)  # type: ignore[arg-type]
    assert _mean_wait(Walked(harvests=(0, 3, 3))) == pytest.approx(333.0 / 42.0)  # type: ignore[arg-type]
    assert _mean_wait(Walked()) == 20.0  # type: ignore[arg-type]


def test_the_total_is_the_weighted_sum() -> None:
    assert Score({"home": 2.0, "early": 1.0, "changed": 3.0}).total == pytest.approx(2000.0 + 20.0 + 1.5)
    assert list(judged().amounts) == list(WEIGHTS)
    assert list(WEIGHTS.values()) == sorted(WEIGHTS.values(), reverse=True)  # the order the text names


def judged(
    suspect: frozenset[str] = frozenset(), jobs_per_day: int | None = 1, ration_ml: float = 100.0
) -> Score:
    """A walk of 21 days: north starts on day 0, is harvested and re-seeded on day 8; south gets a dose that day."""
    plan = example_plan(tank=Tank(100.0, ration_ml), work=Work(jobs_per_day=jobs_per_day))
    context, shelf = context_for(plan), first_state(plan)
    shelf.harvests.append(HarvestBottle("harvest:north/1", "north/1", "tetraselmis", on(8), 500.0, BROTH))
    south = BATCH._replace(id="south/1", vessel="south")
    events = (
        Event("start", on(0), BATCH, None, BROTH, 200.0, 3.8),
        Event("harvest", on(8), BATCH, BROTH, BROTH),
        Event("reseed", on(8), NEXT, BROTH, BROTH, 1000.0, 3.0),
        Event("feed", on(8), south, BROTH, BROTH),
        Event("start", on(9), NEXT._replace(id="south/2", vessel="south"), None, BROTH, 200.0, 3.8),
    )[: 4 if suspect else 5]
    choices = (HarvestChoice(BATCH, AHEAD, (), on(8)), HarvestChoice(NEXT, AHEAD, (), on(20)))
    shelf.cultures["north"] = Culture(NEXT, BROTH, on(8))
    intervals = (Interval(BATCH, on(0), on(8), BROTH), Interval(NEXT, on(8), on(20), BROTH))
    simulated = Simulation(on(0), on(20), events, intervals, choices, shelf, (), {})
    previous = Decisions({"north/1": on(7), "north/2": on(20)}, {"north": on(1), "south": on(4)})
    return Scorer(context, StartState(first_state(plan), on(0), suspect), previous).score(simulated)


def test_every_term_of_a_walk_by_hand() -> None:
    amounts = judged().amounts
    # the vessel and the starter are two homes on every day; without the starter only one
    assert amounts["home"] == 0.0
    assert judged(frozenset({"starter:bought"})).amounts["home"] == 21.0
    # 500 mL from day 8 on are five of 21 days' rations of 100 mL, however large a ration is
    assert amounts["short"] == pytest.approx(16.0, rel=1e-9)
    assert judged(ration_ml=0.5).amounts["short"] == pytest.approx(
        8.0, rel=1e-9
    )  # day 8 to 20, within 14 days
    assert judged(ration_ml=0.0).amounts["short"] == 0.0
    # day 0 start; day 7 one bucket for day 8 and 9, as that of day 0 is too old by then; day 8 harvest and dose, in two
    # vessels; day 9 start
    assert amounts["work_day"] == 4.0
    # a quarter of 4 L stays at the one re-seed
    assert amounts["small"] == 0.25
    # day 8: north, and south with its dose, are two jobs where one is wanted
    assert amounts["crowded"] == 1.0
    assert judged(jobs_per_day=2).amounts["crowded"] == 0.0
    assert judged(jobs_per_day=None).amounts["crowded"] == 0.0
    # north/1 was to be harvested on day 7 and north to be started on day 1; a later filling is no first start
    assert amounts["changed"] == 2.0
    # south stands empty for 20 nights in the records of this walk, north for none
    assert amounts["idle"] == 20.0
    assert amounts["early"] == 0.0
    assert amounts["over_ripe"] == 9.0  # day 12 to day 20 of north/2
    assert amounts["spread"] == pytest.approx(
        13.0 / 2.0, rel=1e-9
    )  # one gap of 13 days, to the morning of day 21


# --- wishes -------------------------------------------------------------------------------------------------------


def test_a_wish_for_a_day_keeps_the_later_ones_and_lets_them_go() -> None:
    decisions = Decisions(
        {"north/1": on(5), "north/2": on(12), "south/2": on(9), "north/10": on(30)}, {"north": on(0)}
    )
    kept, open_ones = with_harvest(decisions, "north/1", on(6))
    assert kept == Decisions({**decisions.harvests, "north/1": on(6)}, decisions.starts)
    assert open_ones == Decisions({"north/1": on(6), "south/2": on(9)}, decisions.starts)
    (last,) = with_harvest(decisions, "north/10", on(31))
    assert last.harvests == {**decisions.harvests, "north/10": on(31)}
    kept, open_ones = with_start(decisions, "north", on(2))
    assert kept == Decisions(decisions.harvests, {"north": on(2)})
    assert open_ones == Decisions({"south/2": on(9)}, {"north": on(2)})


def test_a_wish_for_the_day_of_a_top_up_lets_its_own_harvest_go() -> None:
    topups = {
        "north/1/topup": on(2),
        "north/1/topup.2": on(4),
        "north/2/topup": on(8),
        "south/1/topup": on(3),
    }
    harvests = {"north/1": on(7), "north/2": on(12), "south/1": on(9)}
    decisions = Decisions(harvests, keeps={"north/1": 0.25, "south/1": 0.5}, topups=topups)
    kept, open_ones = with_topup(decisions, "north/1/topup", on(3))
    assert kept == Decisions(harvests, keeps=decisions.keeps, topups={**topups, "north/1/topup": on(3)})
    assert open_ones == Decisions(
        {"south/1": on(9)},
        keeps={"south/1": 0.5},
        topups={"north/1/topup": on(3), "south/1/topup": on(3)},
    )
    second = with_topup(decisions, "north/1/topup.2", on(5))[1]
    assert second.topups == {"north/1/topup": on(2), "north/1/topup.2": on(5), "south/1/topup": on(3)}
    assert with_harvest(decisions, "north/1", on(8))[1].topups == {
        name: day for name, day in topups.items() if name != "north/2/topup"
    }
    assert without_vessels(decisions, {"north"}).topups == {"south/1/topup": on(3)}
    assert after_day(decisions, on(3)).topups == {"north/1/topup.2": on(4), "north/2/topup": on(8)}


def test_decisions_without_some_vessels_are_those_of_the_others() -> None:
    shared = Sharing("starter:a", ("north", "south"), (100.0, 100.0))
    alone = Sharing("starter:b", ("east",), (100.0,))
    decisions = Decisions(
        {"north/1": on(5), "south/2": on(9)},
        {"north": on(0), "south": on(1)},
        {"north/1": 0.25, "south/2": 0.5},
        {"starter:a": shared, "starter:b": alone},
    )
    others = Decisions({"south/2": on(9)}, {"south": on(1)}, {"south/2": 0.5}, {"starter:b": alone})
    assert without_vessels(decisions, {"north"}) == others
    assert without_vessels(decisions, ()) == decisions


def test_only_first_fillings_are_first_starts() -> None:
    again = Event("start", on(9), NEXT, None, BROTH)
    assert first_starts(
        [Event("start", on(1), BATCH, None, BROTH), again, Event("feed", on(2), BATCH, BROTH, BROTH)]
    ) == {"north": on(1)}


# --- tasks --------------------------------------------------------------------------------------------------------


def mixing(open_days: OpenDays | None = None, as_of: date = START, done: Iterable[str] = ()) -> Mixing:
    return Mixing(open_days or OpenDays(PLAN), as_of, 20_000.0, done=frozenset(done))


def test_a_start_is_prepared_on_the_open_day_before() -> None:
    # by hand: 0.20 mL/L over 4 L; the salt of 3.8 L; day 3 is closed, so the water is mixed on day 2
    away = OpenDays(replace(PLAN, away=(Away(on(3), on(3)),)))
    event = Event("start", on(4), BATCH, None, BROTH, 200.0, 3.8, 4.0, facts=FirstFilling(from_harvest=False))
    prepare, start = tasks_from({"north": NORTH}, [event], mixing(away))
    assert (prepare.id, prepare.kind, prepare.on) == ("north/1/prepare", "prepare", on(2))
    assert (prepare.vessel, prepare.batch, prepare.parent) == ("north", "north/1", "starter:bought")
    assert prepare.reason == (
        "clean north and mix the seawater for north on 2027-02-05; "
        "no other work in the 7 days before, so on the last working day"
    )
    assert (prepare.serves, prepare.cleans) == (("north/1/start",), ("north",))
    assert (prepare.amounts.seawater_ml, prepare.amounts.salt_g) == (
        3800.0,
        pytest.approx(3.8 * NORTH.salt_g_per_l),
    )
    assert prepare.amounts.nutrient_ml == {}
    assert (prepare.density_before_per_ml, prepare.density_after_per_ml) == (None, None)
    assert set(prepare.cautions) >= {"bleach", "glass", "mains"}
    assert (start.id, start.on, start.reason) == (
        "north/1/start",
        on(4),
        "first filling, from the starter on hand",
    )
    assert (start.amounts.inoculum_ml, start.amounts.seawater_ml, start.amounts.keep_ml) == (
        200.0,
        3800.0,
        None,
    )
    assert start.amounts.salt_g == prepare.amounts.salt_g
    assert dict(start.amounts.nutrient_ml) == {"f2": pytest.approx(0.8, rel=1e-12)}
    assert (start.density_before_per_ml, start.density_after_per_ml, start.light_h) == (None, 1e5, None)
    assert "strain_tools" not in start.cautions


def test_without_an_open_day_shortly_before_it_is_prepared_on_the_day() -> None:
    shut = OpenDays(replace(PLAN, away=(Away(on(1), on(5)),)))
    event = Event("reseed", on(6), NEXT, BROTH, BROTH, 1000.0, 3.0, 3.0, facts=Reseeding(1.0, 8.0))
    prepare, reseed = tasks_from({"north": NORTH}, [event], mixing(shut))
    assert (prepare.on, reseed.on) == (on(6), on(6))
    assert prepare.reason == (
        "mix the seawater for north on 2027-02-07; on the day itself: no working day in the 4 days before"
    )
    assert prepare.cautions == ("mains", "evaporation")
    assert (reseed.amounts.inoculum_ml, reseed.amounts.keep_ml, reseed.light_h) == (1000.0, 1000.0, 8.0)
    assert (reseed.density_before_per_ml, reseed.density_after_per_ml) == (1e5, 1e5)
    (only,) = tasks_from({"north": NORTH}, [event], mixing(shut, done={"north/2/prepare"}))
    assert only.kind == "reseed"


def test_each_kind_pours_what_is_its_own() -> None:
    left = BROTH._replace(volume_l=1.0)
    events = [
        Event("harvest", on(8), BATCH, BROTH, left, 3000.0),
        Event("bank", on(8), BATCH, BROTH, BROTH, 250.0),
        Event("feed", on(2), BATCH, BROTH, BROTH, label_doses_l=2.0),
        Event("renew", on(9), NEXT, BROTH, None),
    ]
    feed, bank, harvest, renew = tasks_from({"north": NORTH}, events, mixing())
    assert (harvest.amounts.harvest_ml, harvest.amounts.keep_ml, dict(harvest.amounts.nutrient_ml)) == (
        3000.0,
        1000.0,
        {},
    )
    assert (bank.amounts.bank_ml, bank.amounts.harvest_ml) == (250.0, None)
    assert (dict(feed.amounts.nutrient_ml), feed.amounts.seawater_ml) == ({"f2": pytest.approx(0.4)}, None)
    assert (renew.amounts.harvest_ml, renew.amounts.salt_g, renew.density_after_per_ml) == (None, None, None)
    (whole,) = tasks_from({"north": NORTH}, [Event("harvest", on(8), BATCH, BROTH, None, 4000.0)], mixing())
    assert whole.amounts.keep_ml == 0.0


def test_what_gives_comes_before_what_receives() -> None:
    south = Batch("south/1", "south", "tetraselmis", 1, "fridge:north/1", on(8), 0)
    events = [
        Event("start", on(8), south, None, BROTH, 200.0, 3.8, 4.0),
        Event("reseed", on(8), NEXT, BROTH, BROTH, 1000.0, 3.0, 3.0),
        Event("harvest", on(8), BATCH, BROTH, BROTH, 3000.0),
        Event("bank", on(8), BATCH, BROTH, BROTH, 250.0),
    ]
    both = benches(PLAN)
    today = [task.id for task in tasks_from(both, events, mixing(as_of=on(8))) if task.kind != "prepare"]
    assert today == ["north/1/bank", "north/1/harvest", "south/1/start", "north/2/reseed"]
    bought = south._replace(parent="starter:bought")
    events[0] = Event("start", on(8), bought, None, BROTH, 200.0, 3.8, 4.0)
    today = [task.id for task in tasks_from(both, events, mixing(as_of=on(8))) if task.kind != "prepare"]
    assert today == ["south/1/start", "north/1/bank", "north/1/harvest", "north/2/reseed"]


def test_a_second_part_is_poured_alike_and_several_strains_ask_for_their_own_tools() -> None:
    two_part = NORTH._replace(nutrient=Nutrient("a", NORTH.nutrient.medium, 0.25, other_part="b"))
    feed = Event("feed", on(2), BATCH, BROTH, BROTH, label_doses_l=4.0)
    (task,) = tasks_from({"north": two_part}, [feed], mixing())
    assert dict(task.amounts.nutrient_ml) == {"a": pytest.approx(1.0), "b": pytest.approx(1.0)}
    other = NORTH._replace(strain=replace(NORTH.strain, name="isochrysis"))
    events = [feed, Event("bank", on(3), BATCH, BROTH, BROTH, 250.0)]
    fed, banked = tasks_from({"north": NORTH, "south": other}, events, mixing())
    assert "strain_tools" not in fed.cautions
    assert "strain_tools" in banked.cautions


def test_open_days_by_hand() -> None:
    # day 0 is a Monday; weekends only, and away from the first Sunday to the second Saturday
    weekends = OpenDays(replace(PLAN, work=Work(weekdays=frozenset({5, 6})), away=(Away(on(6), on(12)),)))
    assert [day for day in range(21) if weekends.is_open(on(day))] == [5, 13, 19, 20]
    assert [day for day in range(21) if weekends.is_away(on(day))] == list(range(6, 13))
    assert weekends.on_or_after(on(6), on(13)) == on(13)
    assert weekends.on_or_after(on(6), on(12)) is None
    assert weekends.on_or_before(on(12), on(5)) == on(5)
    assert weekends.on_or_before(on(12), on(6)) is None
    assert weekends.eve(on(20), on(0)) == on(19)
    assert weekends.eve(on(17), on(0)) == on(13)
    assert weekends.eve(on(18), on(0)) == on(18)
    assert weekends.eve(on(17), on(14)) == on(17)
    assert weekends.between(on(5), on(13)) == [on(5), on(13)]
    for first, last in (
        (-200, -190),
        (300, 320),
        (13, 5),
        (-3, 400),
    ):  # before and after what was asked for so far
        days = [on(day) for day in range(first, last + 1) if weekends.is_open(on(day))]
        assert weekends.between(on(first), on(last)) == days
