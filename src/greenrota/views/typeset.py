"""Dose cards and the page of a month as PDF.

The typesetter is an optional package. What is printed goes in as data, never as its source.
"""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import asdict
from importlib import resources

from greenrota.views import month_page
from greenrota.views.card import UNUSED, Card
from greenrota.views.card_page import LARGEST_PT, SMALLEST_PT
from greenrota.views.lettering import printable
from greenrota.views.month import Month
from greenrota.views.month_sheet import month_sheet
from greenrota.views.page import Paper

PDF_MARK = "made by greenrota"  # a keyword of the document; tells our own files from those of others


def cards_pdf(cards: Sequence[Card], paper: Paper) -> bytes:
    """A PDF with a page for every card; equal cards give equal bytes.

    Raises ImportError where the typesetter (extra `pdf`) is not installed.
    """
    return _set("card.typ", "cards", pages_data(cards, paper))


def month_pdf(month: Month, paper: Paper) -> bytes:
    """A PDF with the page of a month; equal months give equal bytes. ImportError as in `cards_pdf`."""
    told = {
        **_room(paper),
        **asdict(month_sheet(month)),
        "largest_pt": month_page.LARGEST_PT,
        "smallest_pt": month_page.SMALLEST_PT,
    }
    return _set("month.typ", "month", told)


def _set(source: str, name: str, told: dict[str, object]) -> bytes:
    """A PDF made from one of our own sources and the data it reads under that name."""
    import typst

    text = resources.files("greenrota.views").joinpath(source).read_bytes()
    made: bytes = typst.compile(text, sys_inputs={name: json.dumps(told, ensure_ascii=False)}, format="pdf")
    return made


def _room(paper: Paper) -> dict[str, object]:
    return {"width_mm": paper.width_mm, "height_mm": paper.height_mm, "margin_mm": paper.margin_mm}


def pages_data(cards: Sequence[Card], paper: Paper) -> dict[str, object]:
    """All that is printed of cards, as the typesetter gets it."""
    return {
        "title": printable(", ".join(card.title for card in cards)),
        **_room(paper),
        "largest_pt": LARGEST_PT,
        "smallest_pt": SMALLEST_PT,
        "unused": UNUSED,
        "cards": [_card(card) for card in cards],
    }


def _card(card: Card) -> dict[str, object]:
    return {
        "title": printable(card.title),
        "lead": printable(card.lead),
        "heads": list(card.heads),
        "rows": [
            {
                "name": printable(row.name),
                "cells": [{"main": printable(c.main), "hint": printable(c.hint)} for c in row.cells],
            }
            for row in card.rows
        ],
        "facts": [{"name": fact.name, "text": printable(fact.text)} for fact in card.facts],
        "cautions": list(card.cautions),
        "foot": printable(card.foot),
    }
