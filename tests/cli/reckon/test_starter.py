"""`greenrota reckon inoculum` and `reckon starter`: truths derived by hand."""

import json
import shlex
from typing import Any

import pytest
from typed import typed

from greenrota.errors import ProblemsFound


def told(line: str) -> dict[str, Any]:
    result = typed("reckon", *shlex.split(line), "--json")
    assert result.exit_code == 0, result.output
    answer: dict[str, Any] = json.loads(result.stdout)
    return answer


def test_inoculum_by_density_and_by_share_are_the_dilution_law() -> None:
    # 4 L x 1e5 / 1.5e6 = 266.67 mL; a fifth of 4 L is 800 mL and starts at a fifth of the source
    by_density = told('inoculum "4 L" --density "1e5 cells/mL" --from "1.5e6 cells/mL"')
    assert by_density["inoculum_ml"] == pytest.approx(266.67, abs=0.005)
    assert by_density["inoculum_ml"] + by_density["seawater_ml"] == pytest.approx(4000.0)
    assert by_density["share"] == pytest.approx(1 / 15)
    by_share = told('inoculum "4 L" --share 0.2 --from "1.5e6 cells/mL"')
    assert (by_share["inoculum_ml"], by_share["start_per_ml"]) == (800.0, pytest.approx(3e5))


def test_a_bottle_is_shared_out_with_a_share_kept_back() -> None:
    # a quarter of 500 mL stays; 375 mL hold 7.5e8 cells, and a vessel of 3.8 L starts at 6.5 % of 1.1e6: 2.7e8 each
    most = told('starter "500 mL" "2e6 cells/mL" --fill "3.8 L"')
    assert (most["kept_ml"], most["most_vessels"], most["vessels"], most["each_ml"]) == (125.0, 2, 2, 187.5)
    assert most["start_per_ml"] == pytest.approx(187.5 * 2e6 / 3800.0)
    assert len(most["cautions"]) == 1
    thin = told('starter "500 mL" "2e6 cells/mL" --fill "3.8 L" --vessels 5')
    assert (thin["vessels"], thin["each_ml"], thin["most_vessels"]) == (5, 75.0, 2)
    assert "slow" in thin["cautions"][0]


def test_a_vessel_takes_no_more_than_it_holds() -> None:
    full = told('starter "20 L" "2e6 cells/mL" --fill "4 L" --vessels 1')
    assert (full["each_ml"], full["kept_ml"]) == (4000.0, 16000.0)


def test_what_is_read_off_fits_the_bottle() -> None:
    # 375 mL over two is 187.5 mL: 180 mL as a jug shows it, and 140 mL are left of 500
    result = typed("reckon", "starter", "500 mL", "2e6 cells/mL", "--fill", "3.8 L")
    keep, _, each, _ = (line.split("  ")[-1].strip() for line in result.stdout.splitlines()[:4])
    assert keep.startswith("140 mL")
    assert each.startswith("180 mL")


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ('inoculum "4 L" --from "1e6 cells/mL"', "bad-usage"),
        ('inoculum "4 L" --from "1e6 cells/mL" --share 0.2 --density "1e5 cells/mL"', "bad-usage"),
        ('inoculum "4 L" --from "1e5 cells/mL" --density "2e5 cells/mL"', "out-of-range"),
        ('inoculum "4 L" --from "1e5 cells/mL" --share 1.2', "out-of-range"),
        ('inoculum "4 L" --from "1e5 cells/mL" --share 0', "out-of-range"),
        ('inoculum "4 psu" --from "1e5 cells/mL" --share 0.2', "wrong-dimension"),
        ('starter "500 mL" "2e6 cells/mL" --keep-back 1', "out-of-range"),
        ('starter "500 mL" "2e6 cells/mL" --strain tetraselmsi', "unknown-strain"),
        ('starter "0 mL" "2e6 cells/mL"', "out-of-range"),
    ],
)
def test_what_can_not_be_is_refused(line: str, code: str) -> None:
    result = typed("reckon", *shlex.split(line))
    assert isinstance(result.exception, ProblemsFound), result.output
    assert (result.exception.status, result.exception.problems[0].code) == (2, code)
