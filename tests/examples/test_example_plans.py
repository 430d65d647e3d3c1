"""The example plans: each gives a rota that keeps the laws of the shelf, read from its tasks alone."""

from collections import defaultdict
from datetime import timedelta
from functools import cache
from pathlib import Path

import pytest

from greenrota.cli.system.rota_at import load_plan
from greenrota.culture.water.saltmix import salt_g
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.rota.tasks.task import Task

FOLDER = Path(__file__).parents[2] / "examples"
NAMES = sorted(path.stem for path in FOLDER.glob("*.toml"))
every_example = pytest.mark.parametrize("name", NAMES)
ROUNDING_ML = 1e-6  # sums of a few dozen doubles below 1e4


@cache
def rota(name: str) -> Rota:
    return schedule(load_plan(FOLDER / f"{name}.toml"))


def by_batch(name: str) -> dict[str, list[Task]]:
    """The tasks of every batch but for its preparation, in their order."""
    found: dict[str, list[Task]] = defaultdict(list)
    for task in rota(name).tasks:
        if task.kind != "prepare":
            found[task.batch].append(task)
    return found


def test_the_three_examples_are_there() -> None:
    assert {"shelf", "us-pair", "corner"} <= set(NAMES)


@every_example
def test_it_says_that_it_is_invented(name: str) -> None:
    first = (FOLDER / f"{name}.toml").read_text(encoding="utf-8").splitlines()[0]
    assert first.startswith("# An invented scenario")


@every_example
def test_every_vessel_gets_its_strain(name: str) -> None:
    started = {task.vessel for task in rota(name).tasks if task.kind == "start"}
    assert started == {vessel.name for vessel in rota(name).plan.vessels}
    assert rota(name).simulation.waiting == ()
    codes = {warning.code for warning in rota(name).warnings}
    assert not codes & {"vessel-waits", "strain-lost", "no-silicate", "wash-out", "starter-thin"}


@every_example
def test_every_task_is_on_a_working_day_of_the_horizon(name: str) -> None:
    plan = rota(name).plan
    last = plan.start + timedelta(days=plan.days - 1)
    for task in rota(name).tasks:
        assert plan.start <= task.on <= last
        assert task.on.weekday() in plan.work.weekdays
        assert not any(away.first <= task.on <= away.last for away in plan.away)


@every_example
def test_a_vessel_holds_one_batch_at_a_time(name: str) -> None:
    ended: dict[str, Task] = {}
    for task in rota(name).tasks:
        before = ended.get(task.vessel)
        if task.kind == "start":
            assert before is None or (before.kind == "renew" and before.on < task.on)
        elif task.kind == "reseed":
            assert before is not None
            assert (before.kind, before.on, before.batch) == ("harvest", task.on, task.parent)
        elif task.kind in ("harvest", "renew"):
            ended[task.vessel] = task


@every_example
def test_nothing_happens_to_a_batch_before_it_starts(name: str) -> None:
    for batch, tasks in by_batch(name).items():
        assert tasks[0].kind in ("start", "reseed"), batch
        assert all(task.on > tasks[0].on for task in tasks[1:]), batch


@every_example
def test_a_vessel_is_prepared_no_later_than_it_is_filled(name: str) -> None:
    kinds = ("start", "topup", "reseed")
    filled = {task.id: task.on for task in rota(name).tasks if task.kind in kinds}
    prepared = {each: task.on for task in rota(name).tasks for each in task.serves}
    assert prepared.keys() == filled.keys()
    assert all(prepared[each] <= filled[each] for each in filled)


@every_example
def test_no_source_gives_more_than_it_holds(name: str) -> None:
    plan = rota(name).plan
    holds_ml = {f"starter:{each.name}": each.volume_ml for each in plan.starters}
    given_ml: dict[str, float] = defaultdict(float)
    taken_ml: dict[str, float] = defaultdict(float)
    for task in rota(name).tasks:
        amounts = task.amounts
        if task.kind in ("start", "reseed"):
            holds_ml[task.batch] = (amounts.inoculum_ml or 0.0) + (amounts.seawater_ml or 0.0)
            given_ml[task.parent] += amounts.inoculum_ml or 0.0
        elif task.kind == "topup":
            holds_ml[task.batch] += amounts.seawater_ml or 0.0
        elif task.kind == "bank":
            holds_ml[f"fridge:{task.batch}"] = amounts.bank_ml or 0.0
            given_ml[task.batch] += amounts.bank_ml or 0.0
        elif task.kind == "harvest":
            taken_ml[task.batch] += (amounts.harvest_ml or 0.0) + (amounts.keep_ml or 0.0)
    assert given_ml.keys() | taken_ml.keys() <= holds_ml.keys()
    for drawn_ml in (given_ml, taken_ml):
        assert all(ml <= holds_ml[source] + ROUNDING_ML for source, ml in drawn_ml.items())


@every_example
def test_a_starter_keeps_its_share_back(name: str) -> None:
    for starter in rota(name).plan.starters:
        given = [
            t.amounts.inoculum_ml or 0.0 for t in rota(name).tasks if t.parent == f"starter:{starter.name}"
        ]
        assert sum(given) <= starter.volume_ml * (1.0 - starter.keep_back) + ROUNDING_ML


@every_example
def test_every_filling_adds_up(name: str) -> None:
    """Derived by hand: inoculum and seawater make the fill; salt and nutrient follow from the new water."""
    plan = rota(name).plan
    for task in rota(name).tasks:
        if task.kind not in ("start", "reseed"):
            continue
        vessel, amounts = plan.vessel(task.vessel), task.amounts
        assert amounts.inoculum_ml is not None
        assert amounts.seawater_ml is not None
        filled_ml = amounts.inoculum_ml + amounts.seawater_ml
        in_steps = (
            task.kind == "start" and filled_ml <= vessel.fill_l * 500.0
        )  # half at most, says the model page
        if not in_steps:
            assert filled_ml == pytest.approx(vessel.fill_l * 1000.0, rel=1e-9)
        dosed_l = (filled_ml if task.kind == "start" else amounts.seawater_ml) / 1000.0
        nutrient = plan.nutrients[vessel.nutrient]
        assert amounts.nutrient_ml == {nutrient.name: pytest.approx(dosed_l * nutrient.dose_ml_per_l)}
        salt = salt_g(
            amounts.seawater_ml / 1000.0,
            plan.water.salinity_psu,
            vessel.temperature_c,
            plan.water.salt_hydration,
        )
        assert amounts.salt_g == pytest.approx(salt, rel=2e-3)  # seawater of 20 or 30 degC weighs 0.2 % less


@every_example
def test_no_culture_passes_its_ceiling(name: str) -> None:
    for task in rota(name).tasks:
        strain = rota(name).plan.strains[rota(name).plan.vessel(task.vessel).strain]
        fill_l = rota(name).plan.vessel(task.vessel).fill_l
        most = strain.ceiling_per_ml * (fill_l / strain.ceiling_volume_l) ** -strain.ceiling_exponent
        for density in (task.density_before_per_ml, task.density_after_per_ml):
            assert density is None or 0.0 < density <= most * (1 + 1e-9)


@every_example
def test_the_diatom_gets_silicate(name: str) -> None:
    plan = rota(name).plan
    diatoms = [vessel for vessel in plan.vessels if plan.strains[vessel.strain].needs_silicate]
    assert all(plan.nutrients[vessel.nutrient].medium.silicon_umol_l > 0.0 for vessel in diatoms)
    assert len(diatoms) == (3 if name == "corner" else 0)


def test_what_each_example_is_there_to_show() -> None:
    shelf, pair, corner = (rota(name).plan for name in ("shelf", "us-pair", "corner"))
    assert (len(shelf.vessels), len(shelf.starters), len(shelf.away), shelf.units) == (3, 1, 1, "metric")
    assert shelf.tank is not None
    assert len(shelf.work.weekdays) < 7
    assert (len(pair.vessels), pair.units) == (2, "us")
    assert pair.vessels[0].fill_l == pytest.approx(3.785411784, rel=1e-12)  # exact: the US gallon
    assert (len(corner.vessels), len(corner.strains)) == (12, 3)
    fed = [task for task in rota("us-pair").tasks if task.kind == "feed"]
    assert fed
    assert all("lifts the nitrogen ceiling" in task.reason for task in fed)
