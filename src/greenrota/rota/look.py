"""Looks: what has to be put under magnification before it is trusted again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from greenrota.rota.history import History


@dataclass(frozen=True, slots=True)
class Look:
    """A living batch or bottle that may be contaminated: look at it, then log it as cleared or condemned."""

    subject: str
    on: date
    since: date
    because: str


def looks(history: History) -> tuple[Look, ...]:
    """Everything suspect that is still in a vessel or in the fridge, in order of suspicion."""
    shelf = history.diary.shelf
    alive = {standing.batch.id for standing in shelf.standing.values()} | set(shelf.bottles)
    found = [
        Look(subject, history.as_of, why.since, why.because)
        for subject, why in history.suspects.items()
        if subject in alive
    ]
    return tuple(sorted(found, key=lambda look: (look.since, look.subject)))
