"""A month as it stands on paper: every text of the page, ready to be set as HTML or PDF."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from greenrota.culture.broth import ML_PER_L
from greenrota.rota.bench import Bench
from greenrota.rota.rota import Rota
from greenrota.views import amount, care
from greenrota.views.card import Cell, nutrient_card
from greenrota.views.day import dated, month_name, weekday
from greenrota.views.lettering import printable
from greenrota.views.month import Month, MonthDay

LEGEND = (
    "harvest: take out so much, then re-seed. dose: second nutrient dose. mix: salt water to mix. "
    "ripe: may be harvested; over-ripe: should have been. Hatched: away. Grey: no working day. !: overdue."
)

@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line of a day: the vessel (or "mix"), what is done with its main amount, and words of care."""

    name: str
    text: str
    care: str


@dataclass(frozen=True, slots=True)
class SheetDay:
    """A day: its date, a word for days without work, its kind (see `MonthDay`), its lines, and who is ripe."""

    date: str
    word: str
    kind: str
    lines: tuple[SheetLine, ...]
    ripe: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SheetTable:
    """A table of the foot; the first cell of a row names the vessels it holds for."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class MonthSheet:
    """The page: title, heads of the days, weeks, tables of doses with that of the salt water last, legend, cautions."""

    title: str
    note: str
    heads: tuple[str, ...]
    weeks: tuple[tuple[SheetDay, ...], ...]
    tables: tuple[SheetTable, ...]
    legend: str
    cautions: tuple[str, ...]


def month_sheet(month: Month) -> MonthSheet:
    """Everything that stands on the page of a month."""
    rota, last = month.rota, month.last
    nutrients = dict.fromkeys(bench.nutrient.name for bench in rota.benches.values())
    return MonthSheet(
        title=printable(f"{rota.plan.name}: {dated(month.first, last)} to {dated(last)}"),
        note=f"as of {dated(rota.as_of, last)}",
        heads=tuple(weekday(day.on) for day in month.weeks[0]),
        weeks=tuple(tuple(_day(month, day) for day in week) for week in month.weeks),
        tables=(*(_doses(rota, name) for name in nutrients), _water(rota)),
        legend=LEGEND,
        cautions=tuple(care.in_short(month.tasks)),
    )


def _day(month: Month, day: MonthDay) -> SheetDay:
    lines = [SheetLine("mix", f"{day.mix}, {day.salt} salt", day.care)] if day.mix else []
    for entry in day.entries:
        told = f"{', '.join(entry.words)}{'!' if entry.overdue else ''} {entry.amount}".strip()
        lines.append(SheetLine(printable(entry.vessel), told, entry.care))
    by_state: dict[str, list[str]] = {}
    for name, state in day.ripe.items():
        by_state.setdefault(state, []).append(printable(name))
    return SheetDay(
        date=f"{day.on.day} {month_name(day.on)}" if day.on.day == 1 or day.on == month.first else f"{day.on.day}",
        word=day.kind if day.kind in ("off", "away") else "",
        kind=day.kind,
        lines=tuple(lines),
        ripe=tuple(f"{state}: {', '.join(names)}" for state, names in by_state.items()),
    )


def _doses(rota: Rota, name: str) -> SheetTable:
    card, other = nutrient_card(rota, name), rota.plan.nutrients[name].other_part
    title = f"Dose of {name}" + ("" if other is None else f", and as much {other}")
    return _table(title, card.heads, card.rows)


def _water(rota: Rota) -> SheetTable:
    rows = [(name, _fillings(rota, bench)) for name, bench in rota.benches.items()]
    salinity_psu = next(iter(rota.benches.values())).salinity_psu
    return _table(f"Salt water, {salinity_psu:.3g} psu", ("vessel", "whole", "re-seed"), rows)


def _fillings(rota: Rota, bench: Bench) -> tuple[Cell, Cell]:
    """Volume and salt for the whole working volume, and for what a usual harvest takes out."""
    fresh_share = 1.0 - rota.cycles[bench.vessel.name].keep_share
    return _filling(rota, bench, 1.0), _filling(rota, bench, fresh_share)


def _filling(rota: Rota, bench: Bench, share: float) -> Cell:
    volume_l, units = share * bench.vessel.fill_l, rota.plan.units
    salt = amount.mass(volume_l * bench.salt_g_per_l, units)
    return Cell(f"{amount.volume(volume_l * ML_PER_L, units)}, {salt} salt")


def _table(title: str, heads: Sequence[str], rows: Sequence[tuple[str, Sequence[Cell]]]) -> SheetTable:
    """A table in which vessels with equal amounts share a row."""
    together: dict[tuple[str, ...], list[str]] = {}
    for name, cells in rows:
        together.setdefault(tuple(str(cell).replace("about ", "~") for cell in cells), []).append(printable(name))
    told = tuple((", ".join(names), *cells) for cells, names in together.items())
    return SheetTable(printable(title), tuple(heads), told)
