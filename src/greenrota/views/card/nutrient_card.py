"""The card of a nutrient bottle: its dose for every vessel and event, in the measure that its label uses."""

from __future__ import annotations

from collections.abc import Iterable

from greenrota.culture.bench.dose import DROP_VOLUME_ERROR, DROPS_PER_ML, dose_ml, drops
from greenrota.culture.bench.sanitation import CAUTIONS
from greenrota.culture.data.medium import Medium, ion_mg_per_l
from greenrota.culture.growth.broth import ML_PER_L
from greenrota.rota.plan import Nutrient
from greenrota.rota.rota import Rota
from greenrota.rota.state.bench import Bench
from greenrota.rota.tasks.supplies import left_in_bottle_ml, runs_dry
from greenrota.views.card.card import Card, Cell, Fact, Row, foot, measured
from greenrota.views.tasks.pour import MOST_DROPS, drops_hint
from greenrota.views.text import amount
from greenrota.views.text.amount import US_GALLON_ML
from greenrota.views.text.as_written import dose_text, in_drops
from greenrota.views.text.day import day_text
from greenrota.views.text.document import figure

_STORAGE = "cap closed, cool and dark, upright (common practice, no source); the bottle's label comes first"
DROPS_FACT = (
    f"{DROPS_PER_ML:.0f} of a {DROPS_PER_ML:.0f}-per-mL dropper are 1 mL, but may be "
    f"{DROP_VOLUME_ERROR:.0%} more or less; a syringe is better"
)
_EVENTS = ("start_ml", "reseed_ml", "second_dose_ml")


def nutrient_card(rota: Rota, name: str) -> Card:
    """The card of a nutrient bottle: its dose for every vessel and event. KeyError: no such nutrient.

    A second bottle of a two-part concentrate shows the vessels of the first, which is dosed alike.
    """
    nutrient = rota.plan.nutrients[name]
    taken = [b for b in rota.benches.values() if name in (b.nutrient.name, b.nutrient.other_part)]
    lead = next((bench.nutrient for bench in taken), nutrient)
    return Card(
        kind="nutrient",
        title=name,
        lead=f"nutrient, {nutrient.medium.title}: {dose_text(lead)} of new seawater",
        figures={
            "medium": nutrient.medium.name,
            "dose_ml_per_l": figure(nutrient.dose_ml_per_l),
            "dose_as_written": dose_text(nutrient),
        },
        heads=("vessel", "start", "re-seed", "second dose"),
        rows=tuple(_row(rota, bench) for bench in taken),
        facts=tuple(_facts(rota, nutrient, taken)),
        cautions=(CAUTIONS["nutrient"],),
        foot=foot(rota),
    )


def _row(rota: Rota, bench: Bench) -> Row:
    doses_l = label_doses_l(rota, bench)
    poured_ml: list[float | None] = [
        figure(dose_ml(litres, bench.nutrient.dose_ml_per_l)) for litres in doses_l
    ]
    if draws_vary(rota, bench):
        poured_ml[1] = None
    figures = dict(zip(_EVENTS, poured_ml, strict=True))
    return Row(bench.vessel.name, dose_cells(rota, bench), figures)


def draws_vary(rota: Rota, bench: Bench) -> bool:
    """True where each harvest of the vessel may take another share, so that no dose fits every re-seed."""
    return bool(rota.cycles[bench.vessel.name].carry_overs)


def dose_cells(rota: Rota, bench: Bench, of: str = "") -> tuple[Cell, Cell, Cell]:
    """The doses of a start, a re-seed and a second dose; that of a re-seed by the new water where draws vary."""
    units = rota.plan.units
    fill_l, new_l, second_l = label_doses_l(rota, bench)
    by = f"{of} to a {'gallon' if units == 'us' else 'litre'} of new water".strip()
    return (
        dose_cell(bench, fill_l, units, of),
        dose_cell(bench, new_l, units, by if draws_vary(rota, bench) else of),
        dose_cell(bench, second_l, units, of),
    )


def label_doses_l(rota: Rota, bench: Bench) -> tuple[float, float, float]:
    """Litres at label strength for a start, a re-seed and a second dose of a vessel at its working volume.

    Where draws vary, that of a re-seed is for a litre (a US gallon) of new water.
    """
    cycle, fill_l = rota.cycles[bench.vessel.name], bench.vessel.fill_l
    new_l = (1.0 - cycle.keep_share) * fill_l
    if draws_vary(rota, bench):
        new_l = US_GALLON_ML / ML_PER_L if rota.plan.units == "us" else 1.0
    return fill_l, new_l, cycle.feed_dose * fill_l


def dose_cell(bench: Bench, label_doses_l: float, units: str, of: str = "") -> Cell:
    """A dose as a field: in mL with drops as a hint, or in drops with what they may really be.

    Drops come first where the label counts drops and there are few enough to count. `of` names the bottle.
    """
    ml = dose_ml(label_doses_l, bench.nutrient.dose_ml_per_l)
    about = drops(ml)
    if in_drops(bench.nutrient) and 0 < about.number <= MOST_DROPS:
        low, high = (amount.volume(each_ml) for each_ml in (about.low_ml, about.high_ml))
        error = f"{amount.volume(ml)}, may be {low.removesuffix(' mL')} to {high}"
        return Cell(drops_hint(ml, "").strip(" ()"), ", ".join(part for part in (of, error) if part))
    return measured(amount.volume(ml, units), of, drops_hint(ml).strip(" ()"))


def _facts(rota: Rota, nutrient: Nutrient, taken: Iterable[Bench]) -> Iterable[Fact]:
    units = rota.plan.units
    doses_ml = [
        dose_ml(litres, bench.nutrient.dose_ml_per_l)
        for bench in taken
        for litres in label_doses_l(rota, bench)
    ]
    if any(drops_hint(ml) for ml in doses_ml):
        yield Fact("drops", DROPS_FACT, {"drops_per_ml": DROPS_PER_ML, "drop_error_share": DROP_VOLUME_ERROR})
    yield Fact("brings", _brings(nutrient.medium))
    if nutrient.medium.compounds:
        yield Fact("recipe", _recipe(nutrient.medium))
    if nutrient.other_part is not None:
        yield Fact("with it", f"the same dose of {nutrient.other_part}", {"other_part": nutrient.other_part})
    left_ml = left_in_bottle_ml(rota.plan, nutrient.name, rota.poured)
    left = "not given" if left_ml is None else str(measured(amount.volume(left_ml, units)))
    held = {"bottle_ml": figure(nutrient.bottle_ml), "left_ml": figure(left_ml)}
    yield Fact("holds", f"{left} on {day_text(rota.as_of)}", held)
    opened = nutrient.opened
    yield Fact(
        "opened",
        "____________" if opened is None else day_text(opened),
        {"opened": None if opened is None else opened.isoformat()},
    )
    yield _end(rota, nutrient)
    yield Fact("storage", _STORAGE)


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


def _end(rota: Rota, nutrient: Nutrient) -> Fact:
    dry = runs_dry(rota.plan, rota.tasks, rota.poured).get(nutrient.name)
    figures = {"runs_dry": None if dry is None else dry.isoformat()}
    if nutrient.bottle_ml is None:
        return Fact("runs dry", "not known: the plan does not say what is left in it", figures)
    return Fact(
        "runs dry", f"lasts through {day_text(rota.through)}" if dry is None else day_text(dry), figures
    )
