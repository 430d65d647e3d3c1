"""What stands in a vessel on a day of a rota, read from the walk behind it."""

from __future__ import annotations

from datetime import date

from greenrota.culture.broth import Broth
from greenrota.rota.rota import Rota
from greenrota.rota.visit import Choice, Span


def vessel_spans(rota: Rota, vessel: str) -> list[Span]:
    """The untouched stretches of a vessel in the order of time: those the logbook tells of, then the projected ones."""
    spans = (*rota.history, *rota.forecast.spans)
    return sorted(
        (span for span in spans if span.batch.vessel == vessel), key=lambda span: (span.first, span.last)
    )


def grown(rota: Rota, span: Span, on: date) -> Broth:
    """The broth of a stretch on one of its days."""
    return rota.benches[span.batch.vessel].lit(span.light_h).grow(span.broth, float((on - span.first).days))


def before_work(rota: Rota, vessel: str, on: date) -> tuple[Span, Broth] | None:
    """What stands in a vessel before anything is done on a day; None if it is empty then.

    On the day the rota stands at, what was logged for that day has been done already.
    """
    if on == rota.as_of:
        standing = rota.shelf.standing.get(vessel)
        if standing is None:
            return None
        span = Span(standing.batch, standing.on, on, standing.broth, standing.light_h)
        return span, grown(rota, span, on)
    for span in vessel_spans(rota, vessel):
        if span.first < on <= span.last:
            return span, grown(rota, span, on)
    return None


def after_work(rota: Rota, vessel: str, on: date) -> tuple[Span, Broth] | None:
    """What stands in a vessel when the day's tasks are done; None if it is empty then.

    A stretch that ends on a day from which no other goes on ended with the vessel being emptied.
    """
    end = max(rota.as_of, rota.through)
    emptied = {visit.batch.id for visit in rota.forecast.visits if visit.kind == "renew" and visit.on == on}
    for span in reversed(vessel_spans(rota, vessel)):
        if span.first <= on <= span.last and span.batch.id not in emptied:
            return (span, grown(rota, span, on)) if on < span.last or on == end else None
    return None


def choice_of(rota: Rota, batch: str) -> Choice | None:
    """The harvest that was chosen for a batch, with its outlook; None where the walk chose none."""
    return next((choice for choice in rota.forecast.choices if choice.batch.id == batch), None)
