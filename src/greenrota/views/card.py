"""Dose cards: what hangs beside a nutrient bottle or a vessel, as a record, and as text for the terminal."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from greenrota.culture.broth import ML_PER_L
from greenrota.culture.dose import dose_ml
from greenrota.culture.light import lamp_times
from greenrota.culture.medium import Medium, ion_mg_per_l
from greenrota.culture.sanitation import CAUTIONS
from greenrota.rota.plan import Nutrient
from greenrota.rota.rota import Rota
from greenrota.rota.state.bench import Bench
from greenrota.rota.tasks.measured import alone, poured
from greenrota.rota.tasks.supplies import left_in_bottle_ml, runs_dry
from greenrota.rota.tasks.task import CAUTIONS as CARE
from greenrota.rota.tasks.task import Amounts, Task
from greenrota.rota.wording import numbered
from greenrota.views import amount
from greenrota.views.day import clock_text, day_text
from greenrota.views.lettering import hanging, printable
from greenrota.views.pour import drops_hint
from greenrota.views.table import Column, render_table

_STORAGE = "cap closed, cool and dark, upright (common practice, no source); the bottle's label comes first"
_NOTHING = "-"
# The cautions of all that a card gives amounts for.
NUTRIENT_CARE = (CAUTIONS["nutrient"].text,)
VESSEL_CARE = tuple(
    CAUTIONS[key].text
    for key in dict.fromkeys(key for kind in ("start", "feed", "harvest", "reseed") for key in CARE[kind])
)


@dataclass(frozen=True, slots=True)
class Cell:
    """One field of a card's table: the figure that is read from afar, and a hint in smaller type below it."""

    main: str
    hint: str = ""

    def __str__(self) -> str:
        return f"{self.main} ({self.hint})" if self.hint else self.main


@dataclass(frozen=True, slots=True)
class Card:
    """A card: title, what it is, a table (heads, then rows that begin with a name), facts, cautions, foot."""

    title: str
    lead: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, tuple[Cell, ...]], ...]
    facts: tuple[tuple[str, str], ...]
    cautions: tuple[str, ...]
    foot: str


def nutrient_card(rota: Rota, name: str) -> Card:
    """The card of a nutrient bottle: its dose for every vessel and event. KeyError: no such nutrient.

    A second bottle of a two-part concentrate shows the vessels of the first, which is dosed alike.
    """
    nutrient, units = rota.plan.nutrients[name], rota.plan.units
    taken = [b for b in rota.benches.values() if name in (b.nutrient.name, b.nutrient.other_part)]
    leads = [bench.nutrient for bench in taken] or [nutrient]
    return Card(
        title=name,
        lead=f"nutrient, {nutrient.medium.title}: {leads[0].dose_ml_per_l:.3g} mL for each litre of new seawater",
        heads=("vessel", "start", "re-seed", "second dose"),
        rows=tuple((bench.vessel.name, _doses(rota, bench, units)) for bench in taken),
        facts=tuple(_bottle_facts(rota, nutrient)),
        cautions=NUTRIENT_CARE,
        foot=_foot(rota),
    )


def _doses(rota: Rota, bench: Bench, units: str) -> tuple[Cell, ...]:
    return tuple(_dose(bench, label_doses_l, units) for label_doses_l in label_doses_l(rota, bench))


def label_doses_l(rota: Rota, bench: Bench) -> tuple[float, float, float]:
    """Litres at label strength for a start, a re-seed and a second dose of a vessel at its working volume."""
    cycle, fill_l = rota.cycles[bench.vessel.name], bench.vessel.fill_l
    return fill_l, (1.0 - cycle.keep_share) * fill_l, cycle.feed_dose * fill_l


def _dose(bench: Bench, label_doses_l: float, units: str) -> Cell:
    ml = dose_ml(label_doses_l, bench.nutrient.dose_ml_per_l)
    return _measured(amount.volume(ml, units), drops_hint(ml).strip(" ()"))


def _measured(text: str, *hints: str) -> Cell:
    """An amount as a field; its US units, which stand in brackets, go with the hints."""
    metric, _, beside = text.partition(" (")
    return Cell(metric, ", ".join(hint for hint in (beside.rstrip(")"), *hints) if hint))


def _bottle_facts(rota: Rota, nutrient: Nutrient) -> Iterable[tuple[str, str]]:
    units = rota.plan.units
    yield "brings", _brings(nutrient.medium)
    if nutrient.medium.compounds:
        yield "recipe", _recipe(nutrient.medium)
    if nutrient.other_part is not None:
        yield "with it", f"the same dose of {nutrient.other_part}"
    left_ml = left_in_bottle_ml(rota.plan, nutrient.name, rota.poured)
    left = "not given" if left_ml is None else amount.volume(left_ml, units)
    yield "holds", f"{left} on {day_text(rota.as_of)}"
    yield "opened", "____________" if nutrient.opened is None else day_text(nutrient.opened)
    yield "runs dry", _end(rota, nutrient)
    yield "storage", _STORAGE


def _brings(medium: Medium) -> str:
    figures = (
        ("nitrate NO3", ion_mg_per_l("nitrate", medium.nitrogen_umol_l)),
        ("phosphate PO4", ion_mg_per_l("phosphate", medium.phosphorus_umol_l)),
        ("silicate SiO2", ion_mg_per_l("silicate", medium.silicon_umol_l)),
    )
    brought = ", ".join(f"{mg_per_l:.3g} mg/L {ion}" for ion, mg_per_l in figures if mg_per_l > 0.0)
    return f"at full strength {brought}"


def _recipe(medium: Medium) -> str:
    salts = ", ".join(compound.name for compound in medium.compounds if compound.delivers)
    traces = ", trace metals and vitamins" if any(compound.via for compound in medium.compounds) else ""
    return f"{salts}{traces} ({medium.source.split(', as given')[0]}); a bottle you bought may differ"


def _end(rota: Rota, nutrient: Nutrient) -> str:
    if nutrient.bottle_ml is None:
        return "not known: the plan does not say what is left in it"
    dry = runs_dry(rota.plan, rota.tasks, rota.poured).get(nutrient.name)
    return f"lasts through {day_text(rota.through)}" if dry is None else day_text(dry)


def vessel_card(rota: Rota, name: str) -> Card:
    """The card of a vessel: everything poured into it, and its light. KeyError: no such vessel."""
    bench, units = rota.benches[name], rota.plan.units
    vessel, cycle = bench.vessel, rota.cycles[name]
    taken = alone(_at_rhythm(rota, bench))
    facts = [
        ("light", _light(bench)),
        ("harvest", _taken(taken, units)),
        (
            "rhythm",
            f"{numbered(cycle.days, 'day')} between harvests, renewed after {numbered(cycle.renew_after, 're-seed')}",
        ),
        ("water", f"{bench.salinity_psu:.3g} psu at {amount.temperature(vessel.temperature_c, units)}"),
        ("top up", "what evaporates: fresh water, to the line of the working volume"),
    ]
    if vessel.air_l_per_min is not None:
        facts.append(("air", f"{vessel.air_l_per_min:g} L/min"))
    fill, brim = (amount.volume(litres * ML_PER_L, units) for litres in (vessel.fill_l, vessel.brim_l))
    return Card(
        title=name,
        lead=f"{bench.strain.title}; filled to {fill}, holds {brim} to the brim",
        heads=("pour in", "culture", "seawater", "its dry salt", "nutrient"),
        rows=tuple(_pours(rota, bench)),
        facts=tuple(facts),
        cautions=VESSEL_CARE,
        foot=_foot(rota),
    )


def _pours(rota: Rota, bench: Bench) -> Iterable[tuple[str, tuple[Cell, ...]]]:
    units, fill_ml = rota.plan.units, bench.vessel.fill_l * ML_PER_L
    start, reseed, second = (_nutrients(bench, litres, units) for litres in label_doses_l(rota, bench))
    first = next((t for t in rota.tasks if t.vessel == bench.vessel.name and t.kind == "start"), None)
    yield "start", (*_filling(bench, first, fill_ml, units), start)
    usual = alone(_at_rhythm(rota, bench))
    kept = _measured(amount.volume(usual.keep_ml or 0.0, units), "kept back")
    yield "re-seed", (kept, *_seawater(usual, units), reseed)
    yield "second dose", (Cell(_NOTHING), Cell(_NOTHING), Cell(_NOTHING), second)


def _filling(bench: Bench, first: Task | None, fill_ml: float, units: str) -> tuple[Cell, ...]:
    if first is None:
        full = _measured(amount.volume(fill_ml, units), "up to this line")
        return (
            Cell(_NOTHING, "as the task says"),
            full,
            _measured(amount.mass(bench.salt_g_per_l, units), "a litre"),
        )
    read = poured(first)
    seed = _measured(amount.volume(read.inoculum_ml or 0.0, units), f"from {first.parent}, {first.on}")
    return seed, *_seawater(read, units)


def _at_rhythm(rota: Rota, bench: Bench) -> Amounts:
    """What a harvest takes and keeps, and the re-seed after it pours, where nothing else is drawn."""
    fill_ml = bench.vessel.fill_l * ML_PER_L
    keep_ml = rota.cycles[bench.vessel.name].keep_share * fill_ml
    fresh_ml = fill_ml - keep_ml
    salt_g = fresh_ml / ML_PER_L * bench.salt_g_per_l
    return Amounts(seawater_ml=fresh_ml, salt_g=salt_g, harvest_ml=fresh_ml, keep_ml=keep_ml)


def _taken(read: Amounts, units: str) -> str:
    taken, kept = (amount.volume(ml or 0.0, units) for ml in (read.harvest_ml, read.keep_ml))
    return f"take {taken}, keep {kept}"


def _seawater(read: Amounts, units: str) -> tuple[Cell, Cell]:
    seawater, salt = amount.volume(read.seawater_ml or 0.0, units), amount.mass(read.salt_g or 0.0, units)
    return _measured(seawater), _measured(salt)


def _nutrients(bench: Bench, label_doses_l: float, units: str) -> Cell:
    dose = _dose(bench, label_doses_l, units)
    names = [bench.nutrient.name, bench.nutrient.other_part]
    told = " and as much ".join(name for name in names if name is not None)
    return Cell(dose.main, ", ".join(part for part in (f"of {told}", dose.hint) if part))


def _light(bench: Bench) -> str:
    on_h, off_h = lamp_times(bench.vessel.lights_on_h, bench.vessel.photoperiod_h)
    lux = "" if bench.vessel.light_lux is None else f", {bench.vessel.light_lux:.0f} lux"
    if bench.vessel.photoperiod_h == 24.0:
        return f"on day and night{lux}"
    return f"on {clock_text(on_h)}, off {clock_text(off_h)} ({bench.vessel.photoperiod_h:g} h){lux}"


def _foot(rota: Rota) -> str:
    return f"{rota.plan.name}, as of {day_text(rota.as_of)}. A task that names another amount goes first."


def card_text(card: Card, width: int | None = None) -> str:
    """A card for the terminal, no newline at the end; `width` wraps to the screen, None wraps nothing."""
    lines = [printable(card.title), *hanging("", printable(card.lead), width), ""]
    if card.rows:
        columns = [Column(head) for head in card.heads]
        lines.append(render_table(columns, [(name, *map(str, cells)) for name, cells in card.rows], width))
    else:
        lines.append("no vessel of the plan takes it")
    widest = max(len(name) for name, _ in card.facts)
    lines.append("")
    for name, text in card.facts:
        lines += hanging(f"{name:<{widest}}  ", printable(text), width)
    lines.append("")
    for text in card.cautions:
        lines += hanging("!  ", text, width)
    return "\n".join([*lines, "", *hanging("", printable(card.foot), width)])
