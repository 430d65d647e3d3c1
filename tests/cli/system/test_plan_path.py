"""Which plan is meant."""

from pathlib import Path

import pytest

from greenrota.cli.system.plan_path import find_plan, logbook_path
from greenrota.errors import ProblemsFound


def code(given: Path | None, folder: Path) -> str:
    """The code of the one problem that comes back."""
    with pytest.raises(ProblemsFound) as found:
        find_plan(given, folder)
    assert found.value.status == 1
    (problem,) = found.value.problems
    return problem.code


def test_the_nearest_plan_above_is_taken(tmp_path: Path) -> None:
    deep = tmp_path / "a" / "b"
    deep.mkdir(parents=True)
    (tmp_path / "plan.toml").touch()
    assert find_plan(None, deep) == tmp_path / "plan.toml"
    (tmp_path / "a" / "plan.toml").touch()
    assert find_plan(None, deep) == tmp_path / "a" / "plan.toml"


def test_a_named_plan_wins_and_a_folder_means_the_plan_in_it(tmp_path: Path) -> None:
    (tmp_path / "plan.toml").touch()
    (tmp_path / "reef.toml").touch()
    assert find_plan(tmp_path / "reef.toml", tmp_path) == tmp_path / "reef.toml"
    assert find_plan(tmp_path, Path("/")) == tmp_path / "plan.toml"


def test_no_plan_is_a_problem(tmp_path: Path) -> None:
    assert code(tmp_path / "none.toml", tmp_path) == "no-plan"
    assert code(tmp_path, tmp_path) == "no-plan"


def test_a_plan_is_never_its_own_logbook(tmp_path: Path) -> None:
    (tmp_path / "plan.log").touch()
    assert code(tmp_path / "plan.log", tmp_path) == "plan-name"
    assert logbook_path(tmp_path / "reef.north.toml") == tmp_path / "reef.north.log"
