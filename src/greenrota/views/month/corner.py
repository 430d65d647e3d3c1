"""The corner of the month's page: dry salt and nutrient for any amount of new salt water, and the dose of a start."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.rota.rota import Rota
from greenrota.rota.state.bench import Bench
from greenrota.rota.tasks.task import Task
from greenrota.views.card.card import measured
from greenrota.views.card.nutrient_card import dose_cell, label_doses_l
from greenrota.views.text import amount
from greenrota.views.text.amount import US_GALLON_ML
from greenrota.views.text.as_written import short_salinity_text
from greenrota.views.text.lettering import printable

_INSIDE_AMOUNT = re.compile(r"(?<=\d) (?=[A-Za-z])|(?<=\d US) (?=[a-z])|(?<=\+) (?=\d)")
_MOST_ROWS = 5  # our choice: what still stands in large type in a corner
_STEPS = tuple(digit * 10.0**power for power in range(-2, 4) for digit in (1, 2, 5))  # our choice
_US_QUART_ML = US_GALLON_ML / 4  # exact


@dataclass(frozen=True, slots=True)
class SheetTable:
    """A table of the corner: its title, its heads and its rows as texts."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


def corner(rota: Rota, tasks: Iterable[Task]) -> tuple[SheetTable, SheetTable]:
    """What is dissolved in new salt water by its amount, and the doses of each vessel's whole fill.

    A second dose is told where one of the tasks is one.
    """
    return _new_water(rota), _whole_fills(rota, any(task.kind == "feed" for task in tasks))


def _new_water(rota: Rota) -> SheetTable:
    """Rows of even steps up to the largest fill, so that any re-seed can be read off, whatever it draws."""
    benches = {bench.nutrient.name: bench for bench in rota.benches.values()}
    salted = next(iter(rota.benches.values()))
    largest_l = max(bench.vessel.fill_l for bench in rota.benches.values())
    rows = [
        (
            measured(amount.volume(litres * ML_PER_L, rota.plan.units)).main,
            measured(amount.mass(litres * salted.salt_g_per_l, rota.plan.units)).main,
            *(_dose(rota, bench, litres) for bench in benches.values()),
        )
        for litres in _even_steps_l(largest_l, rota.plan.units)
    ]
    heads = ("new water", "dry salt", *(_bottles(bench) for bench in benches.values()))
    return _table(f"Re-seed: salt water of {short_salinity_text(rota.plan)}", heads, rows)


def _even_steps_l(largest_l: float, units: str) -> tuple[float, ...]:
    """Even amounts of water in L that reach the largest, at most five of them; US quarts for "us".

    >>> _even_steps_l(4.0, "metric"), _even_steps_l(2.5, "metric")
    ((1.0, 2.0, 3.0, 4.0), (0.5, 1.0, 1.5, 2.0, 2.5))
    """
    unit_l = _US_QUART_ML / ML_PER_L if units == "us" else 1.0
    needed = largest_l / unit_l * (1.0 - 1e-9)  # a gallon is four quarts in spite of rounding
    step = next((step for step in _STEPS if needed <= _MOST_ROWS * step), _STEPS[-1])
    rows = min(_MOST_ROWS, 1 + int(needed / step))
    return tuple(round(n * step, 9) * unit_l for n in range(1, rows + 1))


def _whole_fills(rota: Rota, second: bool) -> SheetTable:
    several = len({bench.nutrient.name for bench in rota.benches.values()}) > 1
    alike: dict[tuple[str, ...], list[str]] = {}
    for bench in rota.benches.values():
        alike.setdefault(tuple(_of_fill(rota, bench, second, several)), []).append(bench.vessel.name)
    heads = ("vessel", "fill", "start", *(("second dose",) if second else ()))
    return _table(
        "Start: the whole fill", heads, [(", ".join(names), *cells) for cells, names in alike.items()]
    )


def _of_fill(rota: Rota, bench: Bench, second: bool, several: bool) -> Iterator[str]:
    fill_l, _, second_l = label_doses_l(rota, bench)
    of = f" {_bottles(bench)}" if several else ""
    yield measured(amount.volume(fill_l * ML_PER_L, rota.plan.units)).main
    yield _dose(rota, bench, fill_l) + of
    if second:
        yield _dose(rota, bench, second_l) + of


def _bottles(bench: Bench) -> str:
    """The bottle a vessel is dosed from, and the other part of a two-part concentrate."""
    other = bench.nutrient.other_part
    return bench.nutrient.name if other is None else f"{bench.nutrient.name}, as much {other}"


def _dose(rota: Rota, bench: Bench, label_doses_l: float) -> str:
    return str(dose_cell(bench, label_doses_l, rota.plan.units)).replace("about ", "~")


def jug(text: str) -> str:
    """An amount as the measure at hand shows it: one figure, in US units for jug and scale where they are asked for.

    >>> jug("2.83 L (2.99 US qt)"), jug("0.75 mL (0.15 US tsp)"), jug("900 mL")
    ('2.99 US qt', '0.75 mL', '900 mL')
    """
    return measured(text).main if text else ""


def together(text: str) -> str:
    """The text with every number kept on one line with the unit behind it and a plus before it.

    >>> together("mix 2.40 L")
    'mix 2.40\\xa0L'
    """
    return _INSIDE_AMOUNT.sub("\u00a0", text)


def _table(title: str, heads: Sequence[str], rows: Sequence[Sequence[str]]) -> SheetTable:
    return SheetTable(
        printable(title),
        tuple(map(printable, heads)),
        tuple(tuple(together(printable(cell)) for cell in row) for row in rows),
    )
