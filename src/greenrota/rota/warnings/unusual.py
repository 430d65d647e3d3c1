"""Unusual values: warnings for figures of the plan and of logbook entries that may be slips of the pen.

Impossible figures of a plan are refused when it is read. Entries are only doubted: by a question before they are
written, and by a warning of `check` once they are.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from greenrota.culture.bounds import bounds_for, plausible
from greenrota.culture.bounds.bounds import Bounds, Doubt, Verdict, doubt, judge
from greenrota.culture.data.medium import Medium
from greenrota.culture.data.strain import Strain, strains
from greenrota.culture.growth.broth import ML_PER_L, bench_ceiling_per_ml
from greenrota.logbook.entry import Entry
from greenrota.rota.plan import TANK, Hazards, Plan, Vessel
from greenrota.rota.replay.accumulator import logged_density_per_ml
from greenrota.rota.state.bench import Bench
from greenrota.rota.warning import PlanWarning

Checked = tuple[float | None, Bounds]  # a value, None where the plan leaves it out, and its bounds


def unusual(plan: Plan, benches: Mapping[str, Bench], entries: Sequence[Entry]) -> Iterator[PlanWarning]:
    """A warning for every unusual value of the plan, then of the entries, which have an impossible one too."""
    for vessel in plan.vessels:
        yield from _warnings(vessel.name, _of_vessel(vessel), vessel.name)
    for place, checked in _of_plan(plan):
        yield from _warnings(place, checked)
    known: _Known = {}
    for entry in entries:
        for found in _implausible(entry, benches, known):
            number = "" if entry.number is None else f" (entry {entry.number})"
            text = f"{entry.subject}: {entry.kind} on {entry.on}{number}: {found.text}"
            yield PlanWarning(found.code, text, entry.subject)


def implausible(entry: Entry, benches: Mapping[str, Bench]) -> list[Doubt]:
    """What is unusual or impossible in the values of one entry, whatever the state is.

    `Doubt.key` is the key that holds the value: density, dose, nutrient, inoculum, volume, seawater, keep or light.
    Amounts of nothing are left to those who know the state; so is an entry about no vessel of the plan.
    """
    return _implausible(entry, benches, {})


_Known = dict[tuple[str, bool, float | None], Mapping[str, Bounds]]


def _implausible(entry: Entry, benches: Mapping[str, Bench], known: _Known) -> list[Doubt]:
    """As `implausible`; bounds that were worked out are kept in `known`."""
    bench, values = benches.get(entry.subject), dict(entry.values)
    if bench is None or not values:
        return []
    if "cells" in values:
        values["density"] = _density_per_ml(entry) or 0.0
    alike = (entry.subject, entry.kind == "prepared", _partly_ml(entry))
    bounds = known.get(alike) or known.setdefault(alike, _entry_bounds(bench, *alike[1:]))
    found = []
    for key, within in bounds.items():
        value = values.get(key)
        said = doubt(float(value), within) if value and isinstance(value, (int, float)) else None
        if said is not None:
            found.append(said._replace(key=key))
    return found


def _entry_bounds(bench: Bench, prepared: bool, partly_ml: float | None) -> dict[str, Bounds]:
    """What is usual and possible in an entry about a vessel, by key."""
    vessel = bench.vessel
    brim_ml, ceiling_per_ml = vessel.brim_l * ML_PER_L, bench_ceiling_per_ml(bench.strain, vessel.fill_l)
    label_ml = bench.nutrient.dose_ml_per_l * (partly_ml / ML_PER_L if partly_ml else vessel.fill_l)
    volumes = {
        key: plausible.MIXED_ML
        if prepared
        else plausible.VOLUME_SHARE._replace(what=key).times(brim_ml, "mL")
        for key in ("volume", "seawater", "keep")
    }
    return {
        "density": bounds_for.count_bounds(bench.strain, ceiling_per_ml),
        "dose": plausible.LABEL_DOSES,
        "nutrient": plausible.LABEL_DOSES._replace(what="nutrient").times(label_ml, "mL"),
        "inoculum": plausible.INOCULUM_SHARE.times(partly_ml or brim_ml, "mL"),
        **volumes,
        "light": plausible.PHOTOPERIOD_H,
    }


def _partly_ml(entry: Entry) -> float | None:
    """What is dosed and seeded, in mL, where the entry says that it is not the whole vessel."""
    if entry.kind == "topped-up":
        return entry.volume_ml("seawater")
    return entry.volume_ml("volume") if entry.kind == "started" else None


def _density_per_ml(entry: Entry) -> float | None:
    try:
        return logged_density_per_ml(entry)
    except ValueError:  # a count that can not be is a problem of its own
        return None


def _warnings(place: str, checked: Iterable[Checked], vessel: str | None = None) -> Iterator[PlanWarning]:
    for value, bounds in checked:
        found = None if value is None else doubt(value, bounds)
        if found is not None:
            yield PlanWarning(found.code, f"{place}: {found.text}", vessel)


def _of_vessel(vessel: Vessel) -> Iterator[Checked]:
    fill_share = plausible.FILL_SHARE.times(vessel.brim_l, "L")
    yield vessel.photoperiod_h, plausible.PHOTOPERIOD_H
    yield vessel.fill_l, fill_share
    if judge(vessel.fill_l, fill_share) is Verdict.USUAL:  # else air and size are judged by a wrong fill
        yield vessel.fill_l, plausible.VESSEL_L
        yield vessel.air_l_per_min or None, plausible.AIR_VVM.times(vessel.fill_l, "L/min")


def _of_plan(plan: Plan) -> Iterator[tuple[str, list[Checked]]]:
    """Every other part of the plan with its values, under the name it has in a warning."""
    for nutrient in plan.nutrients.values():
        sizes: list[Checked] = [
            (size, plausible.BOTTLE_ML) for size in (nutrient.bottle_ml, nutrient.size_ml)
        ]
        dose = bounds_for.dose_bounds(nutrient.medium)
        yield f"nutrient {nutrient.name}", [(nutrient.dose_ml_per_l, dose), *sizes]
        if not nutrient.medium.compounds:  # a medium of the plan
            yield f"medium {nutrient.medium.name}", _of_medium(nutrient.medium)
    for starter in plan.starters:
        strain = plan.strains.get(starter.strain)  # a plan made in Python may leave it out
        density = plausible.DENSITY if strain is None else bounds_for.starter_bounds(strain)
        checked: list[Checked] = [
            (starter.density_per_ml, density),
            (starter.volume_ml, plausible.BOTTLE_ML),
        ]
        yield f"starter {starter.name}", checked
    for strain in plan.strains.values():
        yield f"strain {strain.name}", _of_strain(strain)
    yield "cycle", _of_cycle(plan)
    yield from _of_consumers(plan)
    if plan.hazards is not None:
        yield "risk", _of_risk(plan.hazards)
    yield (
        "water",
        [(plan.water.salt_hydration, plausible.HYDRATION), (plan.water.bucket_l, plausible.BUCKET_L)],
    )


def _of_medium(medium: Medium) -> list[Checked]:
    return [
        (medium.nitrogen_umol_l or None, plausible.NITRATE_UMOL_L),
        (medium.phosphorus_umol_l or None, plausible.PHOSPHATE_UMOL_L),
        (medium.silicon_umol_l or None, plausible.SILICATE_UMOL_L),
    ]


def _of_strain(strain: Strain) -> list[Checked]:
    """Own figures against those that ship; nothing for a strain as it ships, or one that is not known."""
    built_in = strains().get(strain.base or strain.name)
    if built_in is None:
        return []
    return [
        (strain.rate_per_day, bounds_for.rate_bounds(built_in)),
        (strain.ceiling_per_ml, bounds_for.ceiling_bounds(built_in)),
    ]


def _of_cycle(plan: Plan) -> list[Checked]:
    cycle = plan.cycle
    return [
        (cycle.days, plausible.CYCLE_DAYS),
        (cycle.feed_dose, plausible.LABEL_DOSES),
        (cycle.renew_after, plausible.RENEWALS),
    ]


def _of_consumers(plan: Plan) -> Iterator[tuple[str, list[Checked]]]:
    tank = plan.tank
    if tank is not None:
        size = plausible.TANK_L._replace(what="volume")
        share = plausible.TANK_RATION_SHARE.times(tank.volume_l * ML_PER_L, "mL/day")
        yield (
            TANK,
            [
                (tank.volume_l, size),
                (tank.keeps_days, plausible.KEEPS_DAYS),
                (tank.ration_ml_per_day or None, _ration(tank.volume_l, size, share)),
                (tank.ration_cells_per_ml, plausible.RATION_CELLS),
            ],
        )
    for consumer in plan.consumers:
        volume_l = consumer.volume_l
        share = plausible.CONSUMER_RATION_SHARE.times((volume_l or 0.0) * ML_PER_L, "mL/day")
        yield (
            consumer.name,
            [
                (volume_l, plausible.CONSUMER_L),
                (consumer.ration_ml_per_day or None, _ration(volume_l, plausible.CONSUMER_L, share)),
                (consumer.ration_cells_per_ml, plausible.RATION_CELLS),
            ],
        )


def _ration(volume_l: float | None, size: Bounds, share: Bounds) -> Bounds:
    """Bounds of a ration by the water it goes into, or by itself where that is not known or not usual."""
    usual = volume_l is not None and judge(volume_l, size) is Verdict.USUAL
    return share if usual else plausible.RATION_ML


def _of_risk(hazards: Hazards) -> list[Checked]:
    chances = (
        ("crash", hazards.crash_per_day),
        ("over_ripe", hazards.over_ripe_per_day),
        ("contamination", hazards.contamination_per_day),
        ("power_cut", hazards.power_cut_per_day),
        ("heat_wave", hazards.heat_wave_per_day),
        ("forgotten_air", hazards.forgotten_air_per_day),
    )
    return [(value, plausible.CHANCE._replace(what=key)) for key, value in chances]
