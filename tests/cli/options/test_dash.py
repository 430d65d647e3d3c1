"""A dash in place of a file is stdout: the same bytes as in the file, and nothing else."""

import os
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from run_here import run_here as run

SHELF = Path(__file__).parents[3] / "examples" / "shelf.toml"
PROGRAM = [sys.executable, "-m", "greenrota"]


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    text = SHELF.read_text(encoding="utf-8").replace("days   = 56", "days   = 24")
    (tmp_path / "plan.toml").write_text(text, encoding="utf-8")
    return tmp_path


@pytest.mark.parametrize(
    "words",
    [
        ("sheet", "FILE"),
        ("labels", "FILE", "--on", "2027-02-01"),
        ("card", "--nutrient", "f2", "--html", "FILE"),
        ("growth", "north", "--svg", "FILE"),
    ],
)
def test_stdout_gets_what_the_file_gets(shelf: Path, words: tuple[str, ...]) -> None:
    page = "page.svg" if "--svg" in words else "page.html"
    assert run(shelf, *(word.replace("FILE", page) for word in words)).returncode == 0
    done = run(shelf, *(word.replace("FILE", "-") for word in words))
    assert (done.returncode, done.out) == (0, (shelf / page).read_bytes())
    assert b"wrote" not in done.err
    assert not (shelf / "-").exists()


def test_a_calendar_and_a_new_plan_too(shelf: Path) -> None:
    calendar = run(shelf, "calendar", "-", "--on", "2027-02-01")
    assert calendar.out.startswith(b"BEGIN:VCALENDAR\r\n") and calendar.out.endswith(b"END:VCALENDAR\r\n")
    assert b" new, " in calendar.err
    plan = run(shelf, "new", "-", "--on", "2027-01-31")
    assert tomllib.loads(plan.out.decode())["rota"]["name"] == "shelf"
    assert {path.name for path in shelf.iterdir()} == {"plan.toml", "plan.calendar.json"}


def test_a_reader_that_leaves_a_file_is_no_error(shelf: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run(
        [*PROGRAM, "growth", "north", "--svg", "-"],
        stdout=writing,
        stderr=subprocess.PIPE,
        cwd=shelf,
        env=dict(os.environ),
        timeout=60,
    )
    os.close(writing)
    assert (done.returncode, done.stderr) == (0, b"")
