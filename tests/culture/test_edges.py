"""The edges of what a formula holds for: the last figure inside is taken, the first outside is refused.

Figures derived by hand, the reckoning beside each.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from greenrota.culture.bench.count import CONFIDENCE_MAX, count_density, poisson_interval
from greenrota.culture.bench.dose import dose_ml
from greenrota.culture.bench.inoculum import lag_days
from greenrota.culture.bench.sanitation import bleach_ml, thiosulphate
from greenrota.culture.data.medium import media, own_medium
from greenrota.culture.data.strain import Source, strains
from greenrota.culture.fit.course import Reading
from greenrota.culture.fit.tally import looked_at_ml
from greenrota.culture.growth.broth import Broth, ceiling, days_to_share, dose, draw, grow, seawater
from greenrota.culture.growth.carbon import (
    air_flow_l_per_min,
    carbon_share,
    demand_mg_per_day,
    fastest_growth_per_ml_day,
    supply_mg_per_day,
)
from greenrota.culture.growth.light import daily_light_mol, lux_from_par, par_umol_per_m2_s
from greenrota.culture.growth.logistic import density, sawtooth_peak_share
from greenrota.culture.water.saltmix import dilution, salt_g, top_up_l

TETRASELMIS = strains()["tetraselmis"]
INF = math.inf

TAKEN: list[tuple[str, Callable[[], float], float]] = [
    ("no water, no air", lambda: air_flow_l_per_min(0.0), 0.0),
    ("half a litre at 1 vvm", lambda: air_flow_l_per_min(0.5, 1.0), 0.5),
    ("no air", lambda: air_flow_l_per_min(4.0, 0.0), 0.0),
    ("no flow", lambda: supply_mg_per_day(0.0, 22.0), 0.0),
    ("air without carbon", lambda: supply_mg_per_day(1.0, 22.0, 0.0), 0.0),
    ("half a ppm is half of 1 ppm", lambda: supply_mg_per_day(1.0, 22.0, 0.5) / supply_mg_per_day(1.0, 22.0, 1.0), 0.5),
    ("no growth", lambda: demand_mg_per_day(0.0, 0.0, 0.0), 0.0),
    ("1e5 x 500 mL x 60e-12 g", lambda: demand_mg_per_day(1e5, 0.5, 60.0), 3.0),
    ("no rate", lambda: fastest_growth_per_ml_day(0.0, 1e6), 0.0),
    ("no ceiling", lambda: fastest_growth_per_ml_day(0.5, 0.0), 0.0),
    ("0.5 x 0.5 / 4", lambda: fastest_growth_per_ml_day(0.5, 0.5), 0.0625),
    ("1 mg asked of 0.5 mg", lambda: carbon_share(1.0, 0.5), 2.0),
    ("0.75 of the 1.5 days past fresh, of 4 days", lambda: lag_days(3.75, 4.5), 2.0),
    ("all kept: nothing is taken, so the ceiling is reached", lambda: sawtooth_peak_share(1.0, 2.0, 0.5), 1.0),
    ("half a square, 1 cell in 5e-5 mL", lambda: count_density(1, 0.5, 1.0).density_per_ml, 2e4),
    ("bleach as it is", lambda: bleach_ml(4.0, 47_625.0, 5.0), 4000.0),
    ("bleach of 15 %: 142,875 mg/L", lambda: bleach_ml(4.0, 142_875.0, 15.0), 4000.0),
    ("7 g per g of chlorine, 0.1 g", lambda: thiosulphate(4.0, 25.0).ceiling_g, 0.7),
    ("no chlorine", lambda: thiosulphate(4.0, 0.0).ceiling_g, 0.0),
    ("30 % bound water", lambda: salt_g(1.0, 35.0, 25.0, 0.3) / salt_g(1.0, 35.0, 25.0, 0.0), 1.0 / 0.7),
    ("nothing to dilute", lambda: dilution(4.0, 35.0, 35.0, 25.0).strong_l, 4.0),
    ("nothing to dilute with", lambda: dilution(4.0, 35.0, 35.0, 25.0).fresh_l, 0.0),
    ("nothing to top up", lambda: top_up_l(4.0, 30.0, 30.0, 25.0), 0.0),
    ("36 umol/m2/s over 57,600 s", lambda: daily_light_mol(36.0, 16.0), 2.0736),
    ("strength 1 unless told", lambda: dose_ml(4.0, 0.25), 1.0),
    ("only nitrate", lambda: own_medium("mine", 600.0, 0.0).phosphorus_umol_l, 0.0),
    ("only phosphate", lambda: own_medium("mine", 0.0, 30.0).nitrogen_umol_l, 0.0),
]  # fmt: skip


@pytest.mark.parametrize(("reckoned", "figure"), [row[1:] for row in TAKEN], ids=[row[0] for row in TAKEN])
def test_the_last_figure_inside_is_taken(reckoned: Callable[[], float], figure: float) -> None:
    assert reckoned() == pytest.approx(figure, rel=1e-9, abs=1e-12)  # a few roundings of a float


REFUSED: list[tuple[str, Callable[[], object]]] = [
    ("below zero", lambda: air_flow_l_per_min(4.0, -0.1)),
    ("below zero", lambda: supply_mg_per_day(1.0, 22.0, -1.0)),
    ("absolute zero", lambda: supply_mg_per_day(1.0, -273.15)),
    ("below zero", lambda: demand_mg_per_day(1e5, -4.0, 60.0)),
    ("below zero", lambda: demand_mg_per_day(1e5, 4.0, -60.0)),
    ("below zero", lambda: fastest_growth_per_ml_day(0.5, -1.0)),
    ("below zero", lambda: carbon_share(1.0, -1.0)),
    ("light of -1.0 lux", lambda: par_umol_per_m2_s(-1.0)),
    ("light of -1.0 umol/m2/s", lambda: lux_from_par(-1.0)),
    ("light of -1.0 umol/m2/s", lambda: daily_light_mol(-1.0, 12.0)),
    ("light of inf lux", lambda: par_umol_per_m2_s(INF)),
    ("squares", lambda: count_density(1, INF, 1.0)),
    ("dilution", lambda: count_density(1, 1.0, INF)),
    ("bleach of 0", lambda: bleach_ml(4.0, 0.0, 0.0)),
    ("more than bleach", lambda: bleach_ml(4.0, 47_660.0, 5.0)),
    ("volume", lambda: bleach_ml(INF, 200.0, 5.0)),
    ("chlorine", lambda: thiosulphate(4.0, INF)),
    ("cannot be below zero", lambda: own_medium("mine", 600.0, -1.0)),
    ("cannot be below zero", lambda: own_medium("mine", 600.0, 30.0, -1.0)),
]


@pytest.mark.parametrize(("told", "reckoned"), REFUSED)
def test_the_first_figure_outside_is_refused(told: str, reckoned: Callable[[], object]) -> None:
    with pytest.raises(ValueError, match=told):
        reckoned()


def test_a_small_vessel_is_topped_up_like_a_large_one() -> None:
    # by proportion: an eighth of the water takes an eighth of the top-up
    assert 8.0 * top_up_l(0.5, 36.0, 30.0, 25.0) == pytest.approx(top_up_l(4.0, 36.0, 30.0, 25.0), rel=1e-12)


def test_the_widest_confidence_is_taken_and_a_narrow_one_is_narrower() -> None:
    low, high = poisson_interval(100, CONFIDENCE_MAX)
    usual, half = count_density(100, 1.0, 1.0), count_density(100, 1.0, 1.0, confidence=0.5)
    assert low < usual.low_per_ml / 1e4 < half.low_per_ml / 1e4 < 100.0
    assert 100.0 < half.high_per_ml / 1e4 < usual.high_per_ml / 1e4 < high


def test_whole_numbers_in_an_array_stay_as_they_are_on_the_day_itself() -> None:
    # by hand: no day has passed; without a ceiling there is nothing to divide by
    still = density(np.array([100_000, 0]), 0.0, 0.5, 0.0)
    assert still.tolist() == [100_000.0, 0.0]


def test_an_own_medium_has_its_figures_and_its_name() -> None:
    plain, bare = own_medium("mine", 600.0, 30.0, 5.0), own_medium("mine", 600.0, 30.0)
    assert (plain.name, plain.title, plain.compounds) == ("mine", "mine", ())
    assert (plain.nitrogen_umol_l, plain.phosphorus_umol_l, plain.silicon_umol_l) == (600.0, 30.0, 5.0)
    assert bare.silicon_umol_l == 0.0
    assert (plain.source, plain.status) == ("the plan", "our choice")


def test_a_medium_is_read_with_its_text_and_source() -> None:
    # as printed in the file: a line's own source goes before the medium's
    f2 = media()["f/2"]
    salts = {salt.name: salt for salt in f2.compounds}
    iron, nitrate, biotin = salts["iron(III) chloride hexahydrate"], salts["sodium nitrate"], salts["biotin"]
    assert (f2.name, f2.title, f2.status) == ("f/2", "f/2 with silicate", "copy")
    # by hand: 75 / 84.995, 5 / 137.992 and 30 / 284.201 mmol of salt a litre
    assert (f2.nitrogen_umol_l, f2.phosphorus_umol_l, f2.silicon_umol_l) == (
        pytest.approx(882.40, abs=0.01),
        pytest.approx(36.234, abs=0.001),
        pytest.approx(105.56, abs=0.01),
    )
    assert media()["f/2-Si"].silicon_umol_l == 0.0
    assert (nitrate.formula, nitrate.via, nitrate.delivers) == ("NaNO3", "", "nitrogen")
    assert nitrate.source == f2.source
    assert f2.source.startswith("Guillard & Ryther 1962")
    assert iron.source.startswith("as L1 (Guillard & Hargraves 1993)")
    assert (iron.via, iron.delivers, biotin.via) == ("trace", "", "vitamin")
    assert {salt.status for salt in f2.compounds if salt.name != "disodium EDTA dihydrate"} == {"copy"}


def test_a_strain_is_read_with_its_text_and_sources() -> None:
    # as printed in the file
    strain = strains()["tetraselmis"]
    assert strain.name == "tetraselmis"
    assert strain.title == "Tetraselmis (chui, suecica)"
    assert strain.group == "green flagellate"
    assert strain.rate_per_day == 0.55
    assert strain.sources["si_pmol"] == Source(
        "not a diatom; FAO 361 asks for silicate for diatoms only", "published"
    )


def test_seawater_is_bare() -> None:
    assert seawater(2.0, 35.0) == Broth(2.0, 0.0, 0.0, 0.0, 0.0, 35.0, 0.0)


FED = Broth(4.0, 1e5, 882.0, 36.0, 106.0, 26.0)


def test_days_to_a_share_by_hand() -> None:
    # by hand: odds 1e5 : 1e6 at the start, 1 : 1 at half the ceiling of 1.1e6, so ln 10 / rate, after the lag
    assert days_to_share(FED, 0.5, 1.1e6, 0.5) == pytest.approx(math.log(10.0) / 0.5, rel=1e-12)
    lagging = FED._replace(lag_days=2.0)
    assert days_to_share(lagging, 0.5, 1.1e6, 0.5) == pytest.approx(2.0 + math.log(10.0) / 0.5, rel=1e-12)
    # by hand: odds 0.25 : 0.75 at the start, 1 : 1 at half of one cell per mL
    thin = FED._replace(density_per_ml=0.25)
    assert days_to_share(thin, 0.5, 1.0, 0.5) == pytest.approx(math.log(3.0) / 0.5, rel=1e-12)
    assert days_to_share(FED, 0.25, 4e5, 0.5) == 0.0
    assert days_to_share(FED, 0.5, 0.0, 0.5) == INF
    assert days_to_share(FED, 1.0, 1.1e6, 0.5) == INF
    assert days_to_share(FED, 0.5, 1.1e6, 0.0) == INF


def test_a_bench_that_nothing_limits_is_named() -> None:
    # by hand: full f/2 builds 882 x 1000 / 0.75 = 1.18e6 cells/mL, above the bench of 1.1e6 at 4 L
    assert ceiling(FED, TETRASELMIS, 4.0) == (1.1e6, "bench")


def test_a_lag_runs_down_and_is_poured_along() -> None:
    # by hand: 2 days of lag leave 1 of 3 days to grow in; 5 leave none and 3 days of lag
    lagging = FED._replace(lag_days=2.0)
    assert grow(lagging, 1.1e6, 0.5, 3.0).lag_days == 0.0
    assert grow(lagging, 1.1e6, 0.5, 3.0).density_per_ml == pytest.approx(
        density(1e5, 1.1e6, 0.5, 1.0), rel=1e-12
    )
    assert grow(lagging, 1.1e6, 0.5, 0.5).lag_days == 1.5
    assert grow(lagging, 1.1e6, 0.5, 0.5).density_per_ml == pytest.approx(1e5, rel=1e-12)
    assert dose(lagging, 10.0, 1.0, 0.0).lag_days == 2.0
    assert draw(lagging, 1.0).lag_days == 2.0


def test_a_zero_without_cells_counts_as_four_squares() -> None:
    # our choice: four squares of 1e-4 mL; a density written down without its cells stays that
    assert looked_at_ml(Reading(0.0, 0.0)) == 4e-4
    assert looked_at_ml(Reading(0.0, 0.5)) is None
