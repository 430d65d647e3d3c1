"""The one rule for who seeds whom: who belongs to a source, in which order, and how much is enough."""

from __future__ import annotations

import numpy as np
import pytest

from greenrota.rota.state import donors
from greenrota.rota.state.donors import ORDER, Source, Turn, may_give, seniority, suffices

VESSELS = (Source.HARVEST, Source.RIPE, Source.RIPENING, Source.UNRIPE)


def sources(share: float, share_then: float, age_days: int, harvested: bool = False) -> list[Source]:
    """What a vessel at a share of its ceiling counts as."""
    z, z_then = 1.0 / share - 1.0, 1.0 / share_then - 1.0
    return [source for source in VESSELS if may_give(source, z, z_then, age_days, harvested)]


def test_a_vessel_belongs_to_what_its_day_makes_of_it() -> None:
    # our choices: ripe at 80 % of the ceiling, unripe ones from 50 % on and filled more than 2 days ago
    assert sources(0.80, 0.90, 1) == [Source.RIPE]
    assert sources(0.30, 0.40, 1, harvested=True) == [Source.HARVEST]
    assert sources(0.90, 0.95, 9, harvested=True) == [Source.HARVEST]
    assert sources(0.79, 0.85, 2) == [Source.RIPENING]
    assert sources(0.79, 0.85, 3) == [Source.RIPENING, Source.UNRIPE]
    assert sources(0.50, 0.79, 3) == [Source.UNRIPE]
    assert sources(0.50, 0.79, 2) == []
    assert sources(0.49, 0.79, 9) == []


def test_arrays_are_judged_as_single_figures_are() -> None:
    z = np.array([0.1, 0.5, 0.9, 3.0, np.inf])
    then, age, harvested = z * 0.3, np.array([1, 3, 2, 9, 9]), np.array([False, False, True, False, False])
    for source in VESSELS:
        one_by_one = [may_give(source, *each) for each in zip(z, then, age, harvested, strict=True)]
        assert may_give(source, z, then, age, harvested).tolist() == [bool(each) for each in one_by_one]


def test_a_bottle_is_no_vessel() -> None:
    with pytest.raises(ValueError, match="BACKUP"):
        may_give(Source.BACKUP, 0.1, 0.1, 9, False)


def test_the_order_after_a_loss_opens_the_insurance_only_when_nothing_ripe_gives_soon() -> None:
    after_loss = [turn for turn in ORDER if turn.after_loss]
    assert [turn.source.name for turn in after_loss] == [
        *("HARVEST", "RIPE", "RIPENING", "STARTER", "BACKUP", "UNRIPE", "STARTER", "BACKUP")
    ]
    # a thin start is the last resort, and only bottles give one
    assert [turn.least_share for turn in after_loss] == [1.0] * 6 + [donors.THIN_START] * 2


def test_what_is_broken_down_on_plan_asks_an_unripe_vessel_before_any_bottle() -> None:
    names = [turn.source.name for turn in ORDER]
    assert names.index("UNRIPE") < min(names.index("STARTER"), names.index("BACKUP"))
    assert [turn.source for turn in ORDER if not turn.after_loss] == [Source.UNRIPE]


def test_fewest_re_seeds_come_first_then_the_longest_grown() -> None:
    ages = [(0, 3), (0, 400), (1, 3650), (2, 4)]
    assert sorted(ages, key=lambda pair: seniority(*pair)) == [(0, 400), (0, 3), (1, 3650), (2, 4)]


def test_half_of_the_least_is_enough_only_in_a_thin_turn() -> None:
    thin = Turn(Source.BACKUP, donors.THIN_START)
    assert suffices(ORDER[0], 100.0, 100.0) and not suffices(ORDER[0], 99.0, 100.0)
    assert suffices(thin, 50.0, 100.0) and not suffices(thin, 49.0, 100.0)
