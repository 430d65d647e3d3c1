"""The front door: what `from greenrota import ...` gives, and that it costs nothing before it is used."""

import copy
import pickle
import subprocess
import sys
from collections.abc import Callable
from dataclasses import asdict, fields, replace
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest

import greenrota
from greenrota.errors import ProblemsFound
from greenrota.logbook.entry import parse_line
from greenrota.rota.answers.why import why
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule

SHELF = Path(__file__).parent.parent / "examples" / "shelf.toml"


def test_a_plan_a_logbook_and_a_day_give_the_rota(tmp_path: Path) -> None:
    book = tmp_path / "shelf.log"
    book.write_text(
        "2027-02-03 started north n=1\n2027-02-03 void - entry=1 n=2\nnonsense\n", encoding="utf-8"
    )
    plan = greenrota.load(SHELF)
    rota = greenrota.schedule(plan, greenrota.load_log(book), date(2027, 2, 4))
    assert (
        rota.as_of == plan.start
    )  # by hand: the one start is void and the third line is none, so nothing is logged
    book.write_text("2027-02-03 started north n=1\n", encoding="utf-8")
    rota = greenrota.schedule(plan, greenrota.load_log(str(book)), date(2027, 2, 4))
    assert rota.as_of == date(2027, 2, 4)
    assert "north/1/start" not in {task.id for task in rota.tasks}


def test_no_logbook_is_an_empty_one_and_a_faulty_plan_tells_its_problems(tmp_path: Path) -> None:
    assert greenrota.load_log(tmp_path / "none.log") == ()
    faulty = tmp_path / "plan.toml"
    faulty.write_text('[rota]\nname = "x"\n', encoding="utf-8")
    with pytest.raises(ProblemsFound) as found:
        greenrota.load(faulty)
    assert {problem.where.file for problem in found.value.problems} == {str(faulty)}


def test_importing_the_package_loads_nothing_else() -> None:
    heavy = "('greenrota.', 'numpy', 'pydantic')"
    asked = f"import sys, greenrota; print([m for m in sys.modules if m.startswith({heavy})])"
    done = subprocess.run([sys.executable, "-c", asked], capture_output=True, text=True, check=True)
    assert done.stdout == "[]\n"


@pytest.fixture(scope="module")
def rota() -> Rota:
    """The shelf after a first week with an entry of every sort that leaves a record behind."""
    log = [
        greenrota.entry(date(2027, 2, 1), "started", "north", {"from": "starter:bought", "inoculum": 800.0}),
        greenrota.entry(date(2027, 2, 5), "counted", "north", {"density": 4e5}),
        greenrota.entry(date(2027, 2, 6), "crashed", "north", {"cause": "overheating"}),
    ]
    return greenrota.schedule(greenrota.load(SHELF), log, date(2027, 2, 6))


@pytest.mark.parametrize(
    "again",
    [lambda each: pickle.loads(pickle.dumps(each)), copy.copy, copy.deepcopy],
    ids=["pickle", "copy", "deepcopy"],
)
def test_a_rota_comes_back_whole_and_can_still_be_asked(rota: Rota, again: Callable[[Rota], Rota]) -> None:
    """Asked for the reason of a day, for that walks the rota again with what the search remembered left behind."""
    other = again(rota)
    assert other == rota
    assert other != replace(rota, as_of=rota.as_of + timedelta(days=1))
    assert other != replace(rota, context=rota.context._replace(plan=replace(rota.plan, name="other")))
    harvest = next(task for task in rota.tasks if task.kind == "harvest")
    assert why(other, harvest) == why(rota, harvest)
    assert other.rations() == rota.rations()


def test_every_record_a_notebook_gets_can_be_pickled_and_turned_into_a_dict(rota: Rota) -> None:
    day = date(2027, 2, 20)
    held = greenrota.culture_of(rota, "south", day)
    assert held is not None
    for record in (
        rota.plan,
        *rota.tasks,
        *rota.bottles,
        *rota.warnings,
        rota.rations(),
        held,
        greenrota.risk_of(rota, seasons=20),
        greenrota.entry(day, "note", "-", {"text": "x"}),
    ):
        assert pickle.loads(pickle.dumps(record)) == record
        assert copy.deepcopy(record) == record
        told = asdict(record)
        assert set(told) == {each.name for each in fields(record)}
    assert asdict(rota)["tasks"][0]["id"] == rota.tasks[0].id
    assert asdict(rota.plan)["nutrients"] == {
        name: asdict(nutrient) for name, nutrient in rota.plan.nutrients.items()
    }


def test_the_mappings_of_records_can_not_be_changed(rota: Rota) -> None:
    nutrient_ml = next(task.amounts.nutrient_ml for task in rota.tasks if task.amounts.nutrient_ml)
    assert isinstance(nutrient_ml, dict)
    before = dict(nutrient_ml)
    changes: list[Callable[[dict[str, float]], object]] = [
        lambda m: m.update(x=1.0),
        lambda m: m.setdefault("x", 1.0),
        lambda m: m.pop(next(iter(m))),
        lambda m: m.popitem(),
        lambda m: m.clear(),
        lambda m: m.__setitem__("x", 1.0),
        lambda m: m.__delitem__(next(iter(m))),
        lambda m: m.__ior__({"x": 1.0}),
    ]
    for change in changes:
        with pytest.raises(TypeError, match="can not be changed"):
            change(nutrient_ml)
    assert nutrient_ml == before


def test_what_a_notebook_shows_of_rota_and_plan_fits_on_a_line(rota: Rota) -> None:
    assert len(repr(rota)) < 120
    assert len(repr(rota.plan)) < 120
    assert "\n" not in repr(rota) + repr(rota.plan)
    assert f"{len(rota.tasks)} tasks" in repr(rota)


def test_what_stands_in_a_vessel_is_what_its_tasks_say(rota: Rota) -> None:
    """By hand: a vessel holds what others get of it, is harvested, put into the fridge and left in it, at the density
    of the task."""
    harvest = next(task for task in rota.tasks if task.kind == "harvest")
    before = greenrota.culture_of(rota, harvest.vessel, harvest.on)
    assert before is not None
    assert before.batch == harvest.batch
    assert before.density_per_ml == pytest.approx(harvest.density_before_per_ml, rel=1e-12)  # rounding only
    poured = [task.amounts for task in rota.tasks if task.batch == harvest.batch and task.on == harvest.on]
    out_ml = sum((each.harvest_ml or 0.0) + (each.bank_ml or 0.0) for each in poured)
    out_ml += sum(
        task.amounts.inoculum_ml or 0.0
        for task in rota.tasks
        if (task.kind, task.parent, task.on) == ("start", harvest.batch, harvest.on)
    )
    assert before.volume_ml == pytest.approx(out_ml + (harvest.amounts.keep_ml or 0.0), rel=1e-12)
    assert before.density_per_ml < before.ceiling_per_ml
    assert before.share_of_ceiling == before.density_per_ml / before.ceiling_per_ml
    start = next(task for task in rota.tasks if task.kind == "start")
    assert greenrota.culture_of(rota, start.vessel, start.on) is None
    after = greenrota.culture_of(rota, start.vessel, start.on, worked=True)
    assert after is not None
    assert (after.batch, after.age_days) == (start.batch, 0)
    assert after.volume_ml == pytest.approx(rota.plan.vessel(start.vessel).fill_l * 1000.0, rel=1e-12)


def test_risk_is_what_the_command_tells(rota: Rota) -> None:
    calm = greenrota.risk_of(rota, seasons=64, hazard=0.0)
    assert calm.lost.value == 0.0
    one, again = greenrota.risk_of(rota, seasons=64), greenrota.risk_of(rota, seasons=64)
    assert one == again
    assert sum(one.histogram) == one.seasons == 64
    worse = greenrota.risk_of(rota, seasons=64, hazard=50.0)
    assert sum(each.value for each in worse.losses.values()) > sum(each.value for each in one.losses.values())
    for wrong in ({"seasons": 0}, {"seed": -1}, {"hazard": -1.0}, {"hazard": float("nan")}):
        with pytest.raises(ValueError, match="or more"):
            greenrota.risk_of(rota, **wrong)  # type: ignore[arg-type]


def test_an_entry_is_made_or_every_problem_of_it_is_raised() -> None:
    day = date(2027, 2, 9)
    made = greenrota.entry(
        day, "crashed", "south", {"cause": "unknown", "since": date(2027, 2, 8)}, remark="a remark"
    )
    written = "2027-02-09 crashed south cause=unknown since=2027-02-08 # a remark"
    assert made == parse_line(written)
    assert greenrota.entry(day, "fed", "north", {"nutrient": 0.6}) == parse_line(
        "2027-02-09 fed north nutrient=0.6mL"
    )
    with pytest.raises(ProblemsFound) as found:
        greenrota.entry(day, "harvested", "-", {"volume": -1.0, "density": "many", "colour": "red", "odd": 3})
    assert [(each.code, each.where.file) for each in found.value.problems] == [
        ("log-subject", "subject"),
        ("log-value", "volume"),
        ("log-value", "density"),
        ("log-key", "colour"),
        ("log-key", "odd"),
    ]
    with pytest.raises(ProblemsFound, match="log-kind"):
        greenrota.entry(day, "harvest", "north")
    with pytest.raises(ValueError, match="one line"):
        greenrota.entry(day, "cleared", "north", remark="two\nlines")


def test_entries_may_be_given_in_any_order(rota: Rota) -> None:
    log = [
        greenrota.entry(date(2027, 2, 5), "counted", "north", {"density": 4e5}),
        greenrota.entry(date(2027, 2, 1), "started", "north", {"from": "starter:bought", "inoculum": 800.0}),
    ]
    plan = rota.plan
    assert greenrota.schedule(plan, log, date(2027, 2, 5)) == greenrota.schedule(
        plan, log[::-1], date(2027, 2, 5)
    )


@pytest.mark.parametrize(
    ("day", "hint"),
    [("2027-02-04", "fromisoformat"), (datetime(2027, 2, 4, 9), r"\.date\(\)"), (20270204, "of type int")],
)
def test_a_day_of_another_type_is_refused_with_its_cure(rota: Rota, day: object, hint: str) -> None:
    asked: list[tuple[str, Callable[[Any], object]]] = [
        ("today", lambda day: greenrota.schedule(rota.plan, (), day)),
        ("as_of", lambda day: schedule(rota.plan, (), day)),
        ("on", lambda day: greenrota.culture_of(rota, "north", day)),
        ("on", lambda day: greenrota.entry(day, "cleared", "north")),
    ]
    for name, ask in asked:
        with pytest.raises(TypeError, match=f"^{name} must be a datetime.date, not .*{hint}"):
            ask(day)


def test_what_is_no_plan_no_entry_no_vessel_or_no_day_of_the_rota_is_refused(rota: Rota) -> None:
    with pytest.raises(TypeError, match="plan must be what load gives"):
        greenrota.schedule(str(SHELF))  # type: ignore[arg-type]
    with pytest.raises(TypeError, match="log must be entries"):
        greenrota.schedule(rota.plan, "shelf.log")  # type: ignore[arg-type]
    with pytest.raises(KeyError, match="no vessel 'nort' in the plan; it has north"):
        greenrota.culture_of(rota, "nort", rota.as_of)
    with pytest.raises(ValueError, match="the last day of the rota"):
        greenrota.culture_of(rota, "north", rota.through + timedelta(days=1))
    assert greenrota.culture_of(rota, "north", date(2027, 1, 1)) is None
