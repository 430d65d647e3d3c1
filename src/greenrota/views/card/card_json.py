"""Dose cards for other programs: every line of each card, and the figures behind the lines."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date

from greenrota.views.card.card import Card, Row
from greenrota.views.text.document import json_document

FORMAT = "greenrota/card/1"
# By kind of card: the list it goes into, the list of its rows, and what the name of a row is.
_PLACES = {"nutrient": ("nutrients", "doses", "vessel"), "vessel": ("vessels", "pours", "event")}


def cards_json(cards: Iterable[Card], as_of: date) -> str:
    """Cards as one JSON object, `greenrota/card/1`."""
    answer: dict[str, object] = {"as_of": as_of.isoformat()}
    lists: dict[str, list[object]] = {place: [] for place, _, _ in _PLACES.values()}
    for card in cards:
        lists[_PLACES[card.kind][0]].append(_card(card))
    return json_document(FORMAT, answer | lists)


def _card(card: Card) -> dict[str, object]:
    _, rows, named = _PLACES[card.kind]
    answer: dict[str, object] = {card.kind: card.title, **card.figures}
    for fact in card.facts:
        answer |= fact.figures
    return answer | {
        rows: [_row(card, row, named) for row in card.rows],
        "lead": card.lead,
        "lines": [{"name": fact.name, "text": fact.text} for fact in card.facts],
        "cautions": [caution.text for caution in card.cautions],
        "foot": card.foot,
    }


def _row(card: Card, row: Row, named: str) -> dict[str, object]:
    cells = [
        {"head": head, "text": cell.main, "hint": cell.hint}
        for head, cell in zip(card.heads[1:], row.cells, strict=True)
    ]
    return {named: row.name, **row.figures, "cells": cells}
