"""`bottles` and `supplies` from the outside: forms of output, exit statuses, warnings on stderr."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from plan_texts import FULL
from run_here import Done, run_here


def run(*arguments: str, cwd: Path) -> Done:
    return run_here(cwd, *arguments)


@pytest.fixture
def shelf(tmp_path: Path) -> Path:
    limit = 'volume = "300 L"\nnitrate_limit = "0.1 mg/L"\n'
    tmp_path.joinpath("plan.toml").write_text(FULL.replace('volume = "300 L"\n', limit, 1), encoding="utf-8")
    return tmp_path


def test_bottles_json_is_one_object_with_its_warnings(shelf: Path) -> None:
    done = run("bottles", "--json", "--on", "2027-02-01", cwd=shelf)
    told = json.loads(done.stdout)
    assert (done.returncode, done.stderr) == (0, "")
    assert told["days"][0]["date"] == "2027-02-01"
    assert told["days"][-1]["date"] == "2027-03-03"  # 31 days, by hand
    assert [warning_object["code"] for warning_object in told["warnings"]] == ["tank-nitrate"]


def test_bottles_page_warns_on_stderr(shelf: Path) -> None:
    done = run("bottles", "--on", "2027-02-01", cwd=shelf)
    assert done.returncode == 0
    assert "warning" not in done.stdout
    assert "[tank-nitrate]" in done.stderr


def test_only_one_form_at_a_time(shelf: Path) -> None:
    done = run("bottles", "--json", "--csv", cwd=shelf)
    assert (done.returncode, done.stdout) == (2, "")
    assert "[one-form]" in done.stderr
    assert run("bottles", "--csv", "--on", "2027-02-01", cwd=shelf).stdout.startswith("date,in_ml,fed_ml,")


def test_supplies_json_and_page(shelf: Path) -> None:
    assert json.loads(run("supplies", "--json", "--on", "2027-02-01", cwd=shelf).stdout)["salt_g"] > 0.0
    done = run("supplies", "--on", "2027-02-01", cwd=shelf)
    assert (done.returncode, done.stderr) == (0, "")
    assert "nutrient f2" in done.stdout
