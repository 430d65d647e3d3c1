"""Broths: nothing is made or lost by growing, dosing, drawing and mixing, and the lowest ceiling counts."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_broths import DAYS, RATES_PER_DAY, STRAINS, broths, holdings
from scipy.integrate import solve_ivp

from greenrota.culture.data.strain import Strain, strains
from greenrota.culture.growth.broth import (
    Broth,
    bench_ceiling_per_ml,
    ceiling,
    ceiling_per_ml,
    days_to_share,
    diluted,
    dose,
    draw,
    grow,
    leftover_umol_l,
    mix,
    seawater,
)

TETRASELMIS = strains()["tetraselmis"]
FED = Broth(4.0, 1e5, 882.0, 36.0, 106.0, 26.0)


@given(broths(), broths())
def test_mixing_conserves_everything(first: Broth, second: Broth) -> None:
    poured = [a + b for a, b in zip(holdings(first), holdings(second), strict=True)]
    both = mix(first, second)
    assert holdings(both) == pytest.approx(poured, rel=1e-12)
    assert both.lag_days == max(first.lag_days, second.lag_days)


@given(broths(), st.floats(0.001, 40.0), st.floats(0.0, 42.0))
def test_diluting_is_mixing_with_seawater_to_the_last_digit(
    broth: Broth, seawater_l: float, salinity_psu: float
) -> None:
    mixed = mix(broth, seawater(seawater_l, salinity_psu))
    assert diluted(broth, seawater_l, salinity_psu) == mixed


def test_nothing_is_no_broth_to_dilute() -> None:
    with pytest.raises(ValueError, match="both volumes are zero"):
        diluted(draw(FED, 4.0), 0.0, 26.0)


@given(broths(), STRAINS, st.floats(0.5, 20.0))
def test_the_density_of_a_ceiling_is_the_same_without_its_name(
    broth: Broth, strain: Strain, fill_l: float
) -> None:
    assert ceiling_per_ml(broth, strain, fill_l) == ceiling(broth, strain, fill_l).per_ml


@given(broths(), st.floats(0.0, 1.0))
def test_splitting_and_pouring_back_changes_nothing(broth: Broth, share: float) -> None:
    part = broth._replace(volume_l=broth.volume_l * share)
    rest = draw(broth, broth.volume_l * share)
    assert rest.density_per_ml == broth.density_per_ml
    again = mix(part, rest)
    assert holdings(again) == pytest.approx(holdings(broth), rel=1e-12)
    assert again.lag_days == broth.lag_days


@given(broths(), *[st.floats(0.0, 1e5)] * 3)
def test_a_dose_adds_what_was_poured_and_no_more(broth: Broth, n: float, p: float, si: float) -> None:
    litres, cells, nitrogen, phosphorus, silicon, salt = holdings(broth)
    after = holdings(dose(broth, n, p, si))
    expected = (litres, cells, nitrogen + n, phosphorus + p, silicon + si, salt)
    assert after == pytest.approx(expected, rel=1e-12, abs=1e-9)


@given(broths(), STRAINS, RATES_PER_DAY, DAYS, DAYS, st.floats(0.3, 20.0))
def test_growing_a_and_then_b_days_is_growing_both(
    broth: Broth, strain: Strain, rate: float, a: float, b: float, fill_l: float
) -> None:
    top = ceiling(broth, strain, fill_l).per_ml
    stepwise = grow(grow(broth, top, rate, a), top, rate, b)
    at_once = grow(broth, top, rate, a + b)
    assert stepwise.density_per_ml == pytest.approx(at_once.density_per_ml, rel=1e-7)  # K - N cancels near K
    assert stepwise.lag_days == pytest.approx(at_once.lag_days, abs=1e-12)
    low, high = sorted((broth.density_per_ml, top))
    slack = 1e-7  # K - N cancels as above, most where one is thousands of times the other
    assert low * (1 - slack) <= at_once.density_per_ml <= high * (1 + slack)
    assert at_once._replace(density_per_ml=0.0, lag_days=0.0) == broth._replace(
        density_per_ml=0.0, lag_days=0.0
    )


@given(broths(), STRAINS, st.floats(0.3, 20.0))
def test_the_ceiling_is_the_scarcest_of_all(broth: Broth, strain: Strain, fill_l: float) -> None:
    found = ceiling(broth, strain, fill_l)
    # 1 umol/L is 1e-9 mol/mL; a cell of q pmol holds q * 1e-12 mol
    built = {"bench": bench_ceiling_per_ml(strain, fill_l)}
    for name, umol_l, pmol in (
        ("nitrogen", broth.nitrogen_umol_l, strain.n_pmol),
        ("phosphorus", broth.phosphorus_umol_l, strain.p_pmol),
        ("silicon", broth.silicon_umol_l, strain.si_pmol),
    ):
        if pmol > 0.0:
            built[name] = umol_l * 1e-9 / (pmol * 1e-12)
    assert found.per_ml == pytest.approx(min(built.values()), rel=1e-12)
    assert built[found.by] == pytest.approx(min(built.values()), rel=1e-12)


def test_a_diatom_without_silicate_has_no_ceiling_and_others_do_not_care() -> None:
    bare = FED._replace(silicon_umol_l=0.0)
    assert ceiling(bare, strains()["chaetoceros"], 4.0) == (0.0, "silicon")
    assert ceiling(bare, TETRASELMIS, 4.0) == ceiling(FED, TETRASELMIS, 4.0)


def test_the_bench_ceiling_falls_with_the_vessel_as_its_source_says() -> None:
    # Dang & Pham: peak density on volume, log-log slope -0.4 (rounded): 2 ** -0.4 = 0.75786, by hand
    at_4, at_8 = bench_ceiling_per_ml(TETRASELMIS, 4.0), bench_ceiling_per_ml(TETRASELMIS, 8.0)
    assert at_4 == TETRASELMIS.ceiling_per_ml
    assert at_8 / at_4 == pytest.approx(0.75786, abs=5e-6)


@given(broths(), st.floats(0.05, 0.99), RATES_PER_DAY, st.floats(1e3, 1e8))
def test_days_to_share_is_when_the_share_is_reached(
    broth: Broth, share: float, rate: float, top: float
) -> None:
    days = days_to_share(broth, share, top, rate)
    if math.isinf(days):
        assert broth.density_per_ml == 0.0 or rate < 1e-300  # a rate so small that its days overflow
    elif days == 0.0:
        assert broth.density_per_ml >= share * top
    else:
        assert days > broth.lag_days
        there = grow(broth, top, rate, days).density_per_ml
        assert there == pytest.approx(share * top, rel=1e-6)  # huge ratios of start to goal lose digits


def test_a_share_that_growth_never_reaches() -> None:
    assert days_to_share(FED, 1.0, 1e6, 0.5) == math.inf
    assert days_to_share(FED, 0.8, 1e6, 0.0) == math.inf


def test_no_more_is_drawn_than_there_is() -> None:
    assert draw(FED, 4.0).volume_l == 0.0
    assert draw(FED, 4.0 + 5e-10).volume_l == 0.0
    with pytest.raises(ValueError, match=r"4\.1 L"):
        draw(FED, 4.1)
    with pytest.raises(ValueError, match="nothing to mix"):
        mix(seawater(0.0, 26.0), draw(FED, 4.0))


def test_what_is_left_dissolved_when_cells_hold_their_quota() -> None:
    # by hand: 1e5 cells/mL x 0.75 pmol = 75 umol/L of N, x 0.027 = 2.7 umol/L of P
    assert leftover_umol_l(FED, TETRASELMIS) == pytest.approx((882.0 - 75.0, 36.0 - 2.7))
    assert leftover_umol_l(FED._replace(density_per_ml=1e8), TETRASELMIS) == (0.0, 0.0)


@settings(max_examples=20)
@given(
    st.floats(1e4, 2e6),
    st.floats(0.05, 1.2),
    st.lists(
        st.tuples(
            st.floats(0.2, 5.0), st.sampled_from(("dose", "draw", "top up", "pour in")), st.floats(0.05, 0.9)
        ),
        min_size=1,
        max_size=6,
    ),
)
def test_a_random_life_against_an_integrator(
    start: float, rate: float, life: list[tuple[float, str, float]]
) -> None:
    """Independent route: amounts (cells, umol, L) as plain numbers, growth by scipy's DOP853."""
    broth = Broth(4.0, start, 300.0, 20.0, 0.0, 26.0)
    litres, cells, nitrogen = 4.0, start * 4000.0, 1200.0
    for days, event, size in life:
        broth = grow(broth, ceiling(broth, TETRASELMIS, 4.0).per_ml, rate, days)
        top = min(TETRASELMIS.ceiling_per_ml, nitrogen / litres * 1e-9 / 0.75e-12, 1e12)
        cells = _grown(cells, top * litres * 1000.0, rate, days)
        if event == "dose":
            broth, nitrogen = dose(broth, 4000.0 * size, 400.0 * size, 0.0), nitrogen + 4000.0 * size
        elif event == "draw":
            broth = draw(broth, broth.volume_l * size)
            litres, cells, nitrogen = (x * (1.0 - size) for x in (litres, cells, nitrogen))
        elif event == "top up":
            broth, litres = mix(broth, seawater(size, 26.0)), litres + size
        else:
            broth = mix(broth, Broth(size, 2e6, 1500.0, 54.0, 0.0, 26.0))
            litres, cells, nitrogen = litres + size, cells + 2e6 * 1000.0 * size, nitrogen + 1500.0 * size
    assert broth.volume_l == pytest.approx(litres, rel=1e-9)
    assert broth.density_per_ml == pytest.approx(
        cells / litres / 1000.0, rel=1e-6
    )  # DOP853 at 1e-10 a stretch
    assert broth.nitrogen_umol_l == pytest.approx(nitrogen / litres, rel=1e-9)


def _grown(cells: float, most: float, rate: float, days: float) -> float:
    solved = solve_ivp(
        lambda _, y: rate * (1.0 - math.exp(y[0]) / most),
        (0.0, days),
        [math.log(cells)],
        method="DOP853",
        rtol=1e-10,
        atol=1e-10,
    )
    return math.exp(float(solved.y[0, -1]))
