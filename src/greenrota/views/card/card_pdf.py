"""Dose cards as PDF."""

from __future__ import annotations

from collections.abc import Sequence

from greenrota.views.card.card import UNUSED, Card
from greenrota.views.card.card_page import LARGEST_PT, SMALLEST_PT
from greenrota.views.paper.page import Paper
from greenrota.views.paper.typeset import paper_size, typeset
from greenrota.views.tasks import care
from greenrota.views.text.lettering import printable


def cards_pdf(cards: Sequence[Card], paper: Paper) -> bytes:
    """A PDF with a page for every card; equal cards give equal bytes.

    Raises ImportError where the typesetter (extra `pdf`) is not installed.
    """
    return typeset("greenrota.views.card", "card", pages_data(cards, paper))


def pages_data(cards: Sequence[Card], paper: Paper) -> dict[str, object]:
    """All that is printed of cards, as the typesetter gets it."""
    return {
        "title": printable(", ".join(card.title for card in cards)),
        **paper_size(paper),
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
        "cautions": [care.whole(caution) for caution in card.cautions],
        "foot": printable(card.foot),
    }
