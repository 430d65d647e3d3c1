"""Broths and what can be done to them, for generated tests."""

from __future__ import annotations

from hypothesis import strategies as st

from greenrota.culture.data.strain import strains
from greenrota.culture.growth.broth import Broth

STRAINS = st.sampled_from(sorted(strains())).map(lambda name: strains()[name])
VOLUMES_L = st.floats(0.05, 50.0)
DENSITIES_PER_ML = st.one_of(st.just(0.0), st.floats(1.0, 1e8))
UMOL_L = st.one_of(st.just(0.0), st.floats(0.1, 2e4))
RATES_PER_DAY = st.one_of(
    st.just(0.0), st.floats(1e-6, 3.0)
)  # slower than that is not told from standing still
DAYS = st.floats(0.0, 60.0)
LAGS = st.one_of(st.just(0.0), st.floats(0.0, 6.0))


@st.composite
def broths(draw: st.DrawFn) -> Broth:
    """Any culture a bench may hold, empty of cells now and then."""
    return Broth(
        volume_l=draw(VOLUMES_L),
        density_per_ml=draw(DENSITIES_PER_ML),
        nitrogen_umol_l=draw(UMOL_L),
        phosphorus_umol_l=draw(UMOL_L),
        silicon_umol_l=draw(UMOL_L),
        salinity_psu=draw(st.floats(0.0, 45.0)),
        lag_days=draw(LAGS),
    )


def holdings(broth: Broth) -> tuple[float, float, float, float, float, float]:
    """What is in a broth as amounts: L, cells (1e3), N, P, Si (umol) and salt (psu x L)."""
    litres = broth.volume_l
    return (
        litres,
        broth.density_per_ml * litres,
        broth.nitrogen_umol_l * litres,
        broth.phosphorus_umol_l * litres,
        broth.silicon_umol_l * litres,
        broth.salinity_psu * litres,
    )
