"""What the local search draws: decisions of one vessel, near days rather than far ones, whole rows of days."""

import random
from collections import Counter
from datetime import date, timedelta

import pytest
from every_rota import home_plan

from greenrota.rota.ids import batch_and_number
from greenrota.rota.search import draw
from greenrota.rota.search.draw import drawn
from greenrota.rota.search.moves import Kind, variables_of
from greenrota.rota.search.trials import Trial, Trials
from greenrota.rota.simulate.context import context_for
from greenrota.rota.simulate.decisions import HARVEST, OPENING, TOPUPS, Decisions, with_days_moved
from greenrota.rota.simulate.start import start_from_plan
from greenrota.rota.state.state import vessel_of

FIRST = date(2027, 2, 1)
DAY = timedelta(days=1)

DECIDED = Decisions(
    harvests={
        "a/1": FIRST + 9 * DAY,
        "a/2": FIRST + 16 * DAY,
        "a/3": FIRST + 22 * DAY,
        "b/1": FIRST + 9 * DAY,
    },
    starts={"a": FIRST, "b": FIRST + DAY},
    keeps={"a/1": 0.25},
    topups={"a/1/topup": FIRST + 3 * DAY, "a/1/topup.2": FIRST + 5 * DAY, "b/1/topup": FIRST + 3 * DAY},
    restarts={"a/3": FIRST + 17 * DAY},
)


def later(on: date) -> date:
    return on + DAY


def changed(before: Decisions, after: Decisions) -> set[str]:
    """The names of the days that are others than before, a first filling by its vessel."""
    pairs = zip(before, after, strict=True)
    return {name for old, new in pairs for name in {**old, **new} if old.get(name) != new.get(name)}


def test_days_are_moved_from_a_point_of_a_batch_to_the_end_of_another() -> None:
    from_harvest = with_days_moved(DECIDED, "a", (1, HARVEST), 2, later)
    assert changed(DECIDED, from_harvest) == {"a/1", "a/2"}
    assert from_harvest.harvests["a/1"] == DECIDED.harvests["a/1"] + DAY
    from_topups = with_days_moved(DECIDED, "a", (1, TOPUPS), 1, later)
    assert changed(DECIDED, from_topups) == {"a/1", "a/1/topup", "a/1/topup.2"}
    from_start = with_days_moved(DECIDED, "a", (1, OPENING), 9, later)
    assert changed(DECIDED, from_start) == {"a", "a/1", "a/1/topup", "a/1/topup.2", "a/2", "a/3"}
    assert from_start.restarts == {"a/3": FIRST + 18 * DAY}
    assert with_days_moved(DECIDED, "a", (3, HARVEST), 3, later).restarts == DECIDED.restarts


def searched(weekdays: tuple[int, ...] = tuple(range(7))) -> tuple[Trials, Trial]:
    plan = home_plan(4, 31, weekdays)
    trials = Trials(context_for(plan), start_from_plan(plan), Decisions(), None)
    return trials, trials.best


def test_a_draw_is_about_one_vessel_unless_a_starter_is_shared_out_anew() -> None:
    trials, at = searched()
    dice, seen = random.Random(1), 0
    for _ in range(300):
        decisions = drawn(trials, at, dice, variables_of(trials, at))
        if decisions is None or decisions.sharings != at.decisions.sharings:
            continue
        names = changed(at.decisions, decisions)
        vessels = {vessel_of(batch_and_number(n)[0] if "topup" in n else n) if "/" in n else n for n in names}
        assert len(vessels) <= 1
        seen += bool(names)
    assert seen > 200


def test_near_harvest_days_are_drawn_more_often_than_far_ones() -> None:
    trials, at = searched()
    dice, days = random.Random(2), Counter[int]()
    choices = [each for each in trials.free_choices(at) if len(each.options) >= 5]
    harvests = [(Kind.HARVEST, each.batch.id) for each in choices]
    for _ in range(2_000):
        decisions = drawn(trials, at, dice, harvests)
        assert decisions is not None
        moved = [
            abs((on - at.decisions.harvests[batch]).days)
            for batch, on in decisions.harvests.items()
            if at.decisions.harvests.get(batch, on) != on
        ]
        if len(moved) == 1:
            days[moved[0]] += 1
    assert days[1] > days[2] > days[4] > 0


def test_days_that_are_chosen_together_are_not_always_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    trials, at = searched()
    monkeypatch.setattr(draw, "PATH", 1.0)
    first = next(each for each in trials.free_choices(at) if len(each.options) >= 5)
    dice, found = random.Random(4), set()
    for _ in range(20):
        decisions = drawn(trials, at, dice, [(Kind.HARVEST, first.batch.id)])
        assert decisions is not None
        found.add(tuple(sorted(decisions.harvests.items())))
    assert len(found) > 2


def test_rows_of_days_are_moved_to_open_days() -> None:
    weekdays = (2, 5, 6)
    trials, at = searched(weekdays)
    dice, rows = random.Random(3), 0
    for _ in range(400):
        decisions = drawn(trials, at, dice, variables_of(trials, at))
        if decisions is None:
            continue
        assert all(on.weekday() in weekdays for on in decisions.harvests.values())
        rows += sum(at.decisions.harvests.get(b, on) != on for b, on in decisions.harvests.items()) > 1
    assert rows > 5
