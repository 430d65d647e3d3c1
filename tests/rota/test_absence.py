"""The edges of days away: the thinnest carry-over, the day on which a batch is over-ripe, the last days at home.

Truth: derived by hand from what the modules promise; the days themselves are given, not projected.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from types import SimpleNamespace

import pytest
from made_plans import START, example_plan

from greenrota.culture.growth.broth import Broth
from greenrota.rota.answers.away import departures
from greenrota.rota.plan import Away, Tank
from greenrota.rota.schedule import schedule
from greenrota.rota.simulate import before_away
from greenrota.rota.simulate.context import context_for

BROTH = Broth(4.0, 1e6, 800.0, 30.0, 0.0, 26.0)


def on(number: int) -> date:
    return START + timedelta(days=number)


GONE = Away(on(10), on(14))


@pytest.mark.parametrize(
    ("keep_l", "density_per_ml", "shares"),
    [
        (0.8, 1.5e6, [0.15, 0.10, 0.05]),
        (0.88, 1.5e6, [0.17, 0.12, 0.07]),
        (0.2, 1.5e6, []),
        (0.39, 1.5e6, []),
        # a start at 6.5 % of 1.1e6 needs 8.1 % of 8.8e5 a mL, and 14.3 % of 5e5
        (0.8, 8.8e5, [0.15, 0.10]),
        (0.8, 5e5, [0.15]),
    ],
)
def test_thinner_and_thinner_but_never_a_thin_start(
    keep_l: float, density_per_ml: float, shares: list[float]
) -> None:
    """Steps of 5 % of 4 L, none below 5 %; then the light of 16 h in steps of 2 h, none below 6 h."""
    bench = context_for(example_plan()).benches["north"]
    bench = bench._replace(vessel=replace(bench.vessel, fill_l=4.0, photoperiod_h=16.0))
    ways = list(before_away._ways(bench, keep_l, GONE, density_per_ml))
    thinned = [way for way in ways if way.light_h is None]
    assert [way.keep_l / 4.0 for way in thinned] == pytest.approx(shares)
    dimmed = ways[len(thinned) :]
    assert [way.light_h for way in dimmed] == [14.0, 12.0, 10.0, 8.0, 6.0]
    last = shares[-1] if shares else keep_l / 4.0
    assert [way.keep_l / 4.0 for way in dimmed] == pytest.approx([last] * 5)


@pytest.fixture
def kept(monkeypatch: pytest.MonkeyPatch) -> Callable[..., bool]:
    """Whether a batch re-seeded on day 5 is sent into the days away as usual, given when it will be over-ripe and
    when it could be harvested."""

    def ask(over: int | None, *harvests: int, reseeded: int = 5, gone: Away = GONE) -> bool:
        over_on = None if over is None else on(over)
        monkeypatch.setattr(before_away, "over_ripe_on", lambda *_: over_on)
        monkeypatch.setattr(before_away, "project", lambda *_: SimpleNamespace(over_on=over_on))
        monkeypatch.setattr(before_away, "harvest_days", lambda *_: [on(day) for day in harvests])
        context = context_for(example_plan(days=31, away=(gone,)))
        found = before_away.reseeding(context, context.benches["north"], BROTH, 0.8, on(reseeded), True)
        return found == before_away.Reseeding(0.8)

    return ask


@pytest.mark.parametrize(
    ("over", "usual"),
    [
        (None, True),  # never
        (9, True),  # before leaving: that is the search's business
        (10, False),  # on the first day away
        (14, False),
        (20, False),  # after the return, with no harvest in between
        (30, False),  # the last day of the horizon
        (31, True),
    ],
)
def test_over_ripe_from_the_first_day_away_to_the_end_of_the_horizon(
    kept: Callable[..., bool], over: int, usual: bool
) -> None:
    assert kept(over) is usual


def test_a_harvest_must_come_before_the_day_it_is_over_ripe(kept: Callable[..., bool]) -> None:
    assert kept(15, 14)
    assert not kept(15, 15)
    assert kept(15, 9, 16)


def test_days_away_that_end_on_the_day_of_the_re_seed_are_over(kept: Callable[..., bool]) -> None:
    assert kept(20, reseeded=14)
    assert not kept(20, reseeded=13)


def test_the_four_days_before_leaving_are_shown() -> None:
    rota = schedule(example_plan(days=31, away=(GONE,)))
    some = next(task for task in rota.tasks if task.kind == "prepare")
    days = (5, 6, 9, 10)  # leaving on day 10: 6 to 9 are the last four
    tasks = tuple(replace(some, id=f"x/{day}/prepare", on=on(day)) for day in days)
    (found,) = departures(replace(rota, tasks=tasks))
    assert [task.on for task in found.tasks] == [on(6), on(9)]


@pytest.mark.parametrize(("length", "refreshed"), [(0, False), (2, False), (3, True), (14, True)])
def test_before_long_days_away_a_fresh_back_up_is_filled(length: int, refreshed: bool) -> None:
    """From three days away on no back-up is older than a week on the day of leaving (model page).

    By hand: the first one is filled at the first harvest, in the second week; leaving on day 26 it is too old.
    """
    leaving = START + timedelta(days=26)
    away = (Away(leaving, leaving + timedelta(days=length - 1)),) if length else ()
    rota = schedule(example_plan(days=60, away=away, tank=Tank(300.0, 300.0)))
    filled = [task.on for task in rota.tasks if task.kind == "bank" and task.on < leaving]
    assert filled and (filled[0] - START).days < 14
    assert ((leaving - filled[-1]).days <= 7) is refreshed
