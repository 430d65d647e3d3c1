"""A dose card, what hangs beside a nutrient bottle or a vessel: the one record that every way out shows whole.

Text, page, PDF and JSON are views of it. A line that is added to the record is added to all of them.
"""

from collections.abc import Mapping
from typing import NamedTuple

from greenrota.culture.bench.sanitation import Caution
from greenrota.frozen import FrozenDict
from greenrota.rota.rota import Rota
from greenrota.views.tasks import care
from greenrota.views.text.day import day_text
from greenrota.views.text.lettering import hanging, printable
from greenrota.views.text.table import Column, render_table

NOTHING = "-"
UNUSED = "no vessel of the plan takes it"
_JUG = (" US gal", " US qt", " US cup")  # US units of what is poured from a jug
_SPOON = " US tsp"  # nobody measures a tenth of it, and a syringe is at hand
_NO_FIGURES: Mapping[str, object] = FrozenDict()


class Cell(NamedTuple):
    """One field of a card's table: the figure that is read from afar, and a hint in smaller type below it."""

    main: str
    hint: str = ""

    def __str__(self) -> str:
        return f"{self.main} ({self.hint})" if self.hint else self.main


class Row(NamedTuple):
    """A row of a card's table with its name; `figures` are its amounts for other programs, unit in the key."""

    name: str
    cells: tuple[Cell, ...]
    figures: Mapping[str, object] = _NO_FIGURES


class Fact(NamedTuple):
    """A line of a card below its table; `figures` are what it says for other programs, unit in the key."""

    name: str
    text: str
    figures: Mapping[str, object] = _NO_FIGURES


class Card(NamedTuple):
    """A card: title, what it is, a table (heads, then rows), facts, cautions, foot.

    `kind` is "nutrient" or "vessel"; `figures` are those of title and lead, as in `Fact`.
    """

    kind: str
    title: str
    lead: str
    figures: Mapping[str, object]
    heads: tuple[str, ...]
    rows: tuple[Row, ...]
    facts: tuple[Fact, ...]
    cautions: tuple[Caution, ...]
    foot: str


def measured(text: str, *hints: str) -> Cell:
    """An amount as a field; hints follow in smaller type.

    Where US units stand beside it in brackets, jug and scale are read in US units and the metric amount is the hint;
    what a syringe measures stays in mL.

    >>> measured("3.43 L (3.62 US qt)"), measured("0.75 mL (0.15 US tsp)", "about 15 drops")
    (Cell(main='3.62 US qt', hint='3.43 L'), Cell(main='0.75 mL', hint='about 15 drops'))
    """
    metric, _, beside = text.partition(" (")
    beside = beside.removesuffix(")")
    if beside.endswith(_JUG) or (beside and metric.endswith("g")):
        metric, beside = beside, metric
    return Cell(metric, ", ".join(hint for hint in (beside, *hints) if hint and not hint.endswith(_SPOON)))


def foot(rota: Rota) -> str:
    """The last line of a card."""
    return f"{rota.plan.name}, as of {day_text(rota.as_of)}. A task that names another amount goes first."


def card_text(card: Card, width: int | None = None) -> str:
    """A card for the terminal, no newline at the end; `width` wraps to the screen, None wraps nothing."""
    lines = [printable(card.title), *hanging("", printable(card.lead), width), ""]
    if card.rows:
        columns = [Column(head) for head in card.heads]
        lines.append(render_table(columns, [(row.name, *map(str, row.cells)) for row in card.rows], width))
    else:
        lines.append(UNUSED)
    widest = max(len(fact.name) for fact in card.facts)
    lines.append("")
    for fact in card.facts:
        lines += hanging(f"{fact.name:<{widest}}  ", printable(fact.text), width)
    lines.append("")
    for caution in card.cautions:
        lines += hanging("!  ", care.whole(caution), width)
    return "\n".join([*lines, "", *hanging("", printable(card.foot), width)])
