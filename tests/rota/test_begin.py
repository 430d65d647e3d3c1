"""Where the local search begins, and that it ends where no single change is better."""

from __future__ import annotations

import random
from datetime import date

import pytest
from every_rota import home_plan

from greenrota.rota.search.begin import FIRST_HARVEST_DAYS, beginnings, begun_otherwise, rivals
from greenrota.rota.search.local import search_until_spent
from greenrota.rota.search.moves import Kind, decided, other_values, variables_of
from greenrota.rota.search.together import chosen_in_turn, followers
from greenrota.rota.search.trials import BETTER, Trial, Trials, better
from greenrota.rota.simulate.context import context_for
from greenrota.rota.simulate.decisions import Decisions, with_sharing
from greenrota.rota.simulate.start import start_from_plan


def begun(vessels: int, days: int) -> Trials:
    plan = home_plan(vessels, days)
    trials = Trials(context_for(plan), start_from_plan(plan), Decisions(), None)
    trials.give_budget(10**6)
    return trials


def test_rivals_share_out_the_starter_in_different_ways_and_are_better_than_the_rules_make_them() -> None:
    trials = begun(5, 31)
    first = trials.best
    plain = [
        trials.weigh(with_sharing(first.decisions, way)).score.total
        for ways in trials.free_sharings(first).values()
        for way in ways
    ]
    found = rivals(trials)
    totals = [each.score.total for each in found]
    assert totals == sorted(totals)
    assert totals[0] < 0.95 * min(plain)
    assert len({tuple(each.decisions.sharings.values()) for each in found}) == len(found)


def changed_alone(trials: Trials, at: Trial) -> Trial:
    """A rota in which no single change is better any more."""
    while True:
        before = at
        for variable in variables_of(trials, before):
            for value in other_values(trials, at, *variable):
                for changed in decided(at, *variable, value):
                    at = better(trials, at, changed)
        if at is before:
            return at


def test_beginnings_are_the_days_of_fillings_and_what_is_near_the_first_harvest_of_each_vessel() -> None:
    trials = begun(6, 31)
    at = rivals(trials)[0]
    seen = set()
    for (kind, name), value in beginnings(trials, at):
        assert kind is not Kind.SHARING
        if kind in (Kind.HARVEST, Kind.KEEP):
            assert name.endswith("/1")
        if isinstance(value, date) and kind is Kind.HARVEST:
            assert abs((value - at.decisions.harvests[name]).days) <= FIRST_HARVEST_DAYS
        seen.add((kind, name, value))
    starts = {(Kind.START, name, day) for name, days in trials.free_starts(at).items() for day in days}
    topups = {(Kind.TOPUP, name, day) for name, days in trials.free_topups(at).items() for day in days}
    assert topups and len(starts) > len(trials.context.benches)
    taken = {(Kind.START, name, on) for name, on in at.decisions.starts.items()}
    assert starts - taken <= seen
    assert topups - {(Kind.TOPUP, name, on) for name, on in at.decisions.topups.items()} <= seen


def test_a_harvest_that_is_changed_is_not_chosen_anew_and_taken_back() -> None:
    trials = begun(4, 31)
    at = rivals(trials)[0]
    (kind, name), value = next(each for each in beginnings(trials, at) if each[0][0] is Kind.HARVEST)
    changed = trials.weigh(decided(at, kind, name, value)[0])
    vessel = name.removesuffix("/1")
    firsts = {choice.batch.id for choice in changed.simulated.choices if choice.batch.number == 1}
    assert {batch.id for batch in followers(changed, held=name)} == firsts - {name} | {f"{vessel}/2"}
    assert {batch.id for batch in followers(changed)} == firsts
    found = chosen_in_turn(trials, changed, followers(changed, held=name), trials.limit)
    assert found.decisions.harvests[name] == value


def test_vessels_begun_otherwise_lead_on_from_where_no_single_change_does() -> None:
    trials = begun(4, 21)
    stuck = changed_alone(trials, rivals(trials)[0])
    found = begun_otherwise(trials, stuck, random.Random(1), trials.limit)
    assert found.score.total < 0.99 * stuck.score.total
    assert changed_alone(trials, stuck) is stuck


@pytest.mark.parametrize("vessels", [1, 4])
def test_vessels_are_begun_otherwise_only_for_the_better_and_within_the_budget(vessels: int) -> None:
    trials = begun(vessels, 21)
    at = rivals(trials)[0]
    until = trials.spent + 300
    found = begun_otherwise(trials, at, random.Random(2), until)
    assert found is at or found.score.total < at.score.total
    a_sweep = (len(trials.context.benches) + 1) * trials.cost(found)
    assert trials.spent < until + a_sweep


def test_where_the_search_has_time_to_end_no_single_change_is_better() -> None:
    trials = begun(2, 21)
    trials.give_budget(20_000)
    search_until_spent(trials)
    assert trials.spent < trials.limit - trials.cost(trials.best)
    best = trials.best
    trials.give_budget(10**6)
    for variable in variables_of(trials, best):
        for value in other_values(trials, best, *variable):
            for changed in decided(best, *variable, value):
                assert trials.weigh(changed).score.total >= best.score.total - BETTER, (variable, value)
