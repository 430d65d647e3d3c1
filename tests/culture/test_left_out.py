"""How far a ripe date is wrong by what the model leaves out: the days that `docs/model.md` states.

Each effect is integrated by a general-purpose solver (scipy) or in plain small steps, next to the logistic law, for a
Tetraselmis jar with the shipped rate and ceiling. Both have the same rate while thin and the same ceiling; only the way
between differs.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy import integrate, optimize

from greenrota.culture.data.strain import strains
from greenrota.culture.growth.carbon import CARBON_G_PER_MOL, air_flow_l_per_min, supply_mg_per_day
from greenrota.culture.growth.light import par_umol_per_m2_s

TETRASELMIS = strains()["tetraselmis"]
RATE, TOP = TETRASELMIS.rate_per_day, TETRASELMIS.ceiling_per_ml
RIPE = 0.8
STARTS = (0.05, 0.1, 0.2, 0.4)  # thin to usual carry-over, as shares of the ceiling


def logistic_days(start_share: float, rate: float = RATE) -> float:
    return math.log(RIPE / (1.0 - RIPE) * (1.0 / start_share - 1.0)) / rate


def ripe_days(log_growth: Callable[[float, float], float], start_share: float, step: float = np.inf) -> float:
    """Days to the ripe density under a law for d ln(density) / dt of (days, density)."""

    def ripe(_: float, y: np.ndarray) -> float:
        return float(y[0]) - math.log(RIPE * TOP)

    ripe.terminal = True  # type: ignore[attr-defined]
    way = integrate.solve_ivp(
        lambda t, y: [log_growth(t, math.exp(y[0]))], (0.0, 200.0), [math.log(start_share * TOP)],
        events=ripe, max_step=step, rtol=1e-7, atol=1e-9,
    )  # fmt: skip
    return float(way.t_events[0][0])


NIGHT_LOSS = 0.18  # published: share of the density lost in a night, P. tricornutum outdoors, Acien 2003


def apart_by_day_and_night(light_h: float, night_loss: float) -> tuple[float, float]:
    """The earliest and the latest ripe day against the averaged rate, whatever the hour of the filling."""
    by_night = -math.log(1.0 - night_loss)  # lost a night, on the log
    by_light = (RATE + by_night) * 24.0 / light_h
    by_dark = -by_night * 24.0 / (24.0 - light_h)

    def apart(start_share: float, hour: float) -> float:
        def growth(days: float, density: float) -> float:
            lit = (24.0 * days + hour) % 24.0 < light_h
            return (by_light if lit else by_dark) * (1.0 - density / TOP)

        return ripe_days(growth, start_share, step=0.04) - logistic_days(start_share)

    found = [apart(share, hour) for share in STARTS for hour in (0.0, 6.0, 12.0, 16.0, 20.0)]
    return min(found), max(found)


@pytest.mark.parametrize("light_h", [16.0, 12.0])
def test_day_and_night_move_a_ripe_day_by_less_than_the_dark_hours(light_h: float) -> None:
    # by hand: all growth in the light runs ahead of the mean by (24 - light) / 24 of a day's growth at most
    dark_days = (24.0 - light_h) / 24.0
    early, late = apart_by_day_and_night(light_h, 0.0)
    assert -dark_days - 0.01 <= early < -0.7 * dark_days  # 0.01: the solver's steps over the switch
    assert 0.7 * dark_days < late <= dark_days + 0.01


@pytest.mark.parametrize(("light_h", "stated_days"), [(16.0, 0.7), (12.0, 0.9)])
def test_a_loss_by_night_adds_to_it(light_h: float, stated_days: float) -> None:
    early, late = apart_by_day_and_night(light_h, NIGHT_LOSS)
    assert stated_days - 0.2 < max(-early, late) < stated_days


DEPTH_M = 0.15  # our choice: through a jar of 4 L
WATER_PER_M = 0.2  # attenuation of the water itself, from memory; next to nothing beside the cells
CHLOROPHYLL_SHARE = 0.011  # published: median of dry weight, Finkel et al. 2016
DRY_PG = 168.0  # T. suecica, Brown 1991, from memory
ABSORBED_M2_PER_MG = 0.02  # of chlorophyll a, from memory
PER_CELL_M2 = ABSORBED_M2_PER_MG * CHLOROPHYLL_SHARE * DRY_PG * 1e-9  # 3.7e-11
HALF_LIGHT_UMOL = 50.0  # half-saturation of growth, umol/m2/s, from memory


def shaded(lux: float) -> Callable[[float, float], float]:
    """Growth by the mean light of the jar (Beer-Lambert), less a loss that makes the shipped ceiling its end."""

    def lit(density: float) -> float:
        through = (WATER_PER_M + PER_CELL_M2 * density * 1e6) * DEPTH_M
        light = par_umol_per_m2_s(lux) * -math.expm1(-through) / through
        return light / (light + HALF_LIGHT_UMOL)

    left = lit(TOP) / lit(1.0)
    loss = RATE * left / (1.0 - left)
    best = (RATE + loss) / lit(1.0)
    return lambda _, density: best * lit(density) - loss


@pytest.mark.parametrize(
    ("lux", "least", "most"), [(2500.0, 4.0, 6.0), (5000.0, 2.5, 4.0), (10_000.0, 1.5, 2.5)]
)
def test_self_shading_with_the_rate_of_a_thin_culture(lux: float, least: float, most: float) -> None:
    assert pytest.approx(3.7e-11, rel=0.01) == PER_CELL_M2
    late = [ripe_days(shaded(lux), share) - logistic_days(share) for share in STARTS]
    assert all(least < days < most for days in late), late


@pytest.mark.parametrize(("lux", "most"), [(2500.0, 1.3), (5000.0, 1.1), (10_000.0, 0.8)])
def test_self_shading_once_rate_and_ceiling_are_fitted(lux: float, most: float) -> None:
    """Counts every second day of a shaded batch, fitted by the logistic; then the next batch, from any start."""
    growth = shaded(lux)

    def course(start_share: float, days: np.ndarray) -> np.ndarray:
        way = integrate.solve_ivp(
            lambda t, y: [growth(t, math.exp(y[0]))], (0.0, 60.0), [math.log(start_share * TOP)],
            t_eval=days, rtol=1e-9, atol=1e-11,
        )  # fmt: skip
        return np.asarray(way.y[0])

    def law(t: np.ndarray, top: float, rate: float, start: float) -> np.ndarray:
        return np.asarray(
            top + start - np.log(np.exp(start) + (np.exp(top) - np.exp(start)) * np.exp(-rate * t))
        )

    days = np.arange(0.0, 25.0, 2.0)
    guess = [math.log(TOP), RATE, math.log(0.1 * TOP)]
    (log_top, rate, _), _ = optimize.curve_fit(law, days, course(0.1, days), guess)
    fine = np.linspace(0.0, 60.0, 6001)
    late = []
    for share in STARTS:
        true = float(np.interp(math.log(RIPE) + log_top, course(share, fine), fine))
        late.append(true - logistic_days(share * TOP / math.exp(log_top), rate))
    assert min(late) > 0.0
    assert most - 0.3 < max(late) < most, late


LITRES = 4.0
DIC_TO_PH_9_6_UMOL = (
    800.0  # computed with a carbonate library: 800 umol/kg taken up at S 26.6 lead to pH 9.59
)


def carbon_days(dissolved_share: float, start_share: float) -> tuple[float, float]:
    """Ripe day, and the most carbonate taken up (umol/L), if this share of the air's carbon dioxide dissolves.

    Growth takes what it needs from the air's supply first, then from the carbonate down to pH 9.6; after that it goes
    at the pace of the supply.
    """
    supply = dissolved_share * supply_mg_per_day(air_flow_l_per_min(LITRES), 22.0) / LITRES  # mg/L/day
    per_cell = TETRASELMIS.carbon_pg * 1e-6  # mg/L of carbon for 1 cell/mL
    pool = full = DIC_TO_PH_9_6_UMOL * CARBON_G_PER_MOL * 1e-3  # mg/L
    cells, day, least, step = start_share * TOP, 0.0, full, 1e-3
    while cells < RIPE * TOP:  # plain steps of a thousandth of a day, no solver: the pool has two ends
        wanted = RATE * cells * (1.0 - cells / TOP)
        grown = wanted if pool > 0.0 else min(wanted, supply / per_cell)
        pool = min(full, pool + (supply - grown * per_cell) * step)
        cells, day, least = cells + grown * step, day + step, min(least, pool)
    return day, (full - max(0.0, least)) / CARBON_G_PER_MOL * 1e3


@pytest.mark.parametrize("start_share", STARTS)
def test_carbon_while_a_fifth_or_a_tenth_of_the_gas_dissolves(start_share: float) -> None:
    plenty, taken = carbon_days(0.2, start_share)
    assert plenty == pytest.approx(logistic_days(start_share), abs=0.02)  # the steps
    assert taken < 50.0
    scarce, taken = carbon_days(0.1, start_share)
    assert scarce == pytest.approx(logistic_days(start_share), abs=0.02)
    assert 500.0 < taken < DIC_TO_PH_9_6_UMOL  # pH 9 and more, but growth is not held up


def test_carbon_when_a_twentieth_of_the_gas_dissolves() -> None:
    late = [carbon_days(0.05, share)[0] - logistic_days(share) for share in STARTS]
    assert min(late) > 2.0
    assert 5.0 < max(late) < 6.0, late
