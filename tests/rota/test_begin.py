"""Where the local search begins, and that it ends where no single change is better."""

from __future__ import annotations

from every_rota import home_plan

from greenrota.rota.search.begin import rivals
from greenrota.rota.search.local import search_until_spent
from greenrota.rota.search.moves import decided, other_values, variables_of
from greenrota.rota.search.trials import BETTER, BudgetSpent, Trials
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


def test_where_the_search_has_time_to_end_no_single_change_is_better() -> None:
    trials = begun(2, 21)
    trials.give_budget(60_000)
    try:
        search_until_spent(trials)
    except BudgetSpent:
        assert trials.spent < trials.limit
    best = trials.best
    trials.give_budget(10**6)
    for variable in variables_of(trials, best):
        for value in other_values(trials, best, *variable):
            for changed in decided(best, *variable, value):
                assert trials.weigh(changed).score.total >= best.score.total - BETTER, (variable, value)
