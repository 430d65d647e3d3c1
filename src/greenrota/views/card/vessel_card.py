"""The card of a vessel: everything poured into it, its rhythm, water and light."""

from __future__ import annotations

from collections.abc import Iterable

from greenrota.culture.bench.sanitation import CAUTIONS
from greenrota.culture.growth.broth import ML_PER_L
from greenrota.culture.growth.light import lamp_times
from greenrota.rota.kinds import TASK_KINDS, TaskKind
from greenrota.rota.rota import Rota
from greenrota.rota.state.bench import Bench
from greenrota.rota.tasks.amounts import Amounts
from greenrota.rota.tasks.measured import alone, poured
from greenrota.rota.tasks.task import Task
from greenrota.rota.wording import numbered
from greenrota.views.card.card import NOTHING, Card, Cell, Fact, Row, foot, measured
from greenrota.views.card.nutrient_card import dose_cell, dose_cells, draws_vary
from greenrota.views.tasks.pour import source
from greenrota.views.text import amount
from greenrota.views.text.as_written import salinity_text
from greenrota.views.text.day import clock_text
from greenrota.views.text.document import figure

# The cautions of all that the card gives amounts for.
SHOWN: tuple[TaskKind, ...] = ("start", "topup", "feed", "harvest", "reseed")
_DRAWN = (
    "keep_ml",
    "harvest_ml",
    "reseed_seawater_ml",
    "reseed_salt_g",
)  # None where each harvest draws another share
VESSEL_CARE = tuple(
    CAUTIONS[key] for key in dict.fromkeys(key for kind in SHOWN for key in TASK_KINDS[kind].cautions)
)


def vessel_card(rota: Rota, name: str) -> Card:
    """The card of a vessel: everything poured into it, and its light. KeyError: no such vessel."""
    bench, units = rota.benches[name], rota.plan.units
    vessel = bench.vessel
    fill, brim = (
        str(measured(amount.volume(litres * ML_PER_L, units))) for litres in (vessel.fill_l, vessel.brim_l)
    )
    return Card(
        kind="vessel",
        title=name,
        lead=f"{bench.strain.title}; filled to {fill}, holds {brim} to the brim",
        figures={
            "strain": bench.strain.name,
            "nutrients": list(_bottles(bench)),
            "fill_ml": figure(vessel.fill_l * ML_PER_L),
            "brim_ml": figure(vessel.brim_l * ML_PER_L),
        },
        heads=("pour in", "culture", "seawater", "dry salt", "nutrient"),
        rows=tuple(_rows(rota, bench)),
        facts=tuple(_facts(rota, bench)),
        cautions=VESSEL_CARE,
        foot=foot(rota),
    )


def _bottles(bench: Bench) -> tuple[str, ...]:
    return tuple(name for name in (bench.nutrient.name, bench.nutrient.other_part) if name is not None)


def _rows(rota: Rota, bench: Bench) -> Iterable[Row]:
    units = rota.plan.units
    of = f"of {' and as much '.join(_bottles(bench))}"
    start, reseed, second = dose_cells(rota, bench, of)
    own = [t for t in rota.tasks if t.vessel == bench.vessel.name]
    first = next((t for t in own if t.kind == "start"), None)
    if first is not None and first.fill_ml is not None:
        start = dose_cell(bench, first.fill_ml / ML_PER_L, units, of)
    yield Row(
        "start", (*_filling(bench, first, units), start), {} if first is None else _poured(first.amounts)
    )
    for task in (t for t in own if t.kind == "topup"):
        dose = dose_cell(bench, (task.amounts.seawater_ml or 0.0) / ML_PER_L, units, of)
        there = Cell(NOTHING, str(task.on))
        yield Row("top up", (there, *_seawater(poured(task), units), dose), _poured(task.amounts))
    exact = at_rhythm(rota, bench)
    usual = alone(exact)
    if draws_vary(rota, bench):
        salt = measured(amount.mass(bench.salt_g_per_l, units), "a litre")
        kept = Cell(NOTHING, "what the task keeps")
        yield Row("re-seed", (kept, Cell(NOTHING, "up to the line"), salt, reseed))
    else:
        kept = measured(amount.volume(usual.keep_ml or 0.0, units), "kept back")
        yield Row("re-seed", (kept, *_seawater(usual, units), reseed), _poured(exact))
    yield Row("second dose", (Cell(NOTHING), Cell(NOTHING), Cell(NOTHING), second))


def _poured(exact: Amounts) -> dict[str, object]:
    """What is poured beside the nutrient, exactly."""
    culture_ml = exact.keep_ml if exact.inoculum_ml is None else exact.inoculum_ml
    return {
        "culture_ml": figure(culture_ml),
        "seawater_ml": figure(exact.seawater_ml),
        "salt_g": figure(exact.salt_g),
    }


def _filling(bench: Bench, first: Task | None, units: str) -> tuple[Cell, ...]:
    if first is None:
        full = measured(amount.volume(bench.vessel.fill_l * ML_PER_L, units), "up to this line")
        salt = measured(amount.mass(bench.salt_g_per_l, units), "a litre")
        return Cell(NOTHING, "as the task says"), full, salt
    read = poured(first)
    seed = measured(amount.volume(read.inoculum_ml or 0.0, units), f"{source(first.parent)}, {first.on}")
    return seed, *_seawater(read, units)


def at_rhythm(rota: Rota, bench: Bench) -> Amounts:
    """What a harvest takes and keeps, and the re-seed after it pours, where nothing else is drawn."""
    fill_ml = bench.vessel.fill_l * ML_PER_L
    keep_ml = rota.cycles[bench.vessel.name].keep_share * fill_ml
    fresh_ml = fill_ml - keep_ml
    salt_g = fresh_ml / ML_PER_L * bench.salt_g_per_l
    return Amounts(seawater_ml=fresh_ml, salt_g=salt_g, harvest_ml=fresh_ml, keep_ml=keep_ml)


def _seawater(read: Amounts, units: str) -> tuple[Cell, Cell]:
    seawater, salt = amount.volume(read.seawater_ml or 0.0, units), amount.mass(read.salt_g or 0.0, units)
    return measured(seawater), measured(salt)


def _facts(rota: Rota, bench: Bench) -> Iterable[Fact]:
    yield _light(bench)
    yield _harvest(rota, bench)
    cycle = rota.cycles[bench.vessel.name]
    fixed = cycle.pinned_days is not None
    days = (
        f"{numbered(cycle.days, 'day')} between harvests"
        if fixed
        else "harvested when it is ripe and there is time"
    )
    yield Fact(
        "rhythm",
        f"{days}, renewed after {numbered(cycle.renew_after, 're-seed')}",
        {"interval_days": cycle.days, "renew_after": cycle.renew_after},
    )
    yield _water(rota, bench)
    yield Fact("refill", "what evaporates: fresh water, to the line it was filled to")
    air = bench.vessel.air_l_per_min
    if air is not None:
        yield Fact("air", f"{air:g} L/min", {"air_l_per_min": figure(air)})


def _light(bench: Bench) -> Fact:
    vessel = bench.vessel
    on_h, off_h = lamp_times(vessel.lights_on_h, vessel.photoperiod_h)
    lux = "" if vessel.light_lux is None else f", {vessel.light_lux:.0f} lux"
    lamp = f"on {clock_text(on_h)}, off {clock_text(off_h)} ({vessel.photoperiod_h:g} h){lux}"
    return Fact(
        "light",
        f"on day and night{lux}" if vessel.photoperiod_h == 24.0 else lamp,
        {
            "light_h": figure(vessel.photoperiod_h),
            "lamp_on": clock_text(on_h),
            "lamp_off": clock_text(off_h),
            "light_lux": figure(vessel.light_lux),
        },
    )


def _harvest(rota: Rota, bench: Bench) -> Fact:
    if draws_vary(rota, bench):
        return Fact("harvest", "as much as is needed: see the task", dict.fromkeys(_DRAWN))
    exact = at_rhythm(rota, bench)
    read = alone(exact)
    taken, kept = (
        str(measured(amount.volume(ml or 0.0, rota.plan.units))) for ml in (read.harvest_ml, read.keep_ml)
    )
    drawn = (exact.keep_ml, exact.harvest_ml, exact.seawater_ml, exact.salt_g)
    return Fact("harvest", f"take {taken}, keep {kept}", dict(zip(_DRAWN, map(figure, drawn), strict=True)))


def _water(rota: Rota, bench: Bench) -> Fact:
    warmth = amount.temperature(bench.vessel.temperature_c, rota.plan.units)
    metric, _, us = warmth.partition(" (")
    warmth = f"{us.removesuffix(')')} ({metric})" if us else metric
    figures = {
        "salt_g_per_l": figure(bench.salt_g_per_l),
        "salinity_psu": figure(bench.salinity_psu),
        "salinity_as_written": rota.plan.water.salinity_written,
        "temperature_c": figure(bench.vessel.temperature_c),
    }
    return Fact("water", f"{salinity_text(rota.plan)}; kept at {warmth}", figures)
