"""The note for a visitor on days away: what to feed, what to look at, what to leave alone."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import groupby

from greenrota.culture.bench.sanitation import CAUTIONS
from greenrota.rota.answers.away import Departure
from greenrota.rota.feed.daily import RationDay
from greenrota.rota.feed.pouring import SHORT_ML
from greenrota.views.feed.withheld import withheld_lines
from greenrota.views.tasks import care
from greenrota.views.text import amount
from greenrota.views.text.day import day_text
from greenrota.views.text.lettering import hanging, printable

# All of these: common practice, no source.
LOOK_AT = (
    ("level", "the water stands at the mark on the jar; a line of salt above it is usual"),
    ("bubbles", "air comes in every vessel, without a pause; if not, see that the pump is plugged in"),
    ("lamp", "on by day and off by night by itself; no cord lies in water, nothing is hot or smells"),
    ("colour", "green or brown and even; clear water, flocs or thick foam: change nothing, call"),
)
# All of these: common practice, no source.
LEAVE_ALONE = (
    "pour nothing into a vessel and nothing back into a bottle, and top no water up",
    "feed no more than stands here; a day left out does less harm than a day fed twice",
    "move no vessel, lamp or timer, and use no spray or cleaner near them",
    "feed nothing that smells rotten or sour; leave it and call",
    "water on the floor, or a smell of burning: do not touch it, switch off at the fuse box, call",
)
CARE = ("mains", "food_fridge", "glass")
_MARK = "(common practice, no source)"
_BLANK = "_" * 24


@dataclass(frozen=True, slots=True)
class Meal:
    """The same for every day from first to last: who gets how many mL from which harvest."""

    first: date
    last: date
    pours: tuple[tuple[str, str, date, float], ...]
    short: bool


def meals(departure: Departure) -> list[Meal]:
    """What is poured on the days away, days alike together; a pour is consumer, bottle, day of harvest, mL."""

    def alike(day: RationDay) -> tuple[tuple[tuple[str, str, date, float], ...], bool]:
        pours = (
            (each.consumer, each.harvest.id, each.harvest.on, round(each.volume_ml, 3))
            for each in day.portions
        )
        return tuple(pours), day.short_ml > SHORT_ML

    found = []
    for (pours, short), run in groupby(departure.days, key=alike):
        days = [day.on for day in run]
        found.append(Meal(days[0], days[-1], pours, short))
    return found


def visitor_note(departure: Departure, name: str, units: str, width: int | None = None) -> str:
    """The note as text, with blanks for telephone numbers; no newline at the end. `width` wraps it."""
    title = f"{name}: please look in from {day_text(departure.first)} to {day_text(departure.last)}"
    blocks = [
        hanging("", printable(title), width, 2),
        withheld_lines(departure.withheld, units, width),
        ["To give", *_feeding(departure, units, width)],
        [*hanging("", f"To look at {_MARK}", width, 2), *_looks(width)],
        [*hanging("", f"To leave alone {_MARK}", width, 2), *_listed(LEAVE_ALONE, width)],
        ["Take care", *_listed(tuple(care.whole(CAUTIONS[key]) for key in CARE), width)],
        ["Call", *(f"  {who:<12}{_BLANK}" for who in ("first", "then", "electrician"))],
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def _feeding(departure: Departure, units: str, width: int | None) -> Iterator[str]:
    served = [meal for meal in meals(departure) if meal.pours or meal.short]
    if not served:
        yield "  nothing: nobody is fed"
        return
    for meal in served:
        same = meal.first == meal.last
        when = day_text(meal.first) if same else f"{day_text(meal.first)} to {day_text(meal.last)}, each day"
        yield from hanging("  ", when, width, 4)
        for consumer, bottle, on, volume_ml in meal.pours:
            given = amount.ration(volume_ml, units)
            text = f"{consumer}: {given} from the bottle {bottle} of {on}, shaken gently"
            yield from hanging("    ", printable(text), width, 6)
        if meal.short:
            text = "there is no more: give what there is" if meal.pours else "nothing: there is nothing left"
            yield from hanging("    ", text, width, 6)
    yield from hanging("  ", "The bottles stand in the fridge and go back there at once.", width, 4)


def _looks(width: int | None) -> list[str]:
    return [line for what, sign in LOOK_AT for line in hanging(f"  {what:<9}", sign, width)]


def _listed(texts: tuple[str, ...], width: int | None) -> list[str]:
    return [line for text in texts for line in hanging("  - ", text, width)]
