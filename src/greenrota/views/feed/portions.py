"""What each animal gets on a day, from which bottle, and what must not be given: the same words on every page."""

from __future__ import annotations

from datetime import date, timedelta

from greenrota.rota.feed.daily import RationDay, Serving
from greenrota.rota.feed.pouring import SHORT_ML
from greenrota.rota.rota import Rota
from greenrota.views.feed.withheld import OFFERED_DAYS, withheld_lines
from greenrota.views.text import amount
from greenrota.views.text.day import day_text
from greenrota.views.text.document import figure
from greenrota.views.text.lettering import hanging, printable


def ration_day(rota: Rota, on: date) -> RationDay | None:
    """The rations of a day of the rota; None for a day it does not cover, or where nobody is fed."""
    return next((day for day in rota.rations().days if day.on == on and day.servings), None)


def to_give(rota: Rota, on: date, width: int | None) -> list[str]:
    """What to give to whom on a day, and what not, as lines; [] where there is nothing to say."""
    lines = withheld_lines(rota.bottles, rota.plan.units, width)
    day = ration_day(rota, on)
    if day is not None:
        lines += [""] if lines else []
        lines += ["To give today" if on == rota.as_of else "To give on this day"]
        for serving in day.servings:
            lines += hanging(
                f"  {printable(serving.consumer)}  ", _portion_text(rota, day, serving), width, 4
            )
        if not all(serving.logged for serving in day.servings) and on <= rota.as_of:
            lines += hanging(
                "  ", "taken as given unless you log otherwise (greenrota log given NAME)", width
            )
    for record in rota.bottles:
        if (
            record.bottle.is_back_up
            and record.state == "good"
            and not record.planned
            and record.left_ml > SHORT_ML
            and record.use_by >= on - timedelta(days=OFFERED_DAYS)
        ):
            left = amount.volume(record.left_ml, rota.plan.units)
            by = (
                f"give its {left} by {record.use_by}"
                if record.use_by >= on
                else f"its {left} are past their date"
            )
            text = f"was replaced: {by}, or pour it away; then log given or discarded"
            lines += hanging(f"  {printable(record.bottle.id)}  ", text, width, 4)
    return lines


def _portion_text(rota: Rota, day: RationDay, serving: Serving) -> str:
    units = rota.plan.units
    parts = [
        f"{amount.volume(each.volume_ml, units)} from {each.harvest.id} of {day_text(each.harvest.on)} "
        f"({amount.volume(each.left_ml, units) if each.left_ml > SHORT_ML else 'nothing'} left)"
        for each in day.portions
        if each.consumer == serving.consumer
    ]
    text = " and ".join(parts) or "nothing"
    if serving.short_ml > SHORT_ML:
        text += f"; {amount.ration(serving.short_ml, units)} short"
    return printable(f"{text}, as logged" if serving.logged else text)


def portions_object(rota: Rota, on: date) -> list[dict[str, object]]:
    """The portions of a day for JSON: consumer, its pours, what it lacks, and whether it was logged."""
    day = ration_day(rota, on)
    if day is None:
        return []
    return [
        {
            "consumer": serving.consumer,
            "pours": [
                {
                    "bottle": each.harvest.id,
                    "volume_ml": figure(each.volume_ml),
                    "left_ml": figure(each.left_ml),
                }
                for each in day.portions
                if each.consumer == serving.consumer
            ],
            "short_ml": figure(serving.short_ml),
            "logged": serving.logged,
        }
        for serving in day.servings
    ]


def withheld_objects(rota: Rota) -> list[dict[str, object]]:
    """The bottles of which nobody may be given anything, for JSON."""
    return [
        {
            "bottle": record.bottle.id,
            "left_ml": figure(record.left_ml),
            "state": record.state,
            "because": record.because,
        }
        for record in rota.withheld
    ]


def doubtful_counts(rota: Rota, width: int | None) -> list[str]:
    """Counts far below the projection, as lines: has the culture crashed?"""
    lines = []
    for count in rota.doubtful_counts:
        if count.vessel in rota.state.cultures:
            share = count.counted_per_ml / count.projected_per_ml
            text = (
                f"counted on {day_text(count.on)} at {share:.0%} of what was projected for {count.batch}: has it "
                "crashed? Look at it now, then log it as crashed, or count again"
            )
            lines += hanging(f"{printable(count.vessel)}  ", printable(text), width, 4)
    return lines
