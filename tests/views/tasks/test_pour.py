"""What the hands are told to pour: read off no finer than the instruments, and it always fits.

Truth: by hand. What is read off and what is poured onto it make the fill, but for less than one step of the coarser
instrument, and never a drop more.
"""

from __future__ import annotations

import re
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_plans import lively_plans

from greenrota.rota.plan import Plan
from greenrota.rota.schedule import schedule
from greenrota.rota.search import search
from greenrota.rota.tasks.amounts import Amounts
from greenrota.rota.tasks.task import Task
from greenrota.views.tasks.pour import done, pour_parts, pour_text

_VOLUME = re.compile(r"([0-9.]+) (mL|L)\b")
ROUNDING_ML = 1e-6  # floats, far below what any instrument shows


def volumes_ml(text: str) -> list[float]:
    """The volumes of a line as a person reads them, nutrient left out."""
    return [float(number) * (1000.0 if unit == "L" else 1.0) for number, unit in _VOLUME.findall(text)]


def step_ml(volume_ml: float) -> float:
    return next(s for most, s in ((1.0, 0.01), (10.0, 0.05), (100.0, 1.0), (1e9, 10.0)) if volume_ml < most)


def task(kind: str, **amounts: float) -> Task:
    given_amounts = Amounts(**amounts)  # type: ignore[arg-type]
    return Task("n/1", kind, date(2027, 2, 1), "n", "n/1", "starter:b", given_amounts, None, None, "", ())


def check(whole_ml: float, told: list[float]) -> None:
    coarsest = max(map(step_ml, [*told, whole_ml]))
    assert whole_ml - coarsest - ROUNDING_ML < sum(told) <= whole_ml + ROUNDING_ML, (whole_ml, told)


@pytest.mark.parametrize(
    ("inoculum_ml", "seawater_ml", "text"),
    [
        (187.5, 3812.5, "190 mL from starter:b + 3.81 L seawater"),
        (84.6, 3915.4, "85 mL from starter:b + 3.91 L seawater"),
        (
            105.0,
            3705.0,
            "100 mL from starter:b + 3.71 L seawater",
        ),  # 3.70 L by itself: a step would be lacking
        (4.97, 5.03, "4.95 mL from starter:b + 5.05 mL seawater"),
    ],
)
def test_seawater_fills_up_what_was_read_off(inoculum_ml: float, seawater_ml: float, text: str) -> None:
    start = task("start", inoculum_ml=inoculum_ml, seawater_ml=seawater_ml)
    assert pour_text(start) == text
    check(inoculum_ml + seawater_ml, volumes_ml(text))


@given(st.floats(10.0, 40_000.0), st.floats(0.005, 0.95), st.sampled_from(("start", "reseed")))
def test_any_two_pours_fit_the_fill(fill_ml: float, share: float, kind: str) -> None:
    inoculum_ml = fill_ml * share
    poured = pour_parts(task(kind, inoculum_ml=inoculum_ml, seawater_ml=fill_ml - inoculum_ml))
    check(fill_ml, volumes_ml(" ".join(poured)))


@given(st.floats(10.0, 40_000.0), st.floats(0.005, 0.95))
def test_what_is_taken_leaves_what_is_kept(held_ml: float, share: float) -> None:
    harvest = task("harvest", harvest_ml=held_ml * (1.0 - share), keep_ml=held_ml * share)
    check(held_ml, volumes_ml(pour_text(harvest)))


@settings(max_examples=20)
@given(lively_plans(most_days=31))
def test_every_pour_of_a_rota_fits_its_vessel_and_nothing_drifts(plan: Plan) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(search, "FEWEST_BATCHES", 20)
        patch.setattr(search, "MOST_BATCHES", 40)
        rota = schedule(plan)
    mixed = {}
    for each in rota.tasks:
        told = volumes_ml(" ".join(pour_parts(each)[:2]))
        if each.kind == "prepare":
            mixed.setdefault(each.batch, told[0])  # the first of a batch is for its filling
        elif each.kind in ("start", "reseed"):
            vessel = plan.vessel(each.vessel)
            check(vessel.fill_l * 1000.0 if each.fill_ml is None else each.fill_ml, told)
            assert sum(told) <= vessel.brim_l * 1000.0 + ROUNDING_ML
            if each.batch in mixed:  # what was mixed is enough, but for one step of the coarser instrument
                assert mixed[each.batch] >= told[1] - max(map(step_ml, told)) - ROUNDING_ML


def test_a_harvest_that_is_banked_whole_says_no_zero() -> None:
    text = done(task("harvest", harvest_ml=0.0, keep_ml=3600.0), "metric")
    assert text == "harvest nothing more, 3.60 L stays"
