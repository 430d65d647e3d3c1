"""Which culture comes from which, and how far a contamination may have travelled: by hand."""

from __future__ import annotations

from datetime import date, timedelta

from made_plans import START, example_plan, example_vessel

from greenrota.rota.state.lineage import Link, Outbreak, Suspicion, children_of, suspects

DAY = timedelta(days=1)
PLAN = example_plan(vessels=tuple(map(example_vessel, ("north", "south"))))


def link(child: str, parent: str | None, day: int) -> Link:
    return Link(child, parent, START + day * DAY, "tetraselmis")


# bought > a/1 (day 0) > a/2 (day 6) > b/1 (day 8) and bottle (day 10); a/1 > c/1 (day 4)
FAMILY = {
    each.child: each
    for each in (
        link("bought", None, -2),
        link("a/1", "bought", 0),
        link("c/1", "a/1", 4),
        link("a/2", "a/1", 6),
        link("b/1", "a/2", 8),
        link("fridge:a/2", "a/2", 10),
    )
}


def on(day: int) -> date:
    return START + day * DAY


def outbreak(name: str, since: date) -> Outbreak:
    return Outbreak(name, since, on(20), f"contaminated since {since}")


def test_children_by_day() -> None:
    assert [each.child for each in children_of(FAMILY)["a/1"]] == ["c/1", "a/2"]
    assert [each.child for each in children_of(FAMILY)["a/2"]] == ["b/1", "fridge:a/2"]
    assert set(children_of(FAMILY)) == {"bought", "a/1", "a/2"}


def test_a_contamination_goes_back_to_the_day_and_on_from_it() -> None:
    # by hand: b/1 wrong since day 7, before it was filled: so a/2, which held the culture then, and what a/2 gave after
    found = suspects(FAMILY, [outbreak("b/1", on(7))], {})
    assert set(found) == {"b/1", "a/2", "fridge:a/2"}
    assert found["a/2"] == Suspicion(on(7), "b/1 came from it", on(20))
    assert found["fridge:a/2"] == Suspicion(on(10), "took inoculum from a/2 on 2027-02-11", on(20))
    # since day 6, the day of the re-seed: a/1 held it that day; c/1 left on day 4
    assert set(suspects(FAMILY, [outbreak("b/1", on(6))], {})) == {"b/1", "a/2", "fridge:a/2", "a/1"}
    # since day 9: only itself
    assert set(suspects(FAMILY, [outbreak("b/1", on(9))], {})) == {"b/1"}
    # on the very day it was filled its parent is in it
    assert "a/2" in suspects(FAMILY, [outbreak("b/1", on(8))], {})


def test_what_is_cleared_gives_clean_culture_from_that_day() -> None:
    everything = {"bought", "a/1", "c/1", "a/2", "b/1", "fridge:a/2"}
    assert set(suspects(FAMILY, [outbreak("a/1", on(0))], {})) == everything
    # cleared on day 8: what it gave on day 8 and after is clean
    assert set(suspects(FAMILY, [outbreak("a/1", on(0))], {"a/2": on(8)})) == {"bought", "a/1", "c/1"}
    # cleared on day 9: b/1 left the day before
    assert set(suspects(FAMILY, [outbreak("a/1", on(0))], {"a/2": on(9)})) == {"bought", "a/1", "c/1", "b/1"}
    # cleared before it became suspect: that says nothing
    assert set(suspects(FAMILY, [outbreak("a/2", on(8))], {"a/2": on(7)})) >= {"a/2"}


def test_of_two_outbreaks_the_earlier_counts() -> None:
    found = suspects(FAMILY, [outbreak("c/1", on(9)), outbreak("c/1", on(5))], {})
    assert found == {"c/1": Suspicion(on(5), f"contaminated since {on(5)}", on(20))}


def test_what_is_given_on_the_very_day_counts() -> None:
    # by hand: a/2 wrong since day 8, the day on which b/1 took from it; cleared that same day says it is clean since
    assert set(suspects(FAMILY, [outbreak("a/2", on(8))], {})) == {"a/2", "b/1", "fridge:a/2"}
    assert set(suspects(FAMILY, [outbreak("a/2", on(8))], {"a/2": on(8)})) == set()
