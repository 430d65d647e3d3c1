"""Warnings about vessels: a place that does not suit the strain, or a vessel that has left the plan."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from greenrota.culture.data import handbook
from greenrota.culture.growth import carbon
from greenrota.culture.growth.broth import bench_ceiling_per_ml
from greenrota.culture.growth.logistic import wash_out_share
from greenrota.culture.water.seawater import reference_salinity_g_per_kg
from greenrota.rota.replay.gone_vessels import GoneVessels
from greenrota.rota.state.bench import Bench
from greenrota.rota.state.cycle import RIPE_SHARE, Cycle
from greenrota.rota.warning import PlanWarning
from greenrota.rota.wording import numbered

LEAST_HEADSPACE_SHARE = 0.05  # of the brim, for foam and bubbles; common practice, no source


def place_warnings(benches: Mapping[str, Bench], cycles: Mapping[str, Cycle]) -> Iterator[PlanWarning]:
    """Warnings about nutrient, temperature, salinity, light, air, headspace and cropping, vessel by vessel."""
    for name, bench in benches.items():
        for check in (_nutrient, _temperature, _salinity, _light, _air, _headspace):
            for code, text in check(bench):
                yield PlanWarning(code, f"{name}: {text}", name)
        for code, text in _cropping(bench, cycles[name]):
            yield PlanWarning(code, f"{name}: {text}", name)


def _nutrient(bench: Bench) -> Iterator[tuple[str, str]]:
    medium = bench.nutrient.medium
    if bench.strain.needs_silicate and medium.silicon_umol_l <= 0.0:
        yield (
            "no-silicate",
            f"{bench.strain.name} is a diatom and {medium.name} brings no silicate: it will not grow; "
            "use a medium with silicate such as f/2",
        )


def _temperature(bench: Bench) -> Iterator[tuple[str, str]]:
    here, strain = bench.vessel.temperature_c, bench.strain
    low, high = handbook.TEMPERATURE_C
    if not strain.t_min_c < here < strain.t_max_c:
        yield (
            "temperature-range",
            f"{here:g} degC is outside {strain.t_min_c:g} to {strain.t_max_c:g} degC, where {strain.name} grows",
        )
    elif not low <= here <= high:
        yield (
            "temperature-range",
            f"{here:g} degC is outside the handbook's {low:g} to {high:g} degC; "
            f"reckoned at {bench.temperature_factor:.0%} of the best rate",
        )


def _salinity(bench: Bench) -> Iterator[tuple[str, str]]:
    here, strain = bench.salinity_psu, bench.strain
    low, high = handbook.SALINITY_G_PER_KG
    if not strain.salinity_opt_low_psu <= here <= strain.salinity_opt_high_psu:
        yield (
            "salinity-range",
            f"{here:.1f} psu is outside {strain.salinity_opt_low_psu:g} to {strain.salinity_opt_high_psu:g} psu, "
            f"where {strain.name} grows best; reckoned at {bench.salinity_factor:.0%} of the best rate",
        )
    elif not low <= reference_salinity_g_per_kg(here) <= high:
        yield "salinity-range", f"{here:.1f} psu is outside the handbook's {low:g} to {high:g} g/L"


def _light(bench: Bench) -> Iterator[tuple[str, str]]:
    lux, strain = bench.vessel.light_lux, bench.strain
    if lux is not None and not strain.light_low_lux <= lux <= strain.light_high_lux:
        yield (
            "light-range",
            f"{lux:.0f} lux is outside {strain.light_low_lux:.0f} to {strain.light_high_lux:.0f} lux, "
            "the handbook's range; the growth figures do not hold there",
        )
    if bench.vessel.photoperiod_h < handbook.LEAST_LIGHT_H:
        yield (
            "photoperiod-range",
            f"{bench.vessel.photoperiod_h:g} h of light is under the handbook's 16 h; "
            f"reckoned at {bench.photoperiod_factor:.0%} of the best rate",
        )


def _air(bench: Bench) -> Iterator[tuple[str, str]]:
    vessel = bench.vessel
    flow = carbon.air_flow_l_per_min(vessel.fill_l) if vessel.air_l_per_min is None else vessel.air_l_per_min
    if flow <= 0.0:
        yield (
            "carbon",
            "no air brings carbon to the culture; it will grow more slowly than projected",
        )
        return
    supply = carbon.supply_mg_per_day(flow, vessel.temperature_c)
    top = bench_ceiling_per_ml(bench.strain, vessel.fill_l)
    fastest = carbon.fastest_growth_per_ml_day(bench.rate_per_day, top)
    demand = carbon.demand_mg_per_day(fastest, vessel.fill_l, bench.strain.carbon_pg)
    share = carbon.carbon_share(demand, supply)
    if share > 1.0:
        yield (
            "carbon",
            f"at its fastest the culture needs {share:.1f} times the carbon that {flow:.1f} L/min of plain air "
            "carries; it will grow more slowly than projected",
        )


def _headspace(bench: Bench) -> Iterator[tuple[str, str]]:
    vessel = bench.vessel
    if vessel.fill_l > vessel.brim_l * (1.0 - LEAST_HEADSPACE_SHARE):
        yield (
            "brim",
            f"a fill of {vessel.fill_l:g} L leaves under {LEAST_HEADSPACE_SHARE:.0%} of headspace "
            f"in {vessel.brim_l:g} L; bubbles and foam will spill",
        )


def _cropping(bench: Bench, cycle: Cycle) -> Iterator[tuple[str, str]]:
    if bench.rate_per_day <= 0.0:
        yield "no-growth", "nothing grows at this temperature, salinity and light"
    elif cycle.peak_share <= 0.0:
        floor = wash_out_share(bench.rate_per_day, float(cycle.days))
        yield (
            "wash-out",
            f"keeping {cycle.keep_share:.0%} every {numbered(cycle.days, 'day')} washes the culture out; "
            f"keep more than {floor:.0%} or wait longer",
        )
    elif cycle.peak_share < RIPE_SHARE:
        yield (
            "thin-harvest",
            f"keeping {cycle.keep_share:.0%} every {numbered(cycle.days, 'day')} settles at {cycle.peak_share:.0%} of "
            f"the ceiling, thinner than the {RIPE_SHARE:.0%} that counts as ripe",
        )


def gone_warnings(gone_vessels: GoneVessels) -> list[PlanWarning]:
    """A warning for every living batch in a vessel that is not in the plan."""
    return [
        PlanWarning(
            "vessel-gone",
            f"{name}: no longer in the plan; its living batch {batch} is left out: "
            "put the vessel back, or pour it away and log it as discarded",
            name,
        )
        for name, batch in gone_vessels.living.items()
    ]
