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

from greenrota.culture.broth import mix, seawater
from greenrota.culture.course import Reading
from greenrota.culture.sanitation import thiosulphate
from greenrota.culture.seawater import Hydrometer, salinity_from_gravity
from greenrota.culture.tally import Noise, observed_score

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
