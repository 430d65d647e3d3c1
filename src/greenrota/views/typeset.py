"""Dose cards as PDF. The typesetter is an optional package; what is printed goes in as data, never as its source."""

from __future__ import annotations

import json
from collections.abc import Sequence
from importlib import resources

from greenrota.views.card import UNUSED, Card
from greenrota.views.card_page import LARGEST_PT, SMALLEST_PT
from greenrota.views.lettering import printable
from greenrota.views.page import Paper

PDF_MARK = "made by greenrota"  # a keyword of the document; tells our own files from those of others


def cards_pdf(cards: Sequence[Card], paper: Paper) -> bytes:
    """A PDF with a page for every card; equal cards give equal bytes.

    Raises ImportError where the typesetter (extra `pdf`) is not installed.
    """
    import typst

    source = resources.files("greenrota.views").joinpath("card.typ").read_bytes()
    told = json.dumps(pages_data(cards, paper), ensure_ascii=False)
    made: bytes = typst.compile(source, sys_inputs={"cards": told}, format="pdf")
    return made


def pages_data(cards: Sequence[Card], paper: Paper) -> dict[str, object]:
    """All that is printed, as the typesetter gets it."""
    return {
        "title": printable(", ".join(card.title for card in cards)),
        "width_mm": paper.width_mm,
        "height_mm": paper.height_mm,
        "margin_mm": paper.margin_mm,
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
