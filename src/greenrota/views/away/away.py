"""The page of days away: tasks before leaving, vessels on return, feed on each day, and a note for a visitor."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date

from greenrota.rota.answers.away import Departure, Left
from greenrota.rota.feed.daily import RationDay
from greenrota.rota.rota import Rota
from greenrota.rota.wording import numbered
from greenrota.views.away.visitor_note import meals, visitor_note
from greenrota.views.tasks.agenda import by_week, task_table
from greenrota.views.tasks.care import in_short
from greenrota.views.tasks.score import CUT_SHORT
from greenrota.views.tasks.tasklist import task_object, warning_object
from greenrota.views.text import amount
from greenrota.views.text.day import day_text
from greenrota.views.text.document import figure, json_document
from greenrota.views.text.lettering import display_width, hanging, printable
from greenrota.views.text.table import Column, render_table

FORMAT = "greenrota/away/1"
_MEASURES = {
    "early": "harvested early",
    "thinned": "thinned",
    "dimmed": "thinned and dimmed",
    "parked": "parked in the fridge",
}
_VESSELS = "How the vessels stand, in million cells/mL; full: share of the ceiling on return"
_FEED = ("fed_ml", "short_ml", "spoiled_ml", "on_hand_ml")


def away_page(rota: Rota, departures: Sequence[Departure], width: int | None = None) -> str:
    """All coming days away, each with its note; no newline at the end. `width` wraps to the screen."""
    if not departures:
        text = f"No days away from {day_text(rota.as_of)} to {day_text(rota.through)}; [[away]] in the plan sets them."
        return "\n".join(hanging("", text, width, 2))
    return "\n\n\n".join(_page(rota, each, width) for each in departures)


def note_page(rota: Rota, departures: Sequence[Departure], width: int | None = None) -> str:
    """Only the notes for visitors, one for each time away; `width` as in `away_page`."""
    notes = (visitor_note(each, rota.plan.name, rota.plan.units, width) for each in departures)
    return "\n\n\n".join(notes) or away_page(rota, departures, width)


def _page(rota: Rota, departure: Departure, width: int | None) -> str:
    days = f"away from {day_text(departure.first)} to {day_text(departure.last)}"
    sure = f"; {CUT_SHORT}" if rota.found.cut_short else ""
    title = f"{rota.plan.name}: {days}, back on {day_text(departure.back_on)}{sure}"
    blocks = [
        hanging("", printable(title), width, 2),
        ["Because of it", *_measures(departure, width)],
        ["The last days before", *_tasks(rota, departure, width)],
        in_short(departure.tasks, width),
        [*hanging("", _VESSELS, width, 2), *_vessels(departure, width)],
        ["Feed", *_feed(rota, departure, width)],
        hanging("", "Note for whoever looks in (alone: greenrota away --note)", width, 2),
        visitor_note(departure, rota.plan.name, rota.plan.units, width).splitlines(),
    ]
    return "\n\n".join("\n".join(block) for block in blocks if block)


def _measures(departure: Departure, width: int | None) -> Iterator[str]:
    for measure in departure.measures:
        task = measure.task
        text = f"{day_text(task.on)}  {task.batch} {_MEASURES[measure.kind]}: {task.reason}"
        yield from hanging("  ", printable(text), width, 4)
    if not departure.measures:
        yield from hanging("  ", "nothing is done otherwise than usual: no vessel needs it", width, 4)


def _tasks(rota: Rota, departure: Departure, width: int | None) -> list[str]:
    if not departure.tasks:
        return ["  no tasks"]
    if width is None:
        return task_table(rota, departure.tasks).splitlines()
    return by_week(rota, departure.tasks, width).splitlines()


def _vessels(departure: Departure, width: int | None) -> list[str]:
    titles = ("vessel", "leaving", "back", "full", "on return")
    columns = [Column(title, number=title in ("leaving", "back", "full")) for title in titles]
    rows = [_row(left, departure.back_on) for left in departure.vessels]
    lines = render_table(columns, rows).splitlines()
    if width is None or all(display_width(line) + 2 <= width for line in lines):
        return [f"  {line}" for line in lines]
    texts = (
        f"{row[0]}: {', '.join(f'{t} {c}' for t, c in zip(titles[1:], row[1:], strict=True) if c)}"
        for row in rows
    )
    return [line for text in texts for line in hanging("  ", printable(text), width, 4)]


def _row(left: Left, back_on: date) -> tuple[str, ...]:
    if left.batch is None:
        restart = "" if left.restart_on is None else f"; to be started on {left.restart_on}"
        return (left.vessel, "", "", "", f"empty{restart}")
    dimmed = "" if left.light_h is None else f" at {left.light_h:g} h of light"
    return (
        f"{left.batch}{dimmed}",
        amount.millions(left.leaving_per_ml),
        amount.millions(left.back_per_ml),
        f"{left.back_share:.0%}",
        state(left, back_on),
    )


def state(left: Left, back_on: date) -> str:
    """The state of a batch on the day of return, in words: growing, ripe or over-ripe, with dates."""
    if left.over_on is not None and left.over_on <= back_on:
        return f"over-ripe since {left.over_on}"
    if left.ripe_on is None:
        return "still growing"
    if left.ripe_on > back_on:
        return f"still growing, ripe on {left.ripe_on}"
    over = "" if left.over_on is None else f", over-ripe from {left.over_on}"
    return f"ripe since {left.ripe_on}{over}"


def _feed(rota: Rota, departure: Departure, width: int | None) -> list[str]:
    days = departure.days
    if not any(day.servings for day in days):
        return ["  The plan feeds nobody."]
    lines = [line for text in _supply(rota, departure) for line in hanging("  ", text, width, 4)]
    columns = [
        Column("  date"),
        *(Column(t, number=True) for t in ("fed", "short", "spoiled", "left", "oldest")),
    ]
    rows = [
        (
            f"  {day.on.isoformat()}",
            *(f"{getattr(day, key):.0f}" for key in _FEED),
            "-" if day.oldest_days is None else f"{day.oldest_days} d",
        )
        for day in days
    ]
    return [
        *lines,
        "  mL a day; left and oldest: in the evening",
        *render_table(columns, rows, width).splitlines(),
    ]


def _supply(rota: Rota, departure: Departure) -> Iterator[str]:
    short, days = departure.short_days, departure.days
    if short:
        missing = amount.volume(sum(day.short_ml for day in short), rota.plan.units)
        on = f"{len(short)} of {numbered(len(days), 'day')}"
        yield f"short on {on}, {missing} in all; first on {day_text(short[0].on)}"
    else:
        yield "every day's ration is there"
    usable = departure.usable_through
    if usable is not None and usable < departure.last:
        yield (
            f"feed keeps {numbered(departure.keeps_days, 'day')}, less than the days away: the newest of before "
            f"leaving is usable through {day_text(usable)}, nothing after that"
        )


def away_json(rota: Rota, departures: Sequence[Departure]) -> str:
    """All coming days away as one JSON object of format `greenrota/away/1`; tasks as in `greenrota/tasks/1`."""
    answer = {
        "as_of": rota.as_of.isoformat(),
        "through": rota.through.isoformat(),
        "departures": [_object(rota, each) for each in departures],
        "warnings": [warning_object(warning) for warning in rota.warnings],
    }
    return json_document(FORMAT, answer)


def _object(rota: Rota, departure: Departure) -> dict[str, object]:
    usable = departure.usable_through
    return {
        "from": departure.first.isoformat(),
        "to": departure.last.isoformat(),
        "back": departure.back_on.isoformat(),
        "measures": [
            {
                "measure": each.kind,
                "id": each.task.id,
                "date": each.task.on.isoformat(),
                "reason": each.task.reason,
            }
            for each in departure.measures
        ],
        "tasks": [task_object(task) for task in departure.tasks],
        "vessels": [_left_object(left, departure.back_on) for left in departure.vessels],
        "feed": [_day_object(day) for day in departure.days],
        "short_days": len(departure.short_days),
        "short_ml": figure(sum(day.short_ml for day in departure.short_days)),
        "keeps_days": departure.keeps_days,
        "usable_through": None if usable is None else usable.isoformat(),
        "meals": [
            {
                "from": meal.first.isoformat(),
                "to": meal.last.isoformat(),
                "short": meal.short,
                "pours": [
                    {"consumer": who, "batch": batch, "harvested": on.isoformat(), "volume_ml": volume_ml}
                    for who, batch, on, volume_ml in meal.pours
                ],
            }
            for meal in meals(departure)
        ],
        "note": visitor_note(departure, rota.plan.name, rota.plan.units),
    }


def _left_object(left: Left, back_on: date) -> dict[str, object]:
    if left.batch is None:
        restart = None if left.restart_on is None else left.restart_on.isoformat()
        return {"vessel": left.vessel, "batch": None, "start_on": restart}
    return {
        "vessel": left.vessel,
        "batch": left.batch,
        "density_leaving_per_ml": figure(left.leaving_per_ml),
        "density_back_per_ml": figure(left.back_per_ml),
        "share_of_ceiling_back": figure(left.back_share),
        "ripe_on": None if left.ripe_on is None else left.ripe_on.isoformat(),
        "over_ripe_on": None if left.over_on is None else left.over_on.isoformat(),
        "light_h": left.light_h,
        "state": state(left, back_on),
    }


def _day_object(day: RationDay) -> dict[str, object]:
    return {
        "date": day.on.isoformat(),
        **{key: figure(getattr(day, key)) for key in _FEED},
        "oldest_days": day.oldest_days,
    }
