"""`greenrota new`: a plan to start from, and never a lost one."""

import tomllib
from datetime import date
from pathlib import Path

import pytest
from typed import typed

from greenrota.errors import ProblemsFound


def test_a_new_plan_starts_on_the_day_after(tmp_path: Path) -> None:
    target = tmp_path / "plan.toml"
    result = typed("new", str(target), "--on", "2027-01-31")
    assert result.exit_code == 0
    assert result.stdout == ""
    assert tomllib.loads(target.read_text(encoding="utf-8"))["rota"]["start"] == date(2027, 2, 1)


@pytest.mark.parametrize("content", ["", "mine"])
def test_a_file_that_is_there_is_never_written_over(content: str, tmp_path: Path) -> None:
    target = tmp_path / "plan.toml"
    target.write_text(content, encoding="utf-8")
    result = typed("new", str(target))
    assert isinstance(result.exception, ProblemsFound)
    assert [p.code for p in result.exception.problems] == ["plan-exists"]
    assert target.read_text(encoding="utf-8") == content
