"""What an estimate rests on in a long book: the newest counts, so that time does not grow with their number.

Truth: by hand; evaluations are counted, not timed.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from made_plans import START, example_plan, example_vessel

from greenrota.culture.fit import likelihood
from greenrota.culture.fit.course import Event, Reading, Start, Turn
from greenrota.logbook.entry import Entry
from greenrota.rota.answers.ripeness import ripe_days_of
from greenrota.rota.replay.counts import VesselCounts, newest_counts
from greenrota.rota.replay.spreads import MOST_COUNTS
from greenrota.rota.schedule import schedule

# Three batches of ten days with three counts each.
EVENTS: tuple[Event, ...] = (
    Start(0.0, planned_per_ml=1e5),
    *(Reading(day, 2e5) for day in (1.0, 4.0, 8.0)),
    Turn(10.0, 0.25, 9e5),
    *(Reading(day, 3e5) for day in (11.0, 14.0, 18.0)),
    Turn(20.0, 0.25, 8e5),
    *(Reading(day, 4e5) for day in (21.0, 24.0, 28.0)),
)
BATCHES = ("north/1",) * 4 + ("north/2",) * 4 + ("north/3",) * 4
SERIES = VesselCounts(START, EVENTS, BATCHES, alive=True, impossible=0)


def test_a_series_short_enough_is_left_as_it_is() -> None:
    assert newest_counts(SERIES, 9) == SERIES


@pytest.mark.parametrize(
    ("most", "first", "begins"),
    [
        (8, 4, Start(10.0, 0.0, 9e5)),
        (6, 4, Start(10.0, 0.0, 9e5)),
        (5, 8, Start(20.0, 0.0, 8e5)),
        (3, 8, Start(20.0, 0.0, 8e5)),
    ],
)
def test_the_newest_batches_stay_whole_and_the_first_of_them_begins_afresh(
    most: int, first: int, begins: Start
) -> None:
    """By hand: three counts a batch, so that eight or six leave room for two batches, five or three for one."""
    found = newest_counts(SERIES, most)
    assert found.events == (begins, *EVENTS[first + 1 :])
    assert found.batches == BATCHES[first:]
    assert (found.first, found.alive) == (SERIES.first, SERIES.alive)


def test_of_a_newest_batch_with_more_the_oldest_are_left_out() -> None:
    found = newest_counts(SERIES, 2)
    assert found.events == (Start(20.0, 0.0, 8e5), *EVENTS[-2:])
    assert found.batches == ("north/3",) * 3
    fed = (*EVENTS[:1], Reading(1.0, 2e5), Turn(2.0, 1.0, 2e6), Reading(3.0, 4e5))
    alone = VesselCounts(START, fed, ("north/1",) * 4, alive=True, impossible=0)
    # the feed stays, for it sets the ceiling of what is counted after it
    assert newest_counts(alone, 1).events == (fed[0], fed[2], fed[3])


def evaluations(counts: int, days: int, monkeypatch: pytest.MonkeyPatch) -> int:
    """How often a count is held against the grid for a rota and its ripe day, with so many counts in one filling."""
    made = [Entry(START, "started", "north", (("from", "starter:bought"), ("inoculum", 187.5)), 1)]
    for n in range(counts):
        on = START + timedelta(days=1 + n * days // counts)
        made.append(Entry(on, "counted", "north", (("density", 1e5 * 1.3 ** (n * days / counts)),), n + 2))
    held = [0]
    scores = likelihood.expected_scores

    def counting(*words: object) -> object:
        held[0] += 1
        return scores(*words)  # type: ignore[arg-type]

    with monkeypatch.context() as patch:
        patch.setattr(likelihood, "expected_scores", counting)
        plan = example_plan(days=40, vessels=(example_vessel("north"),))
        on: date = START + timedelta(days=days)
        rota = schedule(plan, made, on)
        found = ripe_days_of(rota, ["north"], made)
    assert list(found) == ["north/1"]
    return held[0]


def test_many_counts_in_one_filling_cost_no_more_than_the_newest(monkeypatch: pytest.MonkeyPatch) -> None:
    few, many, more = (
        evaluations(n, 5, monkeypatch) for n in (MOST_COUNTS, 5 * MOST_COUNTS, 10 * MOST_COUNTS)
    )
    assert few > MOST_COUNTS
    # five days with counts and the ripe day, each at most eight grids of the newest counts
    assert max(many, more) <= 6 * 8 * MOST_COUNTS
    assert more <= 1.2 * many
