"""Carbon: what plain air carries in a day against what growth takes up.

The supply is an upper bound, as not all of the carbon dioxide dissolves; the carbonate that seawater brings
is left out, which is on the safe side.
"""

from __future__ import annotations

CO2_PPM = 420.0  # carbon dioxide in outdoor air, 2020s, from memory; a lived-in room holds more
CARBON_G_PER_MOL = 12.011  # IUPAC abridged standard atomic weights 2021
PRESSURE_PA = 101325.0  # standard atmosphere, exact by definition
GAS_J_PER_MOL_K = 8.314462618  # molar gas constant, CODATA 2018, exact
ZERO_CELSIUS_K = 273.15  # exact by definition
MINUTES_PER_DAY = 1440.0  # exact
DEFAULT_AIR_VVM = 0.2  # litres of air per litre and minute; common practice, an optimum in Gabrielyan 2022


def air_flow_l_per_min(volume_l: float, vvm: float = DEFAULT_AIR_VVM) -> float:
    """Air flow in L/min at some volumes of air per volume of culture and minute. ValueError below zero.

    >>> round(air_flow_l_per_min(4.0), 2)
    0.8
    """
    if volume_l < 0.0 or vvm < 0.0:
        raise ValueError(f"volume {volume_l:g} L and {vvm:g} vvm cannot be below zero")
    return volume_l * vvm


def supply_mg_per_day(flow_l_per_min: float, temperature_c: float, co2_ppm: float = CO2_PPM) -> float:
    """Milligrams of carbon a day in the carbon dioxide of an air flow, if all of it dissolved.

    Flow at the room's temperature and one standard atmosphere. ValueError below zero, or at no temperature.
    Source: ideal gas law, n = pV/(RT).

    >>> round(supply_mg_per_day(1.0, 22.0) / CARBON_G_PER_MOL, 1)
    25.0
    """
    if flow_l_per_min < 0.0 or co2_ppm < 0.0:
        raise ValueError(f"flow {flow_l_per_min:g} L/min and {co2_ppm:g} ppm cannot be below zero")
    if temperature_c <= -ZERO_CELSIUS_K:
        raise ValueError(f"{temperature_c:g} degC is below absolute zero")
    air_m3 = flow_l_per_min * MINUTES_PER_DAY / 1000.0
    air_mol = PRESSURE_PA * air_m3 / (GAS_J_PER_MOL_K * (temperature_c + ZERO_CELSIUS_K))
    return air_mol * co2_ppm * 1e-6 * CARBON_G_PER_MOL * 1000.0


def demand_mg_per_day(growth_per_ml_day: float, volume_l: float, carbon_pg: float) -> float:
    """Milligrams of carbon a day that growth builds in (cells per mL and day, litres, pg of carbon per cell).

    ValueError if a figure is below zero. Source: carbon balance, derived by hand.

    >>> demand_mg_per_day(1e5, 4.0, 60.0)
    24.0
    """
    if min(growth_per_ml_day, volume_l, carbon_pg) < 0.0:
        raise ValueError("growth, volume and carbon per cell cannot be below zero")
    return growth_per_ml_day * volume_l * 1000.0 * carbon_pg * 1e-9


def fastest_growth_per_ml_day(rate_per_day: float, ceiling_per_ml: float) -> float:
    """Steepest growth of a logistic culture in cells per mL and day, at half the ceiling: rate x ceiling / 4.

    ValueError below zero. Source: maximum of mu X (1 - X/K), derived by hand.

    >>> fastest_growth_per_ml_day(0.5, 2e6)
    250000.0
    """
    if rate_per_day < 0.0 or ceiling_per_ml < 0.0:
        raise ValueError("rate and ceiling cannot be below zero")
    return rate_per_day * ceiling_per_ml / 4.0


def carbon_share(demand_mg_per_day: float, supply_mg_per_day: float) -> float:
    """Demand as a share of what the air carries; above 1 the air cannot feed that growth.

    Infinite if there is a demand and no air; 0 without demand. ValueError below zero.

    >>> carbon_share(24.0, 240.0)
    0.1
    """
    if demand_mg_per_day < 0.0 or supply_mg_per_day < 0.0:
        raise ValueError("demand and supply cannot be below zero")
    if demand_mg_per_day == 0.0:
        return 0.0
    return demand_mg_per_day / supply_mg_per_day if supply_mg_per_day > 0.0 else float("inf")
