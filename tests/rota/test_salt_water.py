"""Buckets of salt water by hand: on which days they are mixed, for what, and what of them is on hand.

Truth: derived by hand on a calendar whose day 0 is Monday 1 February 2027. Our choices stand here again as plain
numbers: mixed water keeps 7 days, a bucket without other work is mixed in the 4 days before its first filling.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, timedelta
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st
from made_plans import START, example_plan

from greenrota.rota.plan import Away, Work
from greenrota.rota.state.opendays import OpenDays
from greenrota.rota.state.salt_water import Bucket, Fill, MixedWater, Mixing, poured

PLAN = example_plan()
DAILY = OpenDays(PLAN)


def on(day: int) -> date:
    return START + timedelta(days=day)


def fill(batch: str, day: int, ml: float = 3000.0, fresh: bool = False) -> Fill:
    return Fill(on(day), f"{batch}/reseed", f"{batch}/prepare", batch, ml, fresh)


def mixed(
    fills: Iterable[Fill],
    visits: Iterable[int] = (),
    open_days: OpenDays = DAILY,
    most_l: float = 20.0,
    on_hand: tuple[MixedWater, ...] = (),
    done: Iterable[str] = (),
    as_of: int = 0,
) -> tuple[Bucket, ...]:
    mixing = Mixing(open_days, on(as_of), most_l * 1000.0, on_hand, frozenset(done))
    return mixing.buckets(fills, [on(day) for day in visits])


def told(buckets: Iterable[Bucket]) -> list[tuple[int, list[str]]]:
    return [((each.on - START).days, [fill.batch for fill in each.fills]) for each in buckets]


def test_two_fillings_of_a_week_have_one_bucket_on_a_visit_before_the_first() -> None:
    buckets = mixed([fill("south/2", 8), fill("north/2", 5, 3200.0)], visits=[1, 3, 5, 8])
    assert told(buckets) == [(3, ["north/2", "south/2"])]
    assert (buckets[0].seawater_ml, buckets[0].shared_day) == (6200.0, True)


def test_a_filling_after_it_keeps_has_the_next_bucket() -> None:
    # mixed on day 3 it is good through day 10
    assert told(mixed([fill("a/2", 5), fill("b/2", 10), fill("c/2", 11)], visits=[3, 5, 10, 11])) == [
        (3, ["a/2", "b/2"]),
        (10, ["c/2"]),
    ]


def test_a_bucket_that_is_too_small_is_mixed_twice_on_one_day() -> None:
    # of 15, 8, 4 and 20 L the third fits beside the first; 25 L stand alone, whatever the bucket holds
    fills = [fill("a/2", 4, 15000.0), fill("b/2", 5, 8000.0), fill("c/2", 6, 4000.0), fill("d/2", 7, 25000.0)]
    buckets = mixed(fills, visits=[2])
    assert told(buckets) == [(2, ["a/2", "c/2"]), (2, ["b/2"]), (2, ["d/2"])]
    assert told(mixed([fill("a/2", 4, 12000.0), fill("b/2", 5, 8000.0)], visits=[2])) == [(2, ["a/2", "b/2"])]


@given(
    st.lists(
        st.tuples(st.integers(0, 30), st.sampled_from((1000.0, 2600.0, 2800.0, 6500.0, 12_000.0))),
        max_size=40,
    ),
    st.sets(st.integers(0, 30)),
)
def test_each_filling_is_served_by_the_first_bucket_that_keeps_and_has_room(
    wanted: list[tuple[int, float]], visits: set[int]
) -> None:
    """Every bucket is asked for every filling, which a large shelf has no time for."""
    fills = sorted(
        (fill(f"v{n}/2", day, ml) for n, (day, ml) in enumerate(wanted)), key=lambda each: each[:2]
    )
    buckets = mixed(fills, visits)
    server = {each.batch: n for n, bucket in enumerate(buckets) for each in bucket.fills}
    rooms_ml = [20_000.0] * len(buckets)
    for each in fills:
        fits = [
            n
            for n in range(server[each.batch] + 1)
            if (each.on - buckets[n].on).days <= 7 and rooms_ml[n] >= each.seawater_ml
        ]
        assert fits[0] == server[each.batch]
        rooms_ml[fits[0]] -= each.seawater_ml


def test_without_other_work_it_is_the_last_working_day_before() -> None:
    buckets = mixed([fill("a/2", 9), fill("b/2", 11)], visits=[1, 9, 11])  # day 1 is eight days before
    assert told(buckets) == [(8, ["a/2", "b/2"])]
    assert not buckets[0].shared_day


def test_days_away_and_off_are_left_out() -> None:
    away = OpenDays(replace(PLAN, away=(Away(on(6), on(8)),)))
    assert told(mixed([fill("a/2", 9)], visits=[9], open_days=away)) == [(5, ["a/2"])]
    # nobody is there in the four days before: on the day itself, for all fillings of that day and later ones
    away = OpenDays(replace(PLAN, away=(Away(on(5), on(8)),)))
    buckets = mixed([fill("a/2", 9), fill("b/2", 9), fill("c/2", 12)], visits=[9, 12], open_days=away)
    assert told(buckets) == [(9, ["a/2", "b/2", "c/2"])]
    assert buckets[0].shared_day
    # but a visit before those days serves as well, as long as it keeps
    assert told(mixed([fill("a/2", 9)], visits=[4, 9], open_days=away)) == [(4, ["a/2"])]


def test_with_one_working_day_a_week_it_is_mixed_the_week_before() -> None:
    saturdays = OpenDays(replace(PLAN, work=Work(weekdays=frozenset({5}))))
    buckets = mixed([fill("a/2", 12), fill("b/2", 19)], visits=[5, 12, 19], open_days=saturdays)
    assert told(buckets) == [(5, ["a/2"]), (12, ["b/2"])]


def test_daily_harvests_need_no_day_for_mixing_alone() -> None:
    """Three jars of 2 L in turn, one each day: 20 L for ten fillings, but seven days after mixing a new bucket."""
    fills = [fill(f"jar{day % 3}/{day}", day, 2000.0) for day in range(1, 29)]
    buckets = mixed(fills, visits=range(29))
    assert [day for day, _ in told(buckets)] == [0, 7, 14, 21]
    assert all(each.shared_day and len(each.fills) == 7 for each in buckets)


def test_nothing_is_mixed_before_today() -> None:
    assert told(mixed([fill("a/2", 5)], visits=[1, 3, 5], as_of=5)) == [(5, ["a/2"])]
    assert told(mixed([fill("a/2", 5)], visits=[1, 3, 5], as_of=4)) == [(4, ["a/2"])]


def test_the_order_in_which_fillings_are_given_does_not_matter() -> None:
    fills = [fill("a/2", 4, 9000.0), fill("b/2", 4, 8000.0), fill("c/2", 6, 7000.0), fill("d/2", 13)]
    wanted = told(mixed(fills, visits=[1, 4, 6, 13]))
    assert wanted == told(mixed(fills[::-1], visits=[13, 6, 4, 1]))


# --- water on hand ------------------------------------------------------------------------------------------------


def test_what_is_on_hand_is_poured_first_and_the_rest_is_mixed() -> None:
    there = (MixedWater("a/2/prepare", on(1), 5000.0),)
    buckets = mixed([fill("a/2", 3), fill("b/2", 4)], visits=[2, 3, 4], on_hand=there, done={"a/2/prepare"})
    assert told(buckets) == [(3, ["b/2"])]
    assert buckets[0].seawater_ml == 1000.0  # 2000 mL are left when a/2 is filled
    # 20 mL or 2 % may be missing
    assert mixed([fill("a/2", 3), fill("b/2", 4)], on_hand=(MixedWater("a/2/prepare", on(1), 5945.0),)) == ()
    assert told(mixed([fill("a/2", 3, 100.0)], on_hand=(MixedWater("b/2/prepare", on(1), 75.0),))) == [
        (2, ["a/2"])
    ]


def test_water_that_is_too_old_is_not_counted_on() -> None:
    there = (MixedWater("a/2/prepare", on(1), 9000.0),)
    assert mixed([fill("a/2", 8)], on_hand=there, done={"a/2/prepare"}) == ()
    assert told(mixed([fill("a/2", 9)], on_hand=there, done={"a/2/prepare"})) == [(8, ["a/2"])]


def test_water_of_unknown_amount_is_enough_for_its_own_filling_and_no_other() -> None:
    there = (MixedWater("a/2/prepare", on(1), None),)
    assert told(mixed([fill("a/2", 3), fill("b/2", 3)], on_hand=there, done={"a/2/prepare"})) == [
        (2, ["b/2"])
    ]


def test_a_mixing_that_was_skipped_is_left_to_whoever_skipped_it() -> None:
    assert told(mixed([fill("a/2", 3), fill("b/2", 3)], done={"a/2/prepare"})) == [(2, ["b/2"])]


def test_a_filling_takes_the_oldest_water() -> None:
    there = (
        MixedWater("b/2/prepare", on(2), 1000.0),
        MixedWater("c/2/prepare", on(1), 500.0),
        MixedWater("a/2/prepare", on(3), 2000.0),
    )
    short_ml, left = poured(there, fill("a/2", 4))
    assert (short_ml, [each.left_ml for each in left]) == (0.0, [0.0, 0.0, 500.0])
    assert poured(there, fill("a/2", 1))[0] == 2500.0  # what is mixed later is not there yet


# --- laws ---------------------------------------------------------------------------------------------------------

fillings = st.lists(st.tuples(st.integers(1, 13), st.sampled_from([900.0, 2000.0, 3500.0])), max_size=6)


@given(fillings, st.sets(st.integers(0, 13)), st.sets(st.integers(0, 6), min_size=1))
def test_no_other_choice_of_days_has_fewer_days_for_mixing_alone(
    drawn: list[tuple[int, float]], visits: set[int], weekdays: set[int]
) -> None:
    """Against every set of extra working days, tried out; the bucket is large enough for all."""
    open_days = OpenDays(replace(PLAN, work=Work(weekdays=frozenset(weekdays))))
    fills = [fill(f"v{n}/2", day, ml) for n, (day, ml) in enumerate(drawn)]
    worked = {day for day in visits if open_days.is_open(on(day))}
    buckets = mixed(fills, worked | {day for day, _ in drawn}, open_days)
    assert sorted(each for bucket in buckets for each in bucket.fills) == sorted(fills)
    alone = {(each.on - START).days for each in buckets} - worked - {day for day, _ in drawn}
    assert len(alone) == fewest_extra_days(drawn, worked, open_days)


def fewest_extra_days(drawn: list[tuple[int, float]], worked: set[int], open_days: OpenDays) -> int:
    """The fewest days that give each filling a day of work in the 7 before it; those without any do not count."""
    visited = worked | {day for day, _ in drawn}
    needing = [day for day, _ in drawn if not visited & set(range(day - 7, day))]
    needing = [day for day in needing if any(open_days.is_open(on(n)) for n in range(max(0, day - 4), day))]
    days = [n for n in range(14) if open_days.is_open(on(n))]
    for count in range(len(needing) + 1):
        for extra in combinations(days, count):
            if all(set(extra) & set(range(day - 7, day)) for day in needing):
                return count
    raise AssertionError
