"""JSON for programs: one object on stdout whatever is found, problems as data where they are asked for."""

import json
from pathlib import Path
from typing import Any

import pytest
from run_here import Done
from run_here import run_here as run

SHELF = Path(__file__).parents[2] / "examples" / "shelf.toml"


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    text = SHELF.read_text(encoding="utf-8").replace("days   = 56", "days   = 24")
    (tmp_path / "plan.toml").write_text(text, encoding="utf-8")
    return tmp_path


def told(done: Done) -> Any:
    return json.loads(done.stdout)


def test_a_sound_plan_is_told_as_data(shelf: Path) -> None:
    done = run(shelf, "check", "--json")
    found = told(done)
    assert (done.returncode, done.stderr) == (0, "")
    assert (found["sound"], found["problems"], found["vessels"]) == (True, [], 3)
    assert {"one-home", "photoperiod-range"} <= {
        warning_object["code"] for warning_object in found["warnings"]
    }


def test_every_problem_of_a_faulty_plan_is_data_and_the_status_stays(shelf: Path) -> None:
    plan = shelf / "plan.toml"
    lines = plan.read_text(encoding="utf-8").splitlines()
    line = next(n for n, text in enumerate(lines, start=1) if text.startswith("start"))
    lines[line - 1] = "strat = 2027-02-01"
    plan.write_text("\n".join(lines), encoding="utf-8")
    done = run(shelf, "check", "--json")
    found = told(done)
    assert (done.returncode, done.stderr) == (1, "")
    assert found["sound"] is False
    assert found["tasks"] is None
    [unknown] = [each for each in found["problems"] if each["code"] == "unknown-key"]
    assert (unknown["file"], unknown["line"], unknown["column"]) == (str(plan), line, 1)
    assert "start" in unknown["hint"]


@pytest.mark.parametrize(
    ("plan", "code"),
    [("none.toml", "no-plan"), ("plan.log", "no-plan"), ("-", "no-plan"), ("/dev", "no-plan")],
)
def test_no_plan_is_a_problem_like_any_other(shelf: Path, plan: str, code: str) -> None:
    done = run(shelf, "check", plan, "--json")
    assert (done.returncode, done.stderr) == (1, "")
    assert [each["code"] for each in told(done)["problems"]] == [code]


def test_a_faulty_line_of_the_logbook_has_its_place(shelf: Path) -> None:
    (shelf / "plan.log").write_text("# begun\n2027-02-03 feed north n=1\n", encoding="utf-8")
    done = run(shelf, "check", "--json", "--on", "2027-02-03")
    [problem] = told(done)["problems"]
    assert (done.returncode, problem["code"], problem["line"]) == (1, "log-kind", 2)
    assert problem["hint"] == 'did you mean "fed"?'


def test_a_wrong_command_line_prints_no_data(shelf: Path) -> None:
    done = run(shelf, "check", "--json", "--on", "soon")
    assert (done.returncode, done.stdout) == (2, "")
    assert "[bad-date]" in done.stderr


def test_what_was_recorded_comes_with_its_number(shelf: Path) -> None:
    done = run(shelf, "log", "prepared", "north", "south", "--on", "2027-02-03", "--json")
    found = told(done)
    assert [(each["number"], each["subject"]) for each in found["recorded"]] == [(1, "north"), (2, "south")]
    lines = (shelf / "plan.log").read_text(encoding="utf-8").splitlines()
    assert [each["line"] for each in found["recorded"]] == lines
    assert found["next"][0]["id"] == "north/1/start"
    again = told(run(shelf, "log", "done", "--through", "2027-02-01", "--on", "2027-02-03", "--json"))
    assert (again["recorded"], again["next"][0]["id"]) == ([], "north/1/start")


def test_what_is_not_recorded_prints_no_data(shelf: Path) -> None:
    done = run(shelf, "log", "harvested", "north", "--on", "2027-02-03", "--json")
    assert (done.returncode, done.stdout) == (1, "")
    assert "[log-empty-vessel]" in done.stderr


def test_today_and_the_tasks_tell_of_the_same_day(shelf: Path) -> None:
    day = told(run(shelf, "today", "--json", "--on", "2027-02-03"))
    listed = told(run(shelf, "tasks", "--json", "--from", "2027-02-03", "--days", "1"))
    assert day["due"] == listed["tasks"]
    assert [task["light_h"] for task in day["due"]] == [None] * len(day["due"])


def test_a_card_doses_what_the_task_pours(shelf: Path) -> None:
    card = told(run(shelf, "card", "--nutrient", "f2", "--json"))
    [dose] = [each for each in card["nutrients"][0]["doses"] if each["vessel"] == "north"]
    listed = told(run(shelf, "tasks", "--vessel", "north", "--json"))
    poured = {task["kind"]: task["amounts"].get("nutrient_ml") for task in listed["tasks"]}
    assert card["vessels"] == []
    assert dose["start_ml"] == pytest.approx(
        poured["start"]["f2"], abs=0.005
    )  # doses go to a hundredth of a mL
    # draws vary, so that no dose fits every re-seed: the card gives it by the litre of new water
    assert dose["reseed_ml"] is None
    [reseed] = [task for task in listed["tasks"] if task["kind"] == "reseed"][:1]
    by_litre = card["nutrients"][0]["dose_ml_per_l"]
    new_l = reseed["amounts"]["seawater_ml"] / 1000.0
    assert by_litre * new_l == pytest.approx(reseed["amounts"]["nutrient_ml"]["f2"], abs=0.005)
