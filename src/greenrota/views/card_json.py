"""Dose cards for other programs: what each vessel takes of each bottle, and what is poured into each vessel."""

from __future__ import annotations

import json
from collections.abc import Iterable

from greenrota.culture.broth import ML_PER_L
from greenrota.culture.dose import dose_ml
from greenrota.culture.light import lamp_times
from greenrota.rota.rota import Rota
from greenrota.rota.state.bench import Bench
from greenrota.rota.tasks.supplies import runs_dry
from greenrota.views.card import NUTRIENT_CARE, VESSEL_CARE, label_doses_l
from greenrota.views.day import clock_text
from greenrota.views.figure import figure

FORMAT = "greenrota/card/1"


def cards_json(rota: Rota, nutrients: Iterable[str], vessels: Iterable[str]) -> str:
    """The cards of these bottles and vessels as one JSON object, `greenrota/card/1`. KeyError: no such name."""
    told = {
        "format": FORMAT,
        "as_of": rota.as_of.isoformat(),
        "nutrients": [_nutrient(rota, name) for name in nutrients],
        "vessels": [_vessel(rota, rota.benches[name]) for name in vessels],
    }
    return json.dumps(told, ensure_ascii=False, allow_nan=False, indent=1)


def _nutrient(rota: Rota, name: str) -> dict[str, object]:
    nutrient = rota.plan.nutrients[name]
    dry = runs_dry(rota.plan, rota.tasks, rota.poured).get(name)
    taken = [
        bench for bench in rota.benches.values() if name in (bench.nutrient.name, bench.nutrient.other_part)
    ]
    return {
        "nutrient": name,
        "medium": nutrient.medium.name,
        "dose_ml_per_l": figure(nutrient.dose_ml_per_l),
        "bottle_ml": figure(nutrient.bottle_ml),
        "runs_dry": None if dry is None else dry.isoformat(),
        "doses": [{"vessel": bench.vessel.name, **_doses(rota, bench)} for bench in taken],
        "cautions": list(NUTRIENT_CARE),
    }


def _doses(rota: Rota, bench: Bench) -> dict[str, object]:
    poured = (dose_ml(litres, bench.nutrient.dose_ml_per_l) for litres in label_doses_l(rota, bench))
    return dict(zip(("start_ml", "reseed_ml", "second_dose_ml"), map(figure, poured), strict=True))


def _vessel(rota: Rota, bench: Bench) -> dict[str, object]:
    vessel, cycle = bench.vessel, rota.cycles[bench.vessel.name]
    keep_ml = cycle.keep_share * vessel.fill_l * ML_PER_L
    harvest_ml = vessel.fill_l * ML_PER_L - keep_ml
    on_h, off_h = lamp_times(vessel.lights_on_h, vessel.photoperiod_h)
    return {
        "vessel": vessel.name,
        "strain": bench.strain.name,
        "nutrients": [name for name in (bench.nutrient.name, bench.nutrient.other_part) if name is not None],
        "fill_ml": figure(vessel.fill_l * ML_PER_L),
        "keep_ml": figure(keep_ml),
        "harvest_ml": figure(harvest_ml),
        "reseed_seawater_ml": figure(harvest_ml),
        "reseed_salt_g": figure(harvest_ml / ML_PER_L * bench.salt_g_per_l),
        "salt_g_per_l": figure(bench.salt_g_per_l),
        "salinity_psu": figure(bench.salinity_psu),
        "interval_days": cycle.days,
        "renew_after": cycle.renew_after,
        "light_h": figure(vessel.photoperiod_h),
        "lamp_on": clock_text(on_h),
        "lamp_off": clock_text(off_h),
        "cautions": list(VESSEL_CARE),
    }
