"""A small Tetraselmis shelf against what keepers see. Common practice, no source, unless a line says otherwise.

These are checks on the figures that ship, at the level of the whole rota.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest
from made_plans import START, example_plan, example_vessel
from plan_texts import FULL

from greenrota.culture.data.medium import media
from greenrota.culture.data.strain import strains
from greenrota.planfile.read.load import read_plan
from greenrota.rota.plan import CyclePlan, Nutrient, Plan, Starter
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.search import search
from greenrota.rota.simulate.projection import Projection

FILL_L = 3.8
JAR = example_vessel(brim_l=4.4, fill_l=FILL_L, temperature_c=23.0, photoperiod_h=12.0)
CEILING_PER_ML = strains()["tetraselmis"].ceiling_per_ml * (FILL_L / 4.0) ** -0.4  # as its source has it
DENSE_PER_ML = 2e6  # a dense bottle


@pytest.fixture(autouse=True)
def no_search(monkeypatch: pytest.MonkeyPatch) -> None:
    """The rules alone: nothing is chosen among what they allow."""
    monkeypatch.setattr(search, "MOST_BATCHES", 0)


def seeded_at(share: float, **changes: object) -> Plan:
    """One jar, and just the starter that seeds it at this share of its ceiling."""
    volume_ml = share * CEILING_PER_ML * FILL_L * 1000.0 / DENSE_PER_ML
    bottle = Starter("bottle", "tetraselmis", volume_ml, DENSE_PER_ML, START, keep_back=0.0)
    return example_plan(vessels=(JAR,), starters=(bottle,), **changes)


def first_batch(rota: Rota) -> Projection:
    return next(c.projection for c in rota.simulation.choices if c.batch.id == "north/1")


def codes(rota: Rota) -> set[str]:
    return {warning.code for warning in rota.warnings}


@pytest.mark.parametrize("share", [0.03, 0.04, 0.05])
def test_ripe_ten_to_fourteen_days_after_a_start_with_cells_for_a_few_percent(share: float) -> None:
    rota = schedule(seeded_at(share))
    start = next(task for task in rota.tasks if task.kind == "start")
    assert start.density_after_per_ml is not None and start.fill_ml is not None  # it is filled in steps
    cells = start.density_after_per_ml * start.fill_ml / 1000.0
    assert cells == pytest.approx(share * CEILING_PER_ML * FILL_L, rel=1e-9)
    ripe_on = first_batch(rota).ripe_on
    assert ripe_on is not None
    assert 10 <= (ripe_on - start.on).days <= 14
    assert "temperature-range" not in codes(rota)  # no heater needed


def harvest_density(rota: Rota) -> float:
    found = next(t.density_before_per_ml for t in rota.tasks if t.id == "north/1/harvest")
    assert found is not None
    return found


def test_a_second_larger_dose_ends_visibly_denser_after_a_thin_start() -> None:
    # the label says 0.20 mL/L; 0.13 is given at the start and 0.20 a week in
    label, share = media()["f/2"], 0.13 / 0.20
    thin = replace(
        label,
        nitrogen_umol_l=label.nitrogen_umol_l * share,
        phosphorus_umol_l=label.phosphorus_umol_l * share,
        silicon_umol_l=label.silicon_umol_l * share,
    )
    shelf = seeded_at(
        0.05,
        nutrients={"f2": Nutrient("f2", thin, 0.13)},
        cycle=CyclePlan(days=14, feed_day=7, feed_dose=0.20 / 0.13),
    )
    fed = schedule(shelf)
    feed = next(task for task in fed.tasks if task.kind == "feed")
    assert feed.on == START + timedelta(days=7)
    assert feed.amounts.nutrient_ml["f2"] == pytest.approx(0.20 * FILL_L)
    assert feed.amounts.nutrient_ml["f2"] > 0.13 * FILL_L
    # what the first dose can build: 573.6 umol/L and the starter's own 0.75 pmol a cell, over 0.75 pmol
    without = thin.nitrogen_umol_l / 0.75 * 1000.0 + 0.05 * CEILING_PER_ML
    assert harvest_density(fed) >= 1.2 * without  # visibly: by a fifth and more; our choice


def test_a_second_dose_buys_little_once_light_and_air_set_the_ceiling() -> None:
    full = schedule(seeded_at(0.05, cycle=CyclePlan(days=14)))
    assert not [task for task in full.tasks if task.kind == "feed"]
    fed = schedule(seeded_at(0.05, cycle=CyclePlan(days=14, feed_day=7, feed_dose=1.5)))
    assert harvest_density(fed) == pytest.approx(harvest_density(full), rel=0.05)


@pytest.mark.parametrize("gravity", ["1.018", "1.020", "1.022", "1.025"])
def test_usual_gravities_are_all_in_range(gravity: str) -> None:
    text = FULL.replace('"26 psu"', f'"{gravity} SG"')
    assert text != FULL
    assert "salinity-range" not in codes(schedule(read_plan(text, "plan.toml")))


def test_half_a_litre_of_dense_starter_seeds_one_or_two_jars_with_a_share_to_spare() -> None:
    bottle = Starter("bottle", "tetraselmis", 500.0, DENSE_PER_ML, START)
    jars = tuple(replace(JAR, name=name) for name in ("north", "south", "east", "west"))
    rota = schedule(example_plan(vessels=jars, starters=(bottle,)))
    seeded = [task for task in rota.tasks if task.parent == "starter:bottle" and task.kind == "start"]
    assert len(seeded) in (1, 2)
    drawn_ml = sum(task.amounts.inoculum_ml or 0.0 for task in seeded)
    assert drawn_ml == pytest.approx(375.0)  # a quarter is kept back
    assert "starter-thin" not in codes(rota)


# FAO Fisheries Technical Paper 361 (Lavens & Sorgeloos 1996), Table 2.2, published: 16-27 degC, 12-40 g/L,
# 1,000-10,000 lux, 16:8 and more.
@pytest.mark.parametrize(
    ("changes", "salinity_psu", "code", "said"),
    [
        ({"temperature_c": 15.9}, 26.0, "temperature-range", True),
        ({"temperature_c": 16.0}, 26.0, "temperature-range", False),
        ({"temperature_c": 27.0}, 26.0, "temperature-range", False),
        ({"temperature_c": 27.1}, 26.0, "temperature-range", True),
        ({}, 11.0, "salinity-range", True),
        ({}, 22.0, "salinity-range", False),
        ({}, 40.0, "salinity-range", True),
        ({"light_lux": 999.0}, 26.0, "light-range", True),
        ({"light_lux": 1000.0}, 26.0, "light-range", False),
        ({"light_lux": 10_000.0}, 26.0, "light-range", False),
        ({"light_lux": 10_001.0}, 26.0, "light-range", True),
        ({"photoperiod_h": 15.9}, 26.0, "photoperiod-range", True),
        ({"photoperiod_h": 16.0}, 26.0, "photoperiod-range", False),
    ],
)
def test_the_handbook_ranges_are_caveats(
    changes: dict[str, float], salinity_psu: float, code: str, said: bool
) -> None:
    plan = example_plan(vessels=(replace(JAR, **changes),), days=1)  # type: ignore[arg-type]
    plan = replace(plan, water=replace(plan.water, salinity_psu=salinity_psu))
    assert (code in codes(schedule(plan))) == said
