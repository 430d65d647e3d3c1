"""Dose cards as a document that prints, one card a page, in type as large as the card's content allows."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from greenrota.views.card.card import UNUSED, Card, Cell, Fact, Row
from greenrota.views.paper.markup import Markup, element
from greenrota.views.paper.page import Paper, document, named, paper_css
from greenrota.views.tasks import care
from greenrota.views.text.lettering import display_width

# Shares of the type size, measured on a sans-serif of usual width.
_LETTER = 0.53  # mean width of a letter
_LINE = 1.25  # height of a line
_MAIN, _HINT = 1.15, 0.8  # type of a field's figure and of its hint, as shares of the card's; our choice
_FULL = 0.92  # share of a line that is filled where a text runs on
_MM_PER_PT = 25.4 / 72.0  # exact: a typographic point is 1/72 in
_SPARE = 1.04  # share of the page that the estimate fills; it errs on the high side; our choice
_FILLED = 0.88  # share of the page that a card fills at least, its parts moved apart; our choice
_WHOLE = 10  # letters of a word that a column takes unbroken, a date or a short name; our choice
LARGEST_PT = 22.0  # our choice
SMALLEST_PT = 6.0  # our choice: holds a dozen vessels on A6; what needs smaller type goes on overleaf

_CSS = """
section { break-after: page; display: flex; flex-direction: column; justify-content: space-between; }
section:last-child { break-after: auto; }
table { flex-grow: 1; }
h1 { font-size: 1.9em; border-bottom: 0.8mm solid; padding-bottom: 0.1em; }
.lead { margin: 0.25em 0 0.45em; }
th { overflow-wrap: normal; font-size: 0.85em; border-bottom: 0.4mm solid; padding: 0.1em 0.3em 0.1em 0; }
td { border-bottom: 0.15mm solid; padding: 0.2em 0.6em 0.2em 0; }
td b { white-space: nowrap; display: block; font-size: 1.15em; }
tbody th { overflow-wrap: anywhere; font-size: 1em; border-bottom: 0.15mm solid; padding: 0.2em 0.5em 0.2em 0; }
td .small { font-size: 0.8em; display: block; }
tbody .whole { overflow-wrap: normal; }
dl { display: grid; grid-template-columns: max-content 1fr; gap: 0.1em 0.6em; margin: 0.6em 0; font-size: 0.85em; }
dt { font-weight: bold; }
.warn { padding: 0.3em 0.5em; font-size: 0.8em; }
.foot { font-size: 0.75em; margin-top: 0.4em; }
"""


def cards_html(cards: Sequence[Card], paper: Paper) -> str:
    """A self-contained HTML document with a page for every card."""
    sections = [_section(card, type_pt(card, paper)) for card in cards]
    title = ", ".join(card.title for card in cards)
    filled = f"section {{ min-height: {_FILLED * paper.room_mm[1]:.1f}mm; }}\n"
    return document(title, paper_css(paper) + _CSS + filled, sections)


def type_pt(card: Card, paper: Paper) -> float:
    """The largest type in points, by half points, at which the card should fill no more than its page."""
    steps = [LARGEST_PT - 0.5 * n for n in range(round((LARGEST_PT - SMALLEST_PT) / 0.5))]
    room_mm = paper.room_mm[1] * _SPARE
    return next((pt for pt in steps if _height_mm(card, paper, pt) <= room_mm), SMALLEST_PT)


def _height_mm(card: Card, paper: Paper, pt: float) -> float:
    """About how high the card comes out: the letters of every part folded into the width it has."""
    em_mm = pt * _MM_PER_PT
    across = paper.room_mm[0] / (em_mm * _LETTER)
    columns = _columns(card, across)
    lines = 2.2 * ceil(display_width(card.title) * 1.9 / across) + _folded(card.lead, across) + 1.0
    lines += 1.3 + sum(_row_lines(row, columns) for row in card.rows)
    lines += (
        sum(0.85 * _folded(text, (across - 9) / 0.85) + 0.1 for text in (fact.text for fact in card.facts))
        + 1.2
    )
    lines += sum(0.8 * _folded(care.whole(each), (across - 2) / 0.8) for each in card.cautions) + 0.8
    return (lines + 0.75 * _folded(card.foot, across / 0.75) + 0.4) * em_mm * _LINE


def _columns(card: Card, across: float) -> list[float]:
    """Letters that each column of the table gets, in proportion to its longest field."""
    fields = [
        [max(_MAIN * display_width(cell.main), _HINT * display_width(cell.hint)) for cell in row.cells]
        for row in card.rows
    ]
    names = [len(card.heads[0]), *(display_width(row.name) for row in card.rows)]
    widest = [max(map(float, names)), *(max(column) for column in zip(*fields, strict=True))]
    room = across - 1.5 * len(card.heads)
    return [width * room / sum(widest) for width in widest]


def _row_lines(row: Row, columns: Sequence[float]) -> float:
    heights = [
        _MAIN * _folded(cell.main, column / _MAIN) + _HINT * _folded(cell.hint, column / _HINT)
        for cell, column in zip(row.cells, columns[1:], strict=True)
    ]
    return max(_folded(row.name, columns[0]), *heights) + 0.65


def _folded(text: str, across: float) -> float:
    """Lines that a text takes; the ends of lines stay partly empty."""
    return float(ceil(display_width(text) / max(1.0, _FULL * across)))


def _section(card: Card, pt: float) -> Markup:
    return element(
        "section",
        element("h1", named(card.title)),
        element("p", named(card.lead), class_="lead"),
        _table(card),
        element("dl", *(part for fact in card.facts for part in _fact(fact))),
        element("div", *(element("p", care.whole(each)) for each in card.cautions), class_="warn"),
        element("p", named(card.foot), class_="foot small"),
        style=f"font-size: {pt:g}pt",
    )


def _table(card: Card) -> Markup:
    if not card.rows:
        return element("p", UNUSED)
    heads = element("thead", element("tr", *(element("th", head, scope="col") for head in card.heads)))
    rows = [
        element(
            "tr",
            element("th", named(row.name), scope="row", class_="whole" if _whole(row.name) else None),
            *map(_cell, row.cells),
        )
        for row in card.rows
    ]
    return element("table", heads, element("tbody", *rows))


def _whole(text: str) -> bool:
    """True where every word is short enough to stand in a column unbroken."""
    return all(display_width(word) <= _WHOLE for word in text.split())


def _cell(cell: Cell) -> Markup:
    hint = (
        element("span", named(cell.hint), class_="small whole" if _whole(cell.hint) else "small")
        if cell.hint
        else None
    )
    return element("td", element("b", named(cell.main)), hint)


def _fact(fact: Fact) -> tuple[Markup, Markup]:
    return element("dt", fact.name), element("dd", named(fact.text))
