"""Harvest bottles and rations: a page with tables and chart for people, JSON and CSV for programs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.rota.feed.bottles import WITHHELD, BottleRecord
from greenrota.rota.feed.daily import DailyRations, counted_days
from greenrota.rota.feed.pouring import SHORT_ML
from greenrota.rota.feed.rations import consumers, usual_ration_ml_per_day, wants
from greenrota.rota.feed.tank import Bracket, TankDay, ration_warnings, tank_days
from greenrota.rota.plan import Consumer, Plan
from greenrota.rota.warning import PlanWarning
from greenrota.rota.wording import numbered
from greenrota.views.feed.withheld import OFFERED_DAYS, withheld_lines
from greenrota.views.text import amount
from greenrota.views.text.chart import Axes, Line, line_chart
from greenrota.views.text.day import day_text, week_ticks
from greenrota.views.text.lettering import hanging, printable, wrap
from greenrota.views.text.table import Column, render_table

_PLAIN_WIDTH = 80  # our choice: columns of a chart that goes to a file or a pipe
_WIDEST_CHART = 120  # our choice: a wider chart is no easier to read
VOLUMES = ("in_ml", "fed_ml", "spoiled_ml", "on_hand_ml", "short_ml")
_NOTHING = "-"
DAYS_BEFORE = 28  # the page shows so many days before the day it is, JSON and CSV show all; our choice


@dataclass(frozen=True, slots=True)
class BottlesReport:
    """Everything that pages show of bottles and rations; text, CSV, picture and JSON are views of it.

    `tank` is what the rations add to the tank, day by day as in `rations`, empty without a tank; `bottles` every
    harvest bottle as it stands now; `warnings` what to know about the feed.
    """

    plan: Plan
    rations: DailyRations
    tank: tuple[TankDay, ...]
    bottles: tuple[BottleRecord, ...]
    warnings: tuple[PlanWarning, ...]

    @classmethod
    def of(cls, plan: Plan, rations: DailyRations, bottles: tuple[BottleRecord, ...] = ()) -> BottlesReport:
        """The report of a plan's rations and bottles."""
        warnings = tuple(PlanWarning(code, text) for code, text in ration_warnings(plan, rations))
        return cls(plan, rations, tank_days(plan, rations), bottles, warnings)


def bottles_page(
    report: BottlesReport, width: int | None = None, ascii_only: bool = False, on: date | None = None
) -> str:
    """Bottles, rations, totals, what the tank gets, table by day, chart; no newline at the end.

    `on` is the day it is: what lies more than a few weeks before it is in the totals alone. None: everything.

    What must not be given comes first; the warnings are left to stderr.
    `width` fits all to the screen; None wraps nothing. `ascii_only` draws without dots and lines of Unicode.
    """
    plan, rations, tank, records = report.plan, report.rations, report.tank, report.bottles
    if not rations.days:
        return "No days: the plan ends before this day."
    texts = [*_rations(plan, rations), *_totals(plan, rations), *_tank_lines(tank)]
    lines = [line for text in texts for line in ([text] if width is None else wrap(text, width))]
    chart_width = min(width or _PLAIN_WIDTH, _WIDEST_CHART)
    blocks = [
        "\n".join(withheld_lines(records, plan.units, width)),
        "\n".join(lines),
        _bottle_table([r for r in records if on is None or not _long_past(r, on)], plan.units, width),
        _table(*_from(rations, tank, on), width),
        _chart(plan, _from(rations, tank, on)[0], chart_width, ascii_only),
    ]
    return "\n\n".join(block for block in blocks if block)


def _long_past(record: BottleRecord, on: date) -> bool:
    """True for a bottle that was poured away long ago, for all that anybody would still say of it."""
    return record.use_by < on - timedelta(days=OFFERED_DAYS) and not record.withheld


def _from(
    rations: DailyRations, tank: Sequence[TankDay], on: date | None
) -> tuple[DailyRations, Sequence[TankDay]]:
    """The days from some weeks before a day on; all where that would leave none."""
    first = None if on is None else on - timedelta(days=DAYS_BEFORE)
    days = tuple(day for day in rations.days if first is None or day.on >= first)
    if not days:
        return rations, tank
    return replace(rations, days=days), tank[-len(days) :] if tank else tank


def _bottle_table(records: Sequence[BottleRecord], units: str, width: int | None) -> str:
    """The bottles in which something is left; planned ones and empty ones are left out."""
    there = [record for record in records if record.left_ml > SHORT_ML and not record.planned]
    if not there:
        return ""
    columns = (
        Column("bottle"),
        Column("filled"),
        Column("left", number=True),
        Column("use by"),
        Column("state"),
    )
    rows = [
        (
            printable(record.bottle.id),
            record.bottle.on.isoformat(),
            amount.volume(record.left_ml, units),
            _NOTHING if record.state in WITHHELD else record.use_by.isoformat(),
            "replaced back-up" if record.bottle.is_back_up and record.state == "good" else record.state_words,
        )
        for record in there
    ]
    told = "Bottles this evening; a ration is taken as given unless logged (log given)"
    head = hanging("", told, width, 2)
    return "\n".join([*head, render_table(columns, rows, width)])


def _rations(plan: Plan, rations: DailyRations) -> Iterator[str]:
    yield printable(
        f"{plan.name}: bottles, usable for {numbered(rations.keeps_days, 'day')} after the harvest, oldest first"
    )
    fed = consumers(plan)
    if not fed:
        yield "The plan feeds nobody: [tank] or [[consumer]] says who gets how much."
    for consumer in fed:
        yield printable(f"{consumer.name}: {_ration(plan, consumer)}")


def _ration(plan: Plan, consumer: Consumer) -> str:
    """The ration of one consumer, both as a volume and as cells where its water is known."""
    claims = [want for want in wants(plan) if want.consumer == consumer.name]
    usual = f"{amount.ration(sum(want.usual_ml for want in claims), plan.units)} a day"
    if consumer.ration_cells_per_ml is not None:
        text = f"{amount.cells(consumer.ration_cells_per_ml)} cells a day for each mL of its water, about {usual}"
    elif consumer.volume_l is not None:
        cells = sum(want.amount * want.usual_per_ml for want in claims) / (consumer.volume_l * ML_PER_L)
        text = f"{usual}, about {amount.cells(cells)} cells for each mL of its water"
    else:
        text = usual
    if consumer.diet.shares:
        text += "; " + ", ".join(f"{share:.0%} {strain}" for strain, share in consumer.diet.shares)
    elif consumer.diet.any_of:
        text += f"; {' or '.join(consumer.diet.any_of)}"
    ramp = "; first week in steps of 25, 50, 75 and 100 % (common practice)"
    return f"{text}{ramp}" if consumer.ramp else text


def _totals(plan: Plan, rations: DailyRations) -> Iterator[str]:
    days, units = rations.days, plan.units
    yield (
        f"{numbered(len(days), 'day')}: {amount.volume(sum(day.in_ml for day in days), units)} harvested, "
        f"{amount.volume(sum(day.fed_ml for day in days), units)} given, "
        f"{amount.volume(sum(day.spoiled_ml for day in days), units)} spoiled, "
        f"{amount.volume(days[-1].on_hand_ml, units)} left on {day_text(days[-1].on)}"
    )
    counted = counted_days(days)
    if not counted:
        return
    since = f"counted on {numbered(len(counted), 'day')} from {day_text(counted[0].on)}"
    before = len(days) - len(counted)
    yield f"{since}; {numbered(before, 'day')} before it without any harvest" if before else since
    for consumer in consumers(plan):
        lacking = [
            (day.on, serving.short_ml)
            for day in counted
            for serving in day.servings
            if serving.consumer == consumer.name and serving.short_ml > SHORT_ML
        ]
        if lacking:
            missing = amount.volume(sum(ml for _, ml in lacking), units)
            text = f"{consumer.name}: short on {len(lacking)} of {numbered(len(counted), 'day')}, {missing} in all"
            yield printable(f"{text}; first on {day_text(lacking[0][0])}, last on {day_text(lacking[-1][0])}")
        else:
            yield printable(f"{consumer.name}: never short")


def _tank_lines(tank: Sequence[TankDay]) -> Iterator[str]:
    if not tank:
        return
    last = tank[-1]
    most = max(tank, key=lambda day: day.nitrate.high)
    yield (
        f"tank, by {day_text(last.on)} without water change or filter: nitrate {_bracket(last.nitrate_so_far)}, "
        f"phosphate {_bracket(last.phosphate_so_far)}"
    )
    yield f"tank, largest daily ration: nitrate {_bracket(most.nitrate)}, phosphate {_bracket(most.phosphate)}"


def _bracket(ion: Bracket) -> str:
    return f"{ion.low:.2g} to {ion.high:.2g} mg/L (about {ion.middle:.2g} as projected)"


def _table(rations: DailyRations, tank: Sequence[TankDay], width: int | None) -> str:
    titles = ["in", "fed", "spoiled", "on hand", "short", "oldest"]
    titles += ["NO3 up to", "PO4 up to"] if tank else []
    columns = [Column("date"), *(Column(title, number=True) for title in titles)]
    rows = []
    for number, day in enumerate(rations.days):
        row = [day.on.isoformat(), *(_whole_ml(getattr(day, key)) for key in VOLUMES)]
        row.append(_NOTHING if day.oldest_days is None else f"{day.oldest_days} d")
        if tank:
            row += [f"{tank[number].nitrate_so_far.high:.2f}", f"{tank[number].phosphate_so_far.high:.3f}"]
        rows.append(row)
    head = "Day by day, in mL; oldest: age of the oldest good bottle in the evening"
    if tank:
        head += "\nNO3, PO4: mg/L that all rations so far have added to the tank at most"
    return f"{head}\n{render_table(columns, rows, width)}"


def _whole_ml(volume_ml: float) -> str:
    if volume_ml <= SHORT_ML:
        return _NOTHING
    return f"{volume_ml:.0f}" if volume_ml >= 0.5 else "<1"


def _chart(plan: Plan, rations: DailyRations, width: int, ascii_only: bool) -> str:
    first, last = rations.days[0].on, rations.days[-1].on
    ration_ml = usual_ration_ml_per_day(plan)
    end = float(len(rations.days) - 1)
    lines = [
        Line("on hand", [(float(n), day.on_hand_ml) for n, day in enumerate(rations.days)]),
        Line("daily ration", [(0.0, ration_ml), (end, ration_ml)], dotted=True),
    ]
    marks = [(float(n), "H") for n, day in enumerate(rations.days) if day.in_ml > 0.0]
    ticks = [(float((on - first).days), label) for on, label in week_ticks(first, last, width)]
    return line_chart(lines, Axes("month-day, H harvest", "mL", ticks, marks), width, ascii_only=ascii_only)
