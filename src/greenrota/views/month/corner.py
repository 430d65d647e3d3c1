"""The corner of the month's page: dry salt and nutrient for any amount of salt water."""

from __future__ import annotations

import re
from dataclasses import dataclass

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.rota.rota import Rota
from greenrota.rota.state.bench import Bench
from greenrota.views.card.card import measured
from greenrota.views.card.nutrient_card import dose_cell
from greenrota.views.text import amount
from greenrota.views.text.amount import US_GALLON_ML
from greenrota.views.text.as_written import short_salinity_text
from greenrota.views.text.lettering import printable

_INSIDE_AMOUNT = re.compile(r"(?<=\d) (?=[A-Za-z])|(?<=\d US) (?=[a-z])|(?<=\+) (?=\d)")
_MOST_ROWS, _MOST_BETWEEN = 5, 2  # our choice: what still stands in large type in a corner
_SAME = 1e-6  # a share: fills that rounding alone tells apart; our choice
_STEPS = tuple(digit * 10.0**power for power in range(-2, 4) for digit in (1, 2, 5))  # our choice
_US_QUART_ML = US_GALLON_ML / 4  # exact


@dataclass(frozen=True, slots=True)
class Corner:
    """A table: its title, its heads and its rows as texts; `rule` says how it is read at a re-seed and at a start."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    rule: str


def corner(rota: Rota) -> Corner:
    """Dry salt and nutrient for even steps of salt water up to the largest fill and for every fill between them.

    So any re-seed can be read off, whatever it draws, and any start.
    """
    units, benches = rota.plan.units, {bench.nutrient.name: bench for bench in rota.benches.values()}
    salted = next(iter(rota.benches.values()))
    fills = {bench.vessel.fill_l for bench in rota.benches.values()}
    steps = _even_steps_l(max(fills), units)
    between = [fill for fill in sorted(fills) if all(abs(fill - step) > _SAME * fill for step in steps)]
    rows = [
        (
            measured(amount.volume(litres * ML_PER_L, units)).main,
            measured(amount.mass(litres * salted.salt_g_per_l, units)).main,
            *(_dose(rota, bench, litres) for bench in benches.values()),
        )
        for litres in sorted((*steps, *between[:_MOST_BETWEEN]))
    ]
    heads = ("water", "dry salt", *(_bottles(bench) for bench in benches.values()))
    return Corner(
        printable(f"Salt water of {short_salinity_text(rota.plan)}"),
        tuple(map(printable, heads)),
        tuple(tuple(together(printable(cell)) for cell in row) for row in rows),
        together(printable(_rule(rota))),
    )


def _rule(rota: Rota) -> str:
    alike: dict[str, list[str]] = {}
    for bench in rota.benches.values():
        fill = measured(amount.volume(bench.vessel.fill_l * ML_PER_L, rota.plan.units)).main
        alike.setdefault(fill, []).append(bench.vessel.name)
    fills = "; ".join(f"{fill} {', '.join(names)}" for fill, names in alike.items())
    if len(alike) == 1:
        fills = f"{next(iter(alike))} in every vessel"
    return f"Salt and nutrient go by the new water (+); the nutrient of a start by the whole fill: {fills}."


def _even_steps_l(largest_l: float, units: str) -> tuple[float, ...]:
    """Even amounts of water in L that reach the largest, at most five of them; US quarts for "us".

    >>> _even_steps_l(4.0, "metric"), _even_steps_l(2.5, "metric")
    ((1.0, 2.0, 3.0, 4.0), (0.5, 1.0, 1.5, 2.0, 2.5))
    """
    unit_l = _US_QUART_ML / ML_PER_L if units == "us" else 1.0
    needed = largest_l / unit_l * (1.0 - _SAME)  # a gallon is four quarts in spite of rounding
    step = next((step for step in _STEPS if needed <= _MOST_ROWS * step), _STEPS[-1])
    rows = min(_MOST_ROWS, 1 + int(needed / step))
    return tuple(round(n * step, 9) * unit_l for n in range(1, rows + 1))


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
