"""check, tasks, today and growth from the command line: exit statuses, streams, options."""

import json
from pathlib import Path
from shutil import copytree

import pytest
from run_here import run_here
from typed import typed

from greenrota.cli.options.options import one_form
from greenrota.cli.table import COMMANDS
from greenrota.errors import ProblemsFound

FOLDER = Path(__file__).parents[3] / "examples"
SHELF = str(FOLDER / "shelf.toml")


def refused(*arguments: str) -> tuple[int, str, str]:
    """Status, code and hint of the one problem a command ends with; nothing is printed as data."""
    result = typed(*arguments)
    assert isinstance(result.exception, ProblemsFound), result.output
    assert result.stdout == ""
    (problem,) = result.exception.problems
    return result.exception.status, problem.code, problem.hint


@pytest.mark.parametrize("example", [each.example for each in COMMANDS if "examples/" in each.example])
def test_every_example_runs_as_it_stands(example: str, tmp_path: Path) -> None:
    copytree(FOLDER, tmp_path / FOLDER.name)  # some write files
    done = run_here(tmp_path, *example.split()[1:])
    assert done.returncode == 0
    assert done.stdout or "wrote " in done.stderr
    assert "\x1b" not in done.stdout + done.stderr


def test_warnings_go_to_stderr_and_tasks_to_stdout() -> None:
    result = typed("tasks", SHELF)
    assert result.exit_code == 0
    assert "warning:" not in result.stdout
    assert "[photoperiod-range]" in result.stderr


def test_piped_tasks_are_not_cut_at_any_width(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", "40")
    narrow = typed("tasks", SHELF).stdout
    monkeypatch.setenv("COLUMNS", "400")
    assert typed("tasks", SHELF).stdout == narrow
    told = json.loads(typed("tasks", SHELF, "--json").stdout)["tasks"]
    # every line of a task ends with the number of its batch; a bucket of salt water is for several
    ends = [line.split()[-1] for line in narrow.splitlines() if line.startswith(("Wed ", "Sat ", "Sun "))]
    assert {task["batch"].split("/")[1] for task in told if task["kind"] != "prepare"} <= set(ends)
    assert max(map(len, narrow.splitlines())) > 80


def test_json_is_one_object_and_nothing_else_is_said() -> None:
    result = typed("tasks", SHELF, "--json")
    assert json.loads(result.stdout)["format"] == "greenrota/tasks/1"
    assert result.stderr == ""


def test_days_count_from_the_first_day_shown() -> None:
    whole = json.loads(typed("tasks", SHELF, "--json").stdout)["tasks"]
    told = json.loads(typed("tasks", SHELF, "--from", "2027-02-10", "--days", "14", "--json").stdout)
    assert told["tasks"] == [task for task in whole if "2027-02-10" <= task["date"] <= "2027-02-23"]
    assert told["tasks"]
    assert told["through"] == "2027-03-28"  # what is shown changes nothing in the rota
    early = json.loads(typed("tasks", SHELF, "--days", "3", "--json").stdout)
    assert {task["date"] for task in early["tasks"]} == {"2027-02-03"}


def test_one_vessel_can_be_shown() -> None:
    told = json.loads(typed("tasks", SHELF, "--vessel", "spare", "--json").stdout)
    # a bucket of salt water for several vessels is shown with each of them
    own = [task for task in told["tasks"] if task["kind"] != "prepare"]
    assert {task["vessel"] for task in own} == {"spare"}
    mixed = [task for task in told["tasks"] if task["kind"] == "prepare"]
    assert all(any(name.startswith("spare/") for name in task["serves"]) for task in mixed)


def test_csv_and_markdown_begin_with_their_heads() -> None:
    assert typed("tasks", SHELF, "--csv").stdout.startswith("date,kind,vessel,batch,id,parent,")
    assert typed("tasks", SHELF, "--markdown").stdout.startswith("| date | task | batch |")


def test_without_a_logbook_the_day_changes_no_task() -> None:
    assert (
        typed("tasks", SHELF, "--on", "2026-01-01").stdout
        == typed("tasks", SHELF, "--on", "2030-01-01").stdout
    )


@pytest.mark.parametrize("command", [("tasks", SHELF, "--vessel", "NROTH"), ("growth", "nroth", SHELF)])
def test_a_mistyped_vessel_is_guessed(command: tuple[str, ...]) -> None:
    assert refused(*command) == (2, "unknown-vessel", 'did you mean "north"?')


def test_a_vessel_like_none_gets_the_list() -> None:
    assert refused("growth", "xyz", SHELF) == (2, "unknown-vessel", "the plan has: north, south, spare")


def test_two_forms_at_a_time_are_refused() -> None:
    assert refused("tasks", SHELF, "--markdown", "--csv")[:2] == (2, "one-form")
    with pytest.raises(ProblemsFound) as told:
        one_form({"--json": False, "--csv": True, "--markdown": True})
    assert str(told.value.problems[0].where) == "--csv"


@pytest.mark.parametrize("days", ["0", "-1", "4001", "x"])
def test_a_number_of_days_that_makes_no_sense_is_refused(days: str) -> None:
    assert typed("tasks", SHELF, "--days", days).exit_code == 2


@pytest.mark.parametrize("command", [("check",), ("tasks",), ("today",), ("growth", "north")])
def test_a_plan_with_a_problem_ends_with_1(command: tuple[str, ...], tmp_path: Path) -> None:
    broken = tmp_path / "plan.toml"
    text = Path(SHELF).read_text(encoding="utf-8")
    broken.write_text(text.replace('fill        = "4 L"', 'fill        = "9 L"', 1), encoding="utf-8")
    assert refused(*command, str(broken))[:2] == (1, "fill-over-brim")


def test_check_says_the_plan_is_sound_and_what_to_know() -> None:
    result = typed("check", SHELF)
    assert (result.exit_code, result.stderr) == (0, "")
    first, second, *warnings = result.stdout.splitlines()
    assert first == f"{SHELF}: the plan is sound"
    assert second.startswith("3 vessels, ")
    assert warnings
    assert all(line.startswith("warning: ") for line in warnings)


def test_growth_prints_its_json() -> None:
    assert json.loads(typed("growth", "north", SHELF, "--json").stdout)["vessel"] == "north"


def test_today_takes_its_day_from_the_option() -> None:
    assert typed("today", SHELF, "--on", "2027-02-13").stdout.startswith("shelf: Sat 2027-02-13\n")
