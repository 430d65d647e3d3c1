"""The luck of a season hangs on seed and number alone, and is shared by plans that are compared."""

from dataclasses import replace

import numpy as np
import pytest
from made_plans import example_plan, example_vessel

from greenrota.risk.hazard import danger_for, scaled
from greenrota.risk.luck import CELL, NUMBERS, Luck, draw_below, share
from greenrota.risk.outcome import difference, mean
from greenrota.risk.season import Seasons, play
from greenrota.risk.size import rough_rota, with_vessels
from greenrota.risk.timetable import Timetable, timetable
from greenrota.rota.plan import Tank

PLAN = example_plan(
    vessels=tuple(example_vessel(name) for name in ("north", "south", "east")),
    days=40,
    tank=Tank(300.0, 600.0, 6),
)
DANGER = scaled(danger_for(None), 4.0)
TABLE: Timetable = timetable(rough_rota(PLAN))


def same(one: Seasons, other: Seasons) -> bool:
    fields = ("short_days", "lost_on", "lost_by", "losses")
    return all(np.array_equal(getattr(one, name), getattr(other, name)) for name in fields)


def test_a_seed_gives_its_seasons_however_they_are_grouped() -> None:
    number = 3 * CELL + 17
    runs = [play(TABLE, DANGER, number, seed=9, group_cells=cells) for cells in (1, 2, 4)]
    assert same(runs[0], runs[1])
    assert same(runs[0], runs[2])
    assert not same(runs[0], play(TABLE, DANGER, number, seed=10))


def test_more_seasons_leave_the_first_ones_as_they_were() -> None:
    few, many = play(TABLE, DANGER, 100, seed=9), play(TABLE, DANGER, CELL + 5, seed=9)
    assert np.array_equal(few.losses, many.losses[:, :100])
    assert np.array_equal(few.short_days, many.short_days[:100])


def test_cells_are_seeded_as_spawned() -> None:
    """Truth published: numpy's SeedSequence, children by `spawn` one after the other; low half of 64 bits first."""
    shelf, vessels = Luck(42, 3, CELL, 2).draw()
    children = np.random.SeedSequence(42).spawn(4)[3].spawn(3)
    for child, row in zip(children, (shelf, *vessels), strict=True):
        whole = np.random.SFC64(child).random_raw(CELL // 2)
        assert np.array_equal(row[::2], whole & 0xFFFFFFFF)
        assert np.array_equal(row[1::2], whole >> np.uint64(32))


def test_a_vessel_keeps_its_luck_when_another_is_added() -> None:
    (_, two), (_, three) = Luck(1, 0, CELL, 2).draw(), Luck(1, 0, CELL, 3).draw()
    assert np.array_equal(two, three[:2])


def test_the_lots_are_uniform() -> None:
    """Derived by hand: 50,000 numbers in 100 bins, 99 degrees of freedom; chi-squared beyond 160 has chance 1e-4."""
    shelf, vessels = Luck(7, 0, CELL, 9).draw()
    drawn = np.concatenate([share(shelf), share(vessels).ravel()])
    counts, expected = np.histogram(drawn, 100, (0.0, 1.0))[0], drawn.size / 100
    assert 50.0 < ((counts - expected) ** 2 / expected).sum() < 160.0


@pytest.mark.parametrize("chance", [0.0, 1e-9, 0.025, 0.3, 1.0, 1.2])
def test_no_number_below_a_chance_is_passed_over(chance: float) -> None:
    edge = int(draw_below(chance))
    around = np.array([n for n in range(edge - 2, edge + 3) if 0 <= n < NUMBERS] + [NUMBERS - 1], np.uint32)
    assert np.all((around <= draw_below(chance)) | (share(around) >= chance))


def test_more_mishaps_lose_more_in_every_season_and_shared_luck_narrows_the_difference() -> None:
    few = play(TABLE, danger_for(None), 2000, seed=2)
    many = play(TABLE, scaled(danger_for(None), 2.0), 2000, seed=2)
    other = play(TABLE, scaled(danger_for(None), 2.0), 2000, seed=3)
    shared, apart = difference(few, many).short_days, difference(few, other).short_days
    assert shared.high - shared.low < apart.high - apart.low
    assert few.losses.sum() < many.losses.sum()


def test_the_difference_is_the_paired_mean() -> None:
    few, many = play(TABLE, danger_for(None), 50, seed=2), play(TABLE, DANGER, 50, seed=2)
    by_hand = [int(b) - int(a) for a, b in zip(few.short_days, many.short_days, strict=True)]
    assert difference(few, many).short_days == mean(np.array(by_hand, float))


def test_with_vessels_takes_away_or_repeats_production_only() -> None:
    plan = replace(PLAN, vessels=(*PLAN.vessels, example_vessel("reserve", role="standby")))
    assert [v.name for v in with_vessels(plan, 1).vessels] == ["north", "reserve"]
    more = with_vessels(plan, 5).vessels
    assert [v.role for v in more] == ["production"] * 5 + ["standby"]
    assert len({v.name for v in more}) == 6
