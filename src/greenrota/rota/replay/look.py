"""Looks: what has to be put under magnification before it is trusted again."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from greenrota.rota.replay.logged import LoggedState


@dataclass(frozen=True, slots=True)
class Inspection:
    """A living batch or bottle that may be contaminated: look at it, then log it as cleared or condemned."""

    subject: str
    on: date
    since: date
    because: str


def inspections(logged: LoggedState) -> tuple[Inspection, ...]:
    """Everything suspect that is still in a vessel or in the fridge, in order of suspicion."""
    state = logged.recorder.state
    alive = {culture.batch.id for culture in state.cultures.values()} | set(state.bottles)
    found = [
        Inspection(subject, logged.as_of, why.since, why.because)
        for subject, why in logged.suspects.items()
        if subject in alive
    ]
    return tuple(sorted(found, key=lambda look: (look.since, look.subject)))
