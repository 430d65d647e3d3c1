"""`greenrota calibrate` and `reckon secchi` from the command line."""

import json
from pathlib import Path

import pytest
from typed import typed

from greenrota.errors import ProblemsFound

SHELF = Path(__file__).parents[3] / "examples" / "shelf.toml"
LOG = """\
2027-02-03 started north from=starter:bought inoculum=187.5mL n=1
2027-02-04 counted north density=1.25e5/mL cells=50 squares=4 n=2
2027-02-06 counted north density=2.4e5/mL cells=96 squares=4 n=3
2027-02-08 counted north density=4.6e5/mL cells=184 squares=4 n=4
2027-02-11 counted north density=8.6e5/mL cells=344 squares=4 n=5
"""


@pytest.fixture
def shelf(tmp_path: Path) -> str:
    plan = tmp_path / "plan.toml"
    plan.write_bytes(SHELF.read_bytes())
    (tmp_path / "plan.log").write_text(LOG, encoding="utf-8")
    return str(plan)


def test_page_and_json(shelf: str) -> None:
    page = typed("calibrate", "north", shelf, "--on", "2027-02-11")
    assert (page.exit_code, page.stderr) == (0, "")
    assert "[strain.tetraselmis]" in page.stdout
    found = typed("calibrate", "north", shelf, "--on", "2027-02-11", "--json")
    answer = json.loads(found.stdout)
    assert answer["counts"] == 4
    # by hand: ln(4.6e5 / 1.25e5) / 4 days is 0.33 /day, a little less than the rate of a curve that bends
    assert 0.30 < answer["rate_per_day"] < 0.55


def test_less_is_known_with_a_rougher_hand(shelf: str) -> None:
    def error(*more: str) -> float:
        found = typed("calibrate", "north", shelf, "--on", "2027-02-11", "--json", *more)
        return float(json.loads(found.stdout)["rate_se_per_day"])

    assert error("--handling", "0") < error() < error("--handling", "0.3")


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        (["calibrate", "nroth", "{}"], "unknown-vessel"),
        (["calibrate", "north", "{}", "--handling", "7"], "out-of-range"),
        (["reckon", "secchi", "14", "--pair", "10=9e5"], "out-of-range"),
        (["reckon", "secchi", "14", "--pair", "10:9e5", "--pair", "20=4e5"], "bad-number"),
        (["reckon", "secchi", "deep", "--pair", "10=9e5", "--pair", "20=4e5"], "bad-number"),
    ],
)
def test_refusals(shelf: str, arguments: list[str], code: str) -> None:
    result = typed(*[word.format(shelf) for word in arguments])
    assert isinstance(result.exception, ProblemsFound)
    assert (result.exception.status, result.exception.problems[0].code) == (2, code)
    assert result.stdout == ""


def test_secchi_between_and_beyond_the_pairs() -> None:
    line = ["reckon", "secchi", "15", "--pair", "10=9e5", "--pair", "20=4.5e5/mL", "--json"]
    answer = json.loads(typed(*line).stdout)
    assert answer["density_per_ml"] == pytest.approx(6e5, rel=1e-9)  # by hand: density times depth is 9e6
    line[2] = "25"
    answer = json.loads(typed(*line).stdout)
    assert answer["outside"] == "above"
    assert answer["low_per_ml"] is None
    assert len(answer["cautions"]) == 1
