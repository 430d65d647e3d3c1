"""Turn the checked tables of a plan file into the frozen records of `rota/plan.py`.

The units are already those of the records; nothing is converted here.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from greenrota.culture.data.medium import Medium, media, own_medium
from greenrota.culture.data.strain import Strain, strains
from greenrota.frozen import FrozenDict
from greenrota.planfile.tables.feeding import ConsumerTable
from greenrota.planfile.tables.hazards import RiskTable
from greenrota.planfile.tables.own_figures import StrainTable
from greenrota.planfile.tables.schema import CycleTable, NutrientTable, PlanTable, StarterTable, VesselTable
from greenrota.rota.plan import (
    Away,
    Consumer,
    CyclePlan,
    Hazards,
    Nutrient,
    Plan,
    Prices,
    Starter,
    Tank,
    Vessel,
    Water,
    Work,
)

WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


def plan(tables: PlanTable, document: Mapping[str, Any]) -> Plan:
    """The plan of a file that has no problems; `document` is the file as TOML gives it, for what is kept as written."""
    vessels = tuple(_vessel(table, tables.room.temperature) for table in tables.vessel)
    starters = tuple(_starter(table) for table in tables.starter)
    used = {vessel.strain for vessel in vessels} | {starter.strain for starter in starters}
    every_medium = {**media(), **_own_media(tables)}
    return Plan(
        name=tables.rota.name,
        start=tables.rota.start,
        days=tables.rota.days,
        strains=FrozenDict({name: _strain(name, tables.strain.get(name)) for name in sorted(used)}),
        water=_water(tables, document["water"]),
        nutrients=FrozenDict(
            {
                table.name: _nutrient(table, every_medium, written["dose"])
                for table, written in zip(tables.nutrient, document["nutrient"], strict=True)
            }
        ),
        starters=starters,
        vessels=vessels,
        cycle=_cycle(tables.cycle),
        tank=_tank(tables),
        work=_work(tables),
        away=tuple(sorted((Away(table.first, table.last) for table in tables.away), key=lambda a: a.first)),
        units=tables.output.units,
        task_hour_h=tables.output.hour,
        consumers=tuple(_consumer(table) for table in tables.consumer),
        hazards=_hazards(tables.risk),
        prices=Prices(
            currency=tables.prices.currency or "",
            salt_per_kg=tables.prices.salt_per_kg,
            bleach_per_l=tables.prices.bleach_per_l,
        ),
    )


def _water(tables: PlanTable, written: Mapping[str, Any]) -> Water:
    return Water(
        salinity_psu=tables.water.salinity,
        salt_hydration=tables.water.salt_hydration,
        bucket_l=tables.water.bucket,
        salinity_written=written["salinity"],
        hydrometer_written=written.get("hydrometer", ""),
    )


def _vessel(table: VesselTable, room_c: float) -> Vessel:
    return Vessel(
        name=table.name,
        strain=table.strain,
        nutrient=table.nutrient,
        brim_l=table.volume,
        fill_l=table.fill,
        temperature_c=room_c if table.temperature is None else table.temperature,
        photoperiod_h=table.photoperiod,
        role=table.role,
        light_lux=table.light,
        air_l_per_min=table.air,
        lights_on_h=table.lights_on,
    )


def _starter(table: StarterTable) -> Starter:
    return Starter(
        name=table.name,
        strain=table.strain,
        volume_ml=table.volume,
        density_per_ml=table.density,
        on_hand=table.on_hand,
        keep_back=table.keep_back,
        price=table.price,
    )


def _nutrient(table: NutrientTable, every_medium: Mapping[str, Medium], dose_written: str) -> Nutrient:
    return Nutrient(
        name=table.name,
        medium=every_medium[table.medium],
        dose_ml_per_l=table.dose,
        bottle_ml=table.bottle,
        opened=table.opened,
        other_part=table.other_part,
        size_ml=table.size,
        price=table.price,
        dose_written=dose_written,
    )


def _own_media(tables: PlanTable) -> dict[str, Medium]:
    return {
        name: own_medium(name, table.nitrate, table.phosphate, table.silicate)
        for name, table in tables.medium.items()
    }


def _strain(name: str, own: StrainTable | None) -> Strain:
    """The built-in strain with the own figures of the plan. An own ceiling holds for every vessel size."""
    strain = strains()[(own and own.base) or name]
    if own is None:
        return strain
    if own.base:
        strain = replace(strain, name=name, title=name, base=strain.name)
    if own.rate is not None:
        strain = replace(strain, rate_per_day=own.rate)
    if own.ceiling is not None:
        strain = replace(strain, ceiling_per_ml=own.ceiling, ceiling_exponent=0.0)
    return strain


def _cycle(table: CycleTable) -> CyclePlan:
    return CyclePlan(
        inoculum=table.inoculum,
        days=table.days,
        feed_day=table.feed_day,
        feed_dose=table.feed_dose,
        renew_after=table.renew_after,
        backup_ml=table.backup,
    )


def _tank(tables: PlanTable) -> Tank | None:
    tank = tables.tank
    if tank is None:
        return None
    return Tank(
        volume_l=tank.volume,
        ration_ml_per_day=tank.ration.ml or 0.0,
        keeps_days=math.floor(tank.keeps),
        ration_cells_per_ml=tank.ration.cells_per_ml,
        diet=tank.strains,
        priority=tank.priority,
        ramp=tank.ramp,
        nitrate_limit_mg_per_l=tank.nitrate_limit,
        phosphate_limit_mg_per_l=tank.phosphate_limit,
    )


def _consumer(table: ConsumerTable) -> Consumer:
    return Consumer(
        name=table.name,
        ration_ml_per_day=table.ration.ml or 0.0,
        ration_cells_per_ml=table.ration.cells_per_ml,
        volume_l=table.volume,
        diet=table.strains,
        priority=table.priority,
        ramp=table.ramp,
    )


def _work(tables: PlanTable) -> Work:
    days = tables.work.days or WEEKDAYS
    return Work(frozenset(WEEKDAYS.index(day) for day in days), tables.work.jobs_per_day)


def _hazards(table: RiskTable | None) -> Hazards | None:
    if table is None:
        return None
    return Hazards(
        crash_per_day=table.crash,
        over_ripe_per_day=table.over_ripe,
        contamination_per_day=table.contamination,
        fouling_days=table.fouling,
        hidden_days=None if table.hidden is None else math.floor(table.hidden),
        power_cut_per_day=table.power_cut,
        power_cut_loss=table.power_cut_loss,
        heat_wave_per_day=table.heat_wave,
        heat_wave_loss=table.heat_wave_loss,
        forgotten_air_per_day=table.forgotten_air,
        forgotten_air_loss=table.forgotten_air_loss,
    )
