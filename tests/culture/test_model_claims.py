"""Figures that the model page states in words, each by a route of its own.

Truth: a reference library for seawater (gsw, TEOS-10), exact sums over textbook distributions (scipy), and a titration
factor in print.
"""

from __future__ import annotations

import gsw
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from greenrota.culture.bench.sanitation import thiosulphate
from greenrota.culture.fit.course import Reading
from greenrota.culture.fit.tally import Noise, observed_score
from greenrota.culture.growth.broth import mix, seawater
from greenrota.culture.water.seawater import Hydrometer, salinity_from_gravity

LOOKED_AT_ML = 4e-4  # four large squares


@given(
    st.floats(0.05, 0.95), st.floats(15.0, 40.0), st.floats(-10.0, 10.0), st.sampled_from((15.0, 22.0, 28.0))
)
def test_mixing_by_volume_is_off_by_less_than_the_page_says(
    share: float, one_psu: float, apart_psu: float, water_c: float
) -> None:
    """By mass, with densities of TEOS-10: the litres that come out, and the salt in them."""
    other_psu = max(15.0, one_psu + apart_psu)
    parts = ((share, one_psu), (1.0 - share, other_psu))
    masses = [litres * float(gsw.rho_t_exact(gsw.SR_from_SP(psu), water_c, 0.0)) for litres, psu in parts]
    salt = sum(mass * psu for mass, (_, psu) in zip(masses, parts, strict=True)) / sum(masses)
    litres = sum(masses) / float(gsw.rho_t_exact(gsw.SR_from_SP(salt), water_c, 0.0))
    ours = mix(seawater(share, one_psu), seawater(1.0 - share, other_psu))
    assert ours.volume_l == pytest.approx(litres, rel=1e-3)  # the page: below 0.1 %
    assert ours.salinity_psu == pytest.approx(salt, rel=1e-3)


def test_what_a_reading_is_worth() -> None:
    """The page: 0.001 SG is about 1.3 psu, a sample 1 degC off about 0.4 psu."""
    absolute, water = gsw.SR_from_SP(np.array([26.0, 27.0])), gsw.rho_t_exact(0.0, 25.0, 0.0)
    per_psu = np.diff(gsw.rho_t_exact(absolute, 25.0, 0.0))[0] / water
    assert 0.001 / per_psu == pytest.approx(1.3, abs=0.05)  # the page's last digit
    warmer = np.diff(gsw.rho_t_exact(absolute[0], np.array([25.0, 26.0]), 0.0))[0] / water
    assert -warmer / per_psu == pytest.approx(0.4, abs=0.05)
    meter = Hydrometer(25.0, 25.0)
    ours = salinity_from_gravity(1.021, meter, 25.0) - salinity_from_gravity(1.020, meter, 25.0)
    assert ours == pytest.approx(
        0.001 / per_psu, rel=0.01
    )  # EOS-80 beside TEOS-10, and the bend of the curve


@pytest.mark.parametrize(
    ("expected", "handling"), [(5, 0.0), (40, 0.0), (400, 0.0), (40, 0.1), (400, 0.1), (400, 0.3)]
)
def test_a_score_has_unit_variance_whatever_is_counted(expected: int, handling: float) -> None:
    """Summed exactly over Poisson counts, or over those with a gamma-spread mean, whose variance is L + h^2 L^2."""
    cells = np.arange(0, 20 * expected + 200)
    if handling:
        size = 1.0 / handling**2
        chance = stats.nbinom.pmf(cells, size, size / (size + expected))
    else:
        chance = stats.poisson.pmf(cells, expected)
    noise = Noise(handling=handling)
    score = np.array([observed_score(Reading(0.0, n / LOOKED_AT_ML, LOOKED_AT_ML), noise) for n in cells])
    mean = float(chance @ score)
    assert float(chance.sum()) == pytest.approx(1.0, abs=1e-9)
    # 10 %: what Anscombe's scale leaves at a mean of five; a wide gamma is not quite the spread it was made for
    assert float(chance @ (score - mean) ** 2) == pytest.approx(1.0, rel=0.1)


def test_the_most_thiosulphate_against_a_titration_factor() -> None:
    """Published: 1 mL of 0.1 N thiosulphate takes 3.54 mg of active chlorine (FAO hatchery manual x3980e, Annex 7).

    By hand: 1 mL of 0.1 N is 0.1 mmol of Na2S2O3 5H2O, 248.18 g/mol, so 24.82 mg.
    """
    told = thiosulphate(1.0, 3.54)
    assert 1000.0 * told.ceiling_g == pytest.approx(24.82, rel=5e-3)  # three digits of the factor
