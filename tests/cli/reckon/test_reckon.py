"""Bench arithmetic from the command line: figures against the outside, refusals with a code."""

import json
import shlex

import pytest
from scipy import stats
from typed import typed

from greenrota.cli.reckon.reckon import RECKONINGS
from greenrota.errors import ProblemsFound


def figures(line: str) -> dict[str, object]:
    """The JSON answer of one reckoning."""
    result = typed("reckon", *shlex.split(line), "--json")
    assert result.exception is None
    found: dict[str, object] = json.loads(result.stdout)
    return found


def refused(line: str) -> str:
    """The code of the one problem a reckoning ends with; the command line is at fault."""
    result = typed("reckon", *shlex.split(line))
    assert isinstance(result.exception, ProblemsFound)
    assert result.exception.status == 2
    assert result.stdout == ""
    (problem,) = result.exception.problems
    return problem.code


@pytest.mark.parametrize(("command", "example"), [(c.__name__, e) for _, c, e in RECKONINGS])
def test_every_example_runs(command: str, example: str) -> None:
    answer = figures(example.removeprefix("greenrota reckon "))
    assert answer["format"] == f"greenrota/reckon-{command}/1"


def test_salinity_depends_on_the_reference() -> None:
    # computed with TEOS-10 (gsw 3.6): 26.57 at 25C/25C and 28.71 at 20C/4C; 0.01 covers EOS-80 against it
    assert figures('salinity "1.020 SG"')["salinity_psu"] == pytest.approx(26.57, abs=0.01)
    assert figures('salinity "1.020 SG" --hydrometer 20C/4C')["salinity_psu"] == pytest.approx(
        28.71, abs=0.01
    )
    # 77F is 25 degC, exact
    by_fahrenheit = figures('salinity "1.020 SG" --hydrometer 77F/77F')
    assert by_fahrenheit["salinity_psu"] == figures('salinity "1.020 SG"')["salinity_psu"]


def test_salinity_and_back() -> None:
    gravity = figures('salinity "26.57 psu"')["gravity"]
    assert gravity == pytest.approx(1.020, abs=1e-5)  # the salinity is given to 0.01 psu, 7.6e-6 SG


def test_salt_of_a_litre() -> None:
    # computed with TEOS-10: 27.15 g anhydrous in 1 L at SG 1.020 (25C/25C); 30.17 g of mix, 10 % bound water
    assert figures('salt "1 L" "1.020 SG" --hydration 0')["salt_g"] == pytest.approx(27.15, abs=0.01)
    assert figures('salt "1 L" "1.020 SG" --hydration 0.10')["salt_g"] == pytest.approx(30.17, abs=0.01)


def test_dilution_by_mass() -> None:
    # computed with TEOS-10 mass balance: 35 psu to 26.57 psu, 4.00 L: 3.018 L + 0.983 L
    answer = figures('dilute "4 L" "26.57 psu" --from "35 psu"')
    assert answer["seawater_l"] == pytest.approx(3.018, abs=0.001)
    assert answer["fresh_l"] == pytest.approx(0.983, abs=0.001)


def test_a_dose_by_hand_in_both_units() -> None:
    assert figures('dose "4 L" "0.20 mL/L"')["nutrient_ml"] == pytest.approx(
        0.80, rel=1e-12
    )  # derived by hand
    # exact: 1 US gal is 3.785411784 L
    assert figures('dose "1 gal" "1 mL/gal"')["nutrient_ml"] == pytest.approx(1.0, rel=1e-12)


def test_a_dose_brings_what_the_medium_holds() -> None:
    # published: f/2 holds 882 umol/L nitrate and 36.2 umol/L phosphate (Guillard 1975)
    answer = figures('dose "4 L" "0.20 mL/L" --medium f/2 --doses 0.5')
    assert answer["nitrogen_umol_per_l"] == pytest.approx(882 / 2, rel=1e-3)  # three printed digits
    assert answer["phosphorus_umol_per_l"] == pytest.approx(36.2 / 2, rel=2e-3)


@pytest.mark.parametrize("cells", [0, 1, 17, 184])
def test_the_interval_of_a_count_is_the_exact_one(cells: int) -> None:
    # independent route: chi-square quantiles of scipy (Garwood 1936)
    answer = figures(f"count {cells} --squares 4 --dilution 10")
    per_ml = 10 / 4e-4
    low = stats.chi2.ppf(0.025, 2 * cells) / 2 if cells else 0.0
    assert answer["low_per_ml"] == pytest.approx(low * per_ml, rel=1e-9)
    assert answer["high_per_ml"] == pytest.approx(stats.chi2.ppf(0.975, 2 * cells + 2) / 2 * per_ml, rel=1e-9)


def test_bleach_always_shows_its_cautions() -> None:
    result = typed("reckon", "bleach", "4 L", "200 mg/L", "--percent", "5.25")
    assert result.exit_code == 0
    assert "ammonia" in result.stdout
    assert result.stdout.count("caution") >= 3
    answer = figures('bleach "4 L" "200 mg/L" --percent 5.25')
    by_hand_ml = 4 * 200 / (10 * 5.25 * 70.906 / 74.442)  # molar masses of Cl2 and NaOCl
    assert answer["bleach_ml"] == pytest.approx(by_hand_ml, rel=1e-4)  # the ratio is kept to four digits
    assert len(answer["cautions"]) == 5  # type: ignore[arg-type]


def test_light_from_lux_and_from_photons_agree() -> None:
    by_lux = figures('light "4000 lux" --hours "12 h" --lamp-on 20')
    by_photons = figures(f'light "{by_lux["par_umol_per_m2_s"]:g} umol/m2/s" --hours "12 h" --lamp-on 20')
    assert by_photons["light_lux"] == pytest.approx(4000.0, rel=1e-5)  # six digits were typed
    assert (by_lux["lamp_on"], by_lux["lamp_off"]) == ("20:00", "08:00")


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ('dose "1,5 L" "0.2 mL/L"', "bad-quantity"),
        ('dose "1 500 mL" "0.2 mL/L"', "bad-quantity"),
        ('dose "4 g" "0.2 mL/L"', "wrong-dimension"),
        ('dose "4 L" "0.2 mL/L" --medium f2', "unknown-medium"),
        ('salt "4 L" "60 psu"', "out-of-range"),
        ('salt "0 L" "26 psu"', "out-of-range"),
        ('salt "4 L" "26 psu" --hydration 0.9', "out-of-range"),
        ('salt "4 L" "1.5 SG"', "out-of-range"),
        ('salinity "1.020 SG" --hydrometer 25/25', "bad-hydrometer"),
        ('dilute "4 L" "35 psu" --from "26 psu"', "out-of-range"),
        ('topup "4 L" "26 psu" "28 psu"', "out-of-range"),
        ("count 99999999", "out-of-range"),
        ("count 5 --squares 0", "out-of-range"),
        ("count 5 --confidence 1", "out-of-range"),
        ('bleach "4 L" "25 mg/L" --percent 0', "out-of-range"),
        ('light "4000 lux" --hours "30 h"', "out-of-range"),
        ('light "4000 lux" --lamp-on 24', "out-of-range"),
    ],
)
def test_what_can_not_be_reckoned_is_refused(line: str, code: str) -> None:
    assert refused(line) == code


@pytest.mark.parametrize(
    ("line", "code"),
    [
        ('bleach "4 L" "5000 mg/L" --percent 5.25', "unusual-bleach"),
        ('bleach "4 L" "25 mg/L" --percent 0.5', "unusual-bleach"),
        ('dose "4 L" "20 mL/L"', "unusual-dose"),
        ('dose "4 L" "2 mL/L" --medium f/2', "unusual-dose"),
        ('dose "4 L" "0.20 mL/L" --doses 5', "unusual-feed"),
        ('starter "500 mL" "2e7 cells/mL"', "unusual-density"),
        ('starter "500 mL" "2e6 cells/mL" --fill "40 L"', "unusual-vessel"),
        ('inoculum "4 L" --from "1e9 cells/mL" --share 0.2', "unusual-density"),
        ("count 184 --squares 0.01 --dilution 10", "unusual-density"),
        ('salt "4 L" "26 psu" --hydration 0.2', "unusual-salt"),
        ('light "4000 lux" --hours "1.4 h"', "unusual-photoperiod"),
    ],
)
def test_an_unusual_figure_is_answered_with_a_warning(line: str, code: str) -> None:
    (warning_object,) = figures(line)["warnings"]  # type: ignore[misc, union-attr]
    assert warning_object["code"] == code
    shown = typed("reckon", *shlex.split(line)).stdout
    assert f"[{code}]" in shown
    assert "slip?" in shown


@pytest.mark.parametrize(
    "line",
    [
        'starter "500 mL" "8e9 cells/mL"',
        'dose "4 L" "0.02 mL/L" --medium f/2',
        'dose "4 L" "0.20 mL/L" --doses 50',
        "count 184 --squares 0.0001 --dilution 1000",
    ],
)
def test_an_impossible_figure_is_refused(line: str) -> None:
    assert refused(line) == "out-of-range"


@pytest.mark.parametrize("example", [example for *_, example in RECKONINGS])
def test_no_example_has_anything_unusual(example: str) -> None:
    assert "warnings" not in figures(example.removeprefix("greenrota reckon "))


@pytest.mark.parametrize(
    "line", ['dose "1e99 L" "0.2 mL/L" --doses 2', 'bleach "1e99 L" "1e-99 mg/L" --percent 1']
)
def test_absurd_figures_still_get_an_answer(line: str) -> None:
    assert figures(line)


def test_us_units_stand_beside_metric_ones() -> None:
    result = typed("reckon", "salt", "1 gal", "26 psu", "--units", "us")
    assert "3.79 L (1.00 US gal)" in result.stdout
    assert " oz)" in result.stdout
