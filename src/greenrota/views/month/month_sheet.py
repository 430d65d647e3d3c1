"""A month as it stands on paper: every text of the page, ready to be set as HTML or PDF."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.rota.rota import Rota
from greenrota.rota.state.bench import Bench
from greenrota.rota.tasks.measured import alone
from greenrota.views.card.card import Cell
from greenrota.views.card.nutrient_card import nutrient_card
from greenrota.views.card.vessel_card import at_rhythm
from greenrota.views.month.month import Month, MonthDay
from greenrota.views.tasks import care
from greenrota.views.text import amount
from greenrota.views.text.day import dated, month_name, weekday
from greenrota.views.text.lettering import printable

_BEFORE_UNIT = re.compile(r"(?<=\d) (?=[A-Za-z])")
_NARROW = 0.55  # our choice: the width of a weekday without any work, as a share of the others'
LEGEND = (
    "harvest: take out so much, then re-seed. dose: second nutrient dose. mix: salt water to mix. "
    "ripe: may be harvested; over-ripe: should have been. Hatched: away. Grey: no working day. !: overdue."
)


@dataclass(frozen=True, slots=True)
class SheetLine:
    """One line of a day: the vessel (or "clean"), and what is done with its main amount."""

    name: str
    text: str


@dataclass(frozen=True, slots=True)
class SheetDay:
    """A day: its date and what stands beside it, its kind (see `MonthDay`), its lines, words of care, who is ripe.

    Beside the date stand a word for a day without work and the salt water to mix.
    """

    date: str
    beside: str
    kind: str
    lines: tuple[SheetLine, ...]
    care: str
    ripe: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SheetTable:
    """A table of the foot; the first cell of a row names the vessels it holds for."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class MonthSheet:
    """The page of a month as texts. `widths` are those of the weekdays; the last table is of the salt water."""

    title: str
    note: str
    heads: tuple[str, ...]
    widths: tuple[float, ...]
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
        note=f"as of {dated(rota.as_of, last)}"
        + (f", planned through {dated(rota.through, last)}" if last > rota.through else ""),
        heads=tuple(weekday(day.on) for day in month.weeks[0]),
        widths=tuple(
            _NARROW if all(_is_idle(day) for day in column) else 1.0
            for column in zip(*month.weeks, strict=True)
        ),
        weeks=tuple(tuple(_day(month, day) for day in week) for week in month.weeks),
        tables=(*(_doses(rota, name) for name in nutrients), _water(rota)),
        legend=LEGEND,
        cautions=tuple(care.in_short(month.tasks)),
    )


def _day(month: Month, day: MonthDay) -> SheetDay:
    lines = [SheetLine("clean", printable(", ".join(day.clean)))] if day.clean else []
    for entry in day.entries:
        text = f"{', '.join(entry.words)}{'!' if entry.overdue else ''} {entry.amount}".strip()
        lines.append(SheetLine(printable(entry.vessel), together(text)))
    kind = day.kind if day.kind in ("off", "away") else ""
    mix = together(f"mix {day.mix}, {day.salt} salt") if day.mix else ""
    by_state: dict[str, list[str]] = {}
    for name, state in day.ripe.items():
        by_state.setdefault(state, []).append(printable(name))
    return SheetDay(
        date=f"{day.on.day} {month_name(day.on)}"
        if day.on.day == 1 or day.on == month.first
        else f"{day.on.day}",
        beside=" ".join(word for word in (kind, mix) if word),
        kind=day.kind,
        lines=tuple(lines),
        care=f"care: {day.care}" if day.care else "",
        ripe=tuple(f"{state}: {', '.join(names)}" for state, names in by_state.items()),
    )


def _is_idle(day: MonthDay) -> bool:
    return not (day.entries or day.mix)


def together(text: str) -> str:
    """The text with every number and the unit behind it kept on one line.

    >>> together("mix 2.40 L")
    'mix 2.40\\xa0L'
    """
    return _BEFORE_UNIT.sub("\u00a0", text)


def _doses(rota: Rota, name: str) -> SheetTable:
    card, other = nutrient_card(rota, name), rota.plan.nutrients[name].other_part
    title = f"Dose of {name}" + ("" if other is None else f", and as much {other}")
    return _table(title, card.heads, [(row.name, row.cells) for row in card.rows])


def _water(rota: Rota) -> SheetTable:
    rows = [(name, _fillings(rota, bench)) for name, bench in rota.benches.items()]
    salinity_psu = next(iter(rota.benches.values())).salinity_psu
    return _table(f"Salt water, {salinity_psu:.3g} psu", ("vessel", "whole", "re-seed"), rows)


def _fillings(rota: Rota, bench: Bench) -> tuple[Cell, Cell]:
    """Volume and salt for the whole working volume, and for what a usual harvest takes out."""
    fill_l = bench.vessel.fill_l
    usual = alone(at_rhythm(rota, bench))  # as measured, so that it is what the card and the tasks say
    return (
        _filling(rota, fill_l * ML_PER_L, fill_l * bench.salt_g_per_l),
        _filling(rota, usual.seawater_ml or 0.0, usual.salt_g or 0.0),
    )


def _filling(rota: Rota, volume_ml: float, salt_g: float) -> Cell:
    units = rota.plan.units
    return Cell(f"{amount.volume(volume_ml, units)}, {amount.mass(salt_g, units)} salt")


def _table(title: str, heads: Sequence[str], rows: Sequence[tuple[str, Sequence[Cell]]]) -> SheetTable:
    """A table in which vessels with equal amounts share a row."""
    alike: dict[tuple[str, ...], list[str]] = {}
    for name, cells in rows:
        alike.setdefault(tuple(together(str(cell).replace("about ", "~")) for cell in cells), []).append(
            printable(name)
        )
    shared = tuple((", ".join(names), *cells) for cells, names in alike.items())
    return SheetTable(printable(title), tuple(heads), shared)
