"""Tasks for other programs: the promised JSON shape, a CSV that runs nothing, a Markdown table."""

import csv
import io
import json
from dataclasses import replace
from datetime import date
from functools import cache
from pathlib import Path

import pytest

from greenrota.cli.system.rota_at import load_plan
from greenrota.culture.bench.sanitation import CAUTIONS
from greenrota.rota.kinds import TASK_KINDS
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.views.tasks.tasklist import harmless, tasks_csv, tasks_json, tasks_markdown

FOLDER = Path(__file__).parents[3] / "examples"
AMOUNTS = {"inoculum_ml", "seawater_ml", "salt_g", "nutrient_ml", "harvest_ml", "keep_ml", "bank_ml"}
TASK_KEYS = [
    "id", "kind", "date", "vessel", "batch", "parent", "serves", "amounts",
    "density_before_per_ml", "density_after_per_ml", "fill_ml", "light_h", "withheld", "reason", "cautions",
]  # fmt: skip


@cache
def rota(name: str) -> Rota:
    return schedule(load_plan(FOLDER / f"{name}.toml"))


@pytest.mark.parametrize("name", ["shelf", "us-pair", "corner"])
def test_json_has_the_promised_shape(name: str) -> None:
    answer = json.loads(tasks_json(rota(name), rota(name).tasks))
    assert list(answer) == ["format", "as_of", "through", "tasks", "overdue", "looks", "score", "warnings"]
    assert answer["format"] == "greenrota/tasks/1"
    assert (answer["as_of"], answer["through"]) == (
        rota(name).as_of.isoformat(),
        rota(name).through.isoformat(),
    )
    assert len(answer["tasks"]) == len(rota(name).tasks)
    for told, task in zip(answer["tasks"], rota(name).tasks, strict=True):
        assert list(told) == TASK_KEYS
        # a second one of a kind in a batch has its number behind it
        assert told["id"].split(".")[0] == f"{told['batch']}/{told['kind']}"
        assert told["kind"] in TASK_KINDS
        assert bool(told["serves"]) == (told["kind"] == "prepare")
        assert set(told["serves"]) <= {each["id"] for each in answer["tasks"]}
        assert date.fromisoformat(told["date"]) == task.on
        assert set(told["amounts"]) <= AMOUNTS
        assert None not in told["amounts"].values()
        assert told["light_h"] == task.light_h
        assert told["cautions"] == [CAUTIONS[key].text for key in task.cautions]
    assert [set(each) - {"vessel"} for each in answer["warnings"]] == [{"code", "text"}] * len(
        rota(name).warnings
    )


def test_amounts_are_there_where_they_apply_and_only_there() -> None:
    by_kind: dict[str, set[str]] = {}
    for told in json.loads(tasks_json(rota("us-pair"), rota("us-pair").tasks))["tasks"]:
        by_kind.setdefault(told["kind"], set()).update(told["amounts"])
    assert (
        by_kind.items()
        >= {
            "prepare": {"seawater_ml", "salt_g"},
            "start": {"inoculum_ml", "seawater_ml", "salt_g", "nutrient_ml"},
            "feed": {"nutrient_ml"},
            "harvest": {"harvest_ml", "keep_ml"},
            "reseed": {"inoculum_ml", "seawater_ml", "salt_g", "nutrient_ml", "keep_ml"},
            "bank": {"bank_ml"},
        }.items()
    )


def test_the_first_start_by_hand() -> None:
    plan = load_plan(FOLDER / "shelf.toml")
    # a bottle that holds hardly more than one vessel needs at least, so nothing is left to share out
    small = replace(plan, vessels=plan.vessels[:1], starters=(replace(plan.starters[0], volume_ml=200.0),))
    shown = schedule(small)
    told = next(t for t in json.loads(tasks_json(shown, shown.tasks))["tasks"] if t["kind"] == "start")
    # derived by hand: three quarters of 200 mL; 4 L filled up; 0.20 mL/L of it
    assert told["amounts"]["inoculum_ml"] == 150.0
    assert told["amounts"]["seawater_ml"] == 3850.0
    assert told["amounts"]["nutrient_ml"] == {"f2": 0.8}
    assert told["density_before_per_ml"] is None
    assert told["parent"] == "starter:bought"


def test_csv_and_json_say_the_same() -> None:
    rows = list(csv.DictReader(io.StringIO(tasks_csv(rota("corner").tasks))))
    told = json.loads(tasks_json(rota("corner"), rota("corner").tasks))["tasks"]
    assert len(rows) == len(told)
    for row, task in zip(rows, told, strict=True):
        assert [row[key] for key in ("date", "kind", "vessel", "batch", "id", "parent", "reason")] == [
            task[key] for key in ("date", "kind", "vessel", "batch", "id", "parent", "reason")
        ]
        given = dict(task["amounts"])
        for name, ml in given.pop("nutrient_ml", {}).items():
            assert float(row[f"nutrient_ml {name}"]) == ml
        assert {key: float(row[key]) for key in given} == given
        assert row["cautions"] == " | ".join(task["cautions"])


@pytest.mark.parametrize("first", ["=", "+", "-", "@", "\t", "\r"])
def test_no_cell_of_a_csv_is_a_formula(first: str) -> None:
    assert harmless(f"{first}1") == f"'{first}1"
    task = replace(rota("shelf").tasks[0], reason=f'{first}HYPERLINK("x")')
    (row,) = csv.DictReader(io.StringIO(tasks_csv([task]), newline=""))
    assert row["reason"] == f"'{task.reason}"
    assert row["id"] == task.id


def test_markdown_has_as_many_cells_in_every_row() -> None:
    text = tasks_markdown(rota("shelf"), [replace(rota("shelf").tasks[0], reason="a | b")])
    table = text.split("\n\n")[0].splitlines()
    assert len(table) == 3
    assert table[2].endswith("| a \\| b |")
    assert {line.replace("\\|", "").count("|") for line in table} == {7}
    assert all(f"- {CAUTIONS[key].text}" in text for key in rota("shelf").tasks[0].cautions)
