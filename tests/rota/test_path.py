"""All harvest days of a vessel chosen together: the path is the cheapest of all, and a rota follows it."""

from __future__ import annotations

import math
import random
from collections.abc import Iterator
from datetime import timedelta
from itertools import accumulate

import pytest
from every_rota import home_plan
from hypothesis import given
from hypothesis import strategies as st

from greenrota.rota.search.others import Others, others_of
from greenrota.rota.search.path import Harvest, Paths
from greenrota.rota.search.score import WEIGHTS
from greenrota.rota.search.stands import Stand, Way, usual_of
from greenrota.rota.search.together import with_days_chosen
from greenrota.rota.search.trials import Trial, Trials
from greenrota.rota.simulate.context import context_for
from greenrota.rota.simulate.decisions import Decisions
from greenrota.rota.simulate.start import start_from_plan
from greenrota.rota.state.state import vessel_of

RATION_ML, KEEPS_DAYS = 100.0, 3


def way(share: float, ripe: int, over_ripe: int) -> Way:
    stand = Stand(max(1, ripe - 1), ripe, over_ripe, 1.3)
    return Way(
        share,
        1000.0 * (1.0 - share),
        WEIGHTS["small"] * share,
        stand,
        {n: stand.cost(n) for n in range(stand.ready, over_ripe)},
    )


USUAL = (way(0.2, 5, 8), way(0.5, 3, 6), way(0.8, 2, 4))
EARLY = (way(0.2, 6, 9), way(0.5, 4, 7), way(0.8, 2, 5))  # after a harvest before ripe
FIRST = Stand(1, 2, 4, 1.3)  # of the batch that stands there


@st.composite
def calendars(draw: st.DrawFn) -> Others:
    days = draw(st.integers(4, 13))
    is_open = draw(st.lists(st.booleans(), min_size=days, max_size=days))
    costs = draw(st.lists(st.sampled_from((-0.7, 0.0, 1.0, 11.0)), min_size=days, max_size=days))
    short = draw(st.lists(st.sampled_from((0.0, 0.0, 35.0, 100.0)), min_size=days, max_size=days))
    return Others(is_open, costs, list(accumulate(short, initial=0.0)), KEEPS_DAYS, RATION_ML)


def fed(others: Others, kept: Way, day: int, until: int) -> float:
    """What the volume of a harvest is worth, counted day by day while it keeps and until the next one."""
    short = [later - before for before, later in zip(others.lacking_ml, others.lacking_ml[1:], strict=False)]
    used = min(kept.volume_ml, sum(short[day : min(until, day + KEEPS_DAYS + 1)]))
    ration = (WEIGHTS["spoiled"] * (kept.volume_ml - used) - WEIGHTS["short"] * used) / RATION_ML
    return ration + kept.effort


def followed(others: Others, day: int, early: bool) -> Iterator[tuple[Way, int]]:
    """What may be kept at a harvest on a day, each with every day on which the next may follow."""
    ways, end = EARLY if early else USUAL, len(others.is_open)
    well = [n for each in ways for n in (day + gap for gap in each.costs) if n < end and others.is_open[n]]
    for kept in ways:
        gaps = list(kept.costs)
        if well:
            days = [day + gap for gap in gaps if day + gap < end and others.is_open[day + gap]]
        else:  # the nearest open ones on both sides
            days = [n for n in range(day + 1, min(end, day + gaps[0])) if others.is_open[n]][-1:]
            days += [n for n in range(day + gaps[-1] + 1, end) if others.is_open[n]][:1]
        yield from ((kept, then) for then in days)


def all_paths(others: Others, day: int, early: bool) -> Iterator[tuple[float, list[Harvest]]]:
    """Every way to go on from a harvest on a day to the end, each with what it costs, its own day left out."""
    end = len(others.is_open)
    for kept in EARLY if early else USUAL:
        if day + kept.stand.ripe >= end:
            over_ripe = max(0, end - 1 - (day + kept.stand.over_ripe) + 1)
            cost = WEIGHTS["over_ripe"] * over_ripe + fed(others, kept, day, end)
            yield cost, [Harvest(day, kept.share)]
    for kept, then in followed(others, day, early):
        cost = kept.stand.cost(then - day) + others.costs[then] + fed(others, kept, day, then)
        for more, path in all_paths(others, then, then - day < kept.stand.ripe):
            yield cost + more, [Harvest(day, kept.share), *path]


def paths_to(others: Others, day: int, early: bool, until: int) -> Iterator[tuple[float, list[Harvest]]]:
    """Every way from a harvest on a day to one on a later day, each with what it costs, its own day left out."""
    if day == until:
        yield 0.0, [Harvest(until, None)]
        return
    for kept, then in followed(others, day, early):
        cost = kept.stand.cost(then - day) + others.costs[then] + fed(others, kept, day, then)
        for more, path in paths_to(others, then, then - day < kept.stand.ripe, until):
            yield cost + more, [Harvest(day, kept.share), *path]


FIRST_DAYS = st.sets(st.integers(1, 3), min_size=1)  # on the first it is early


@given(calendars(), FIRST_DAYS)
def test_the_path_is_the_cheapest_of_all(others: Others, first: set[int]) -> None:
    days = [day for day in sorted(first) if others.is_open[day]]
    paths = Paths([usual_of(each, RATION_ML) for each in (USUAL, EARLY)], others)
    paths.begin(FIRST, 0, days)
    found = paths.to_the_end()
    known = [
        (FIRST.cost(day) + others.costs[day] + cost, path)
        for day in days
        for cost, path in all_paths(others, day, day < FIRST.ripe)
    ]
    cheapest = min((cost for cost, _ in known), default=0.0)
    best = [path for cost, path in known if math.isclose(cost, cheapest, abs_tol=1e-9)]
    assert found in best if known else not found


@given(calendars(), FIRST_DAYS, st.integers(4, 12))
def test_the_path_to_a_last_harvest_is_the_cheapest_of_all(
    others: Others, first: set[int], until: int
) -> None:
    """A vessel that is emptied on a day: every path that comes to it, its last harvest with nothing kept."""
    days = [day for day in sorted(first) if others.is_open[day]]
    paths = Paths([usual_of(each, RATION_ML) for each in (USUAL, EARLY)], others)
    paths.begin(FIRST, 0, days)
    if until >= len(others.is_open):
        return
    found = paths.to_a_last(until)
    known = {
        tuple(path): FIRST.cost(day) + others.costs[day] + cost
        for day in days
        for cost, path in paths_to(others, day, day < FIRST.ripe, until)
    }
    assert bool(found) == bool(known)
    assert not known or known[tuple(found)] == pytest.approx(min(known.values()))


@pytest.mark.parametrize(("dear", "taken"), [(2, 3), (3, 2)])
def test_the_first_harvest_is_on_the_day_that_costs_less_by_what_is_done_elsewhere(
    dear: int, taken: int
) -> None:
    costs = [11.0 if day == dear else 0.0 for day in range(6)]
    paths = Paths(
        [usual_of(each, RATION_ML) for each in (USUAL, EARLY)],
        Others([True] * 6, costs, [0.0] * 7, KEEPS_DAYS, RATION_ML),
    )
    paths.begin(FIRST, 0, [2, 3])
    assert paths.to_the_end()[0].day == taken


def begun(vessels: int = 4, days: int = 31, previous: Decisions = Decisions()) -> tuple[Trials, Trial]:  # noqa: B008 - frozen
    plan = home_plan(vessels, days)
    trials = Trials(context_for(plan), start_from_plan(plan), previous, None)
    trials.give_budget(10**6)
    return trials, trials.best


def test_only_the_harvests_of_the_vessel_from_the_batch_on_are_chosen_anew() -> None:
    trials, at = begun()
    for choice in at.simulated.choices:
        batch = choice.batch
        chosen = with_days_chosen(trials, at, batch.vessel, batch.number)
        if chosen is None:
            continue
        assert chosen._replace(harvests={}, keeps={}) == at.decisions._replace(harvests={}, keeps={})
        for old, new in ((at.decisions.harvests, chosen.harvests), (at.decisions.keeps, chosen.keeps)):
            others = {name for name in {**old, **new} if vessel_of(name) != batch.vessel}
            assert all(old[name] == new[name] for name in others)  # type: ignore[index]


def test_a_rota_follows_the_days_chosen() -> None:
    """Batches ripen as supposed, or nearly: of ten days that are chosen seven are possible."""
    trials, at = begun(4, 62)
    chosen_days = followed = 0
    for vessel in trials.context.benches:
        chosen = with_days_chosen(trials, at, vessel, 1)
        if chosen is None:
            continue
        found = trials.weigh(chosen)
        own = {name: on for name, on in chosen.harvests.items() if vessel_of(name) == vessel}
        chosen_days += len(own)
        followed += sum(found.decisions.harvests.get(name) == on for name, on in own.items())
    assert chosen_days > 15 and followed >= 0.7 * chosen_days


def test_what_was_decided_before_is_left_as_it_is() -> None:
    _, at = begun()
    held = next(choice.batch for choice in at.simulated.choices if choice.taken is not None)
    previous = Decisions(harvests={held.id: at.decisions.harvests[held.id]})
    trials, at = begun(previous=previous)
    assert with_days_chosen(trials, at, held.vessel, held.number) is None
    later = with_days_chosen(trials, at, held.vessel, held.number + 1)
    assert later is None or later.harvests[held.id] == previous.harvests[held.id]


def test_chance_leads_to_other_paths() -> None:
    trials, at = begun(4, 62)
    dice = random.Random(1)
    found = [with_days_chosen(trials, at, "v0", 1, dice) for _ in range(12)]
    assert len({tuple(sorted(each.harvests.items())) for each in found if each is not None}) > 2


def test_the_costs_of_a_day_are_what_a_harvest_there_adds() -> None:
    """Against the score of the events with one more harvest: a working day, a job too many, the mean wait."""
    trials, at = begun(4, 62)
    events = at.simulated.events
    names = {choice.batch.id for choice in at.simulated.choices if choice.batch.vessel == "v0"}
    kept = [each for each in events if each.batch.vessel != "v0"]
    others = others_of(trials.context, trials.scorer, at.simulated, "v0", names)
    usual = next(each for each in events if each.kind == "harvest" and each.batch.vessel == "v0")
    first = min(each.on for each in kept if each.kind == "harvest")
    without = at.simulated._replace(events=tuple(e for e in kept if e.seawater_l == 0.0))
    compared = 0
    for day, cost in enumerate(others.costs):
        on = at.simulated.as_of + timedelta(days=day)
        rest = {each.on for each in kept}
        if on <= first or (on not in rest and not others.is_open[day]):
            continue
        if rest != {each.on for each in without.events}:
            without = at.simulated._replace(events=tuple(e._replace(seawater_l=0.0) for e in kept))
        more = without._replace(events=(*without.events, usual._replace(on=on, seawater_l=0.0)))
        before, after = (trials.scorer.score(each).amounts for each in (without, more))
        added = sum(WEIGHTS[n] * (after[n] - before[n]) for n in ("work_day", "crowded", "spread"))
        assert cost == pytest.approx(added, abs=1e-9), on
        compared += 1
    assert compared > 30


def test_what_is_missing_day_by_day_is_what_the_score_counts() -> None:
    trials, at = begun(4, 62)
    scorer = trials.scorer
    lacking = scorer.lacking_ml(at.simulated, at.simulated.state.harvests)
    assert len(lacking) == (at.simulated.through - at.simulated.as_of).days + 1
    assert sum(lacking) / scorer.ration_ml == pytest.approx(at.score.amounts["short"])
