"""`greenrota risk` and `greenrota size` from the command line."""

import json
from pathlib import Path

import pytest
from typed import typed

from greenrota.errors import ProblemsFound

EXAMPLE = Path(__file__).resolve().parents[3] / "examples" / "shelf.toml"
TIMING = "simulated_vessel_days_per_s"


def run(*arguments: str) -> str:
    result = typed(*arguments)
    assert result.exit_code == 0, result.exception
    return result.stdout


def test_the_same_seed_says_the_same() -> None:
    command = ("risk", str(EXAMPLE), "--seasons", "300", "--seed", "7", "--json", "--without-backup")
    first, again = json.loads(run(*command)), json.loads(run(*command))
    for told in (first, first["against"], again, again["against"]):
        assert told.pop(TIMING) > 0
    assert first == again
    assert first["seed"] == 7
    assert first["against"]["name"] == "without back-up"


def test_no_hazard_loses_nothing() -> None:
    told = json.loads(run("risk", str(EXAMPLE), "--seasons", "200", "--hazard", "0", "--json"))["against"]
    assert told["p_strain_lost"] == 0.0
    assert told["dominant_cause"] is None
    assert told["mean_short_days"] == told["planned_short_days"]


def test_a_plan_against_itself_differs_in_nothing() -> None:
    told = json.loads(run("risk", str(EXAMPLE), "--seasons", "200", "--against", str(EXAMPLE), "--json"))
    assert told["against"]["mean_short_days_change"] == 0.0


def test_vessels_are_changed_for_the_comparison_only() -> None:
    told = json.loads(run("risk", str(EXAMPLE), "--seasons", "100", "--vessels", "1", "--json"))
    assert told["against"]["vessels"] < told["vessels"]


def test_nothing_but_data_on_stdout_when_it_is_no_terminal() -> None:
    result = typed("risk", str(EXAMPLE), "--seasons", "100")
    assert "\r" not in result.stdout
    assert "[#" not in result.output


def test_size_needs_a_ration(tmp_path: Path) -> None:
    text = EXAMPLE.read_text(encoding="utf-8")
    start = text.index("[tank]")
    end = text.index("\n[", start + 1)
    plan = tmp_path / "plan.toml"
    plan.write_text(text[:start] + text[end + 1 :], encoding="utf-8")
    result = typed("size", str(plan))
    assert isinstance(result.exception, ProblemsFound)
    assert [problem.code for problem in result.exception.problems] == ["no-ration"]


@pytest.mark.parametrize("confidence", ["0.2", "1.0"])
def test_a_confidence_is_a_share_worth_having(confidence: str) -> None:
    assert typed("size", str(EXAMPLE), "--confidence", confidence).exit_code == 2


def test_size_tells_the_frontier() -> None:
    told = json.loads(run("size", str(EXAMPLE), "--seasons", "200", "--confidence", "0.8", "--json"))
    assert told["frontier"][0]["vessels"] == 1
    assert told["vessels"] is not None


def test_a_picture_of_the_short_days(tmp_path: Path) -> None:
    picture = str(tmp_path / "risk.svg")
    command = ("risk", str(EXAMPLE), "--seasons", "200", "--without-backup", "--svg", picture)
    assert run(*command) == ""
    first = Path(picture).read_bytes()
    assert b"without back-up" in first
    assert json.loads(run(*command, "--json"))["seasons"] == 200
    assert Path(picture).read_bytes() == first


def test_a_picture_never_replaces_a_plan(tmp_path: Path) -> None:
    """Refused before any season is played: so many would take longer than the whole suite."""
    other = tmp_path / "other.toml"
    other.write_bytes(EXAMPLE.read_bytes())
    command = ("risk", str(EXAMPLE), "--seasons", "1000000", "--against", str(other), "--svg", str(other))
    for force in ((), ("--force",)):
        result = typed(*command, *force)
        assert isinstance(result.exception, ProblemsFound)
        assert [problem.code for problem in result.exception.problems] == ["file-exists"]
    assert other.read_bytes() == EXAMPLE.read_bytes()
