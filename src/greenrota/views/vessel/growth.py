"""The projected growth of one vessel as tables, chart and JSON."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta
from itertools import groupby

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.culture.growth.logistic import doubling_time_h
from greenrota.rota.answers.contents import after_work, choice_of, grown, vessel_intervals
from greenrota.rota.answers.ripeness import VesselRipeness, vessel_ripeness
from greenrota.rota.replay.observed import Seen
from greenrota.rota.rota import Rota
from greenrota.rota.simulate.events import Interval
from greenrota.rota.state.bench import Bench
from greenrota.views.paper.track import SIGN_NAMES, ceiling_tracks, day_number, deed_signs, density_tracks
from greenrota.views.text import amount
from greenrota.views.text.chart import Axes, Line, line_chart
from greenrota.views.text.day import day_text, week_ticks
from greenrota.views.text.document import figure, json_document
from greenrota.views.text.lettering import hanging, printable
from greenrota.views.text.table import Column, render_table
from greenrota.views.vessel.observed import seen_lines, seen_object
from greenrota.views.vessel.ripeness import known_lines, known_object, ripe_object, ripe_text

FORMAT = "greenrota/growth/1"
_PLAIN_WIDTH = 80  # our choice: columns of a chart that goes to a file or a pipe
SET_BY = {"bench": "light and air"}  # what sets a ceiling, in words; nutrients go by their own names
_LEAST_LAG_DAYS = 0.5  # our choice: nobody sees a shorter lag
_MOST_SEEN = 10  # our choice: some weeks of notes
_RANGES = "Ripe days, each with the range that holds it 19 times in 20 if rate, ceiling and start are as said"
_WIDEST_CHART = 120  # our choice: a wider chart is no easier to read


def growth_page(
    rota: Rota,
    vessel: str,
    width: int | None = None,
    ascii_only: bool = False,
    seen: Sequence[Seen] = (),
    ripe: VesselRipeness | None = None,
) -> str:
    """Heading, stretches, harvest windows, ripe days, chart; no newline at the end. KeyError: no such vessel.

    `width` fits all to the screen; None wraps nothing. `ascii_only` draws without dots and lines of Unicode. Of
    `seen`, the observations of the vessel, the last ten are shown. `ripe` None: from the strain's figures alone.
    """
    bench = rota.benches[vessel]
    intervals = vessel_intervals(rota, vessel)
    blocks = [_heading(bench, rota.plan.units, width)]
    if not intervals:
        blocks.append(f"Nothing grows in it through {day_text(rota.through)}.")
    else:
        blocks += [
            _stretches(rota, intervals, width),
            _windows(rota, intervals, width),
            _ripe_days(rota, ripe or vessel_ripeness(rota, vessel), width),
            _chart(rota, intervals, min(width or _PLAIN_WIDTH, _WIDEST_CHART), ascii_only),
        ]
    if seen:
        shown = seen_lines(seen[-_MOST_SEEN:], rota.plan.units, width)
        blocks.append("\n".join(["Seen in it", *shown]))
    return "\n\n".join(blocks)


def _heading(bench: Bench, units: str, width: int | None) -> str:
    vessel = bench.vessel
    lines = [
        f"{printable(vessel.name)}: {bench.strain.title}, {amount.volume(vessel.fill_l * ML_PER_L, units)}",
        f"rate {bench.rate_per_day:.2f} /day = {bench.strain.rate_per_day:.2f} at its best "
        f"x {bench.temperature_factor:.2f} temperature x {bench.photoperiod_factor:.2f} hours of light "
        f"x {bench.salinity_factor:.2f} salinity",
    ]
    if bench.rate_per_day > 0.0:
        lines.append(f"doubles in {doubling_time_h(bench.rate_per_day):.0f} h while it is thin")
    return "\n".join(part for line in lines for part in hanging("", line, width, 2))


def _stretches(rota: Rota, intervals: list[Interval], width: int | None) -> str:
    stretches = [
        list(each) for _, each in groupby(intervals, key=lambda interval: _ceiling_key(rota, interval))
    ]
    lagging = any(interval.broth.lag_days >= _LEAST_LAG_DAYS for interval in intervals)
    columns = (
        Column("batch", number=True),
        Column("from"),
        Column("to"),
        *([Column("days of lag", number=True)] if lagging else []),
        Column("million cells/mL"),
        Column("ceiling", number=True),
        Column("set by"),
    )
    rows = []
    for begins, *rest in stretches:
        ends = rest[-1] if rest else begins
        top = rota.benches[begins.batch.vessel].ceiling(begins.broth)
        first, last = begins.broth.density_per_ml, grown(rota, ends, ends.last).density_per_ml
        lag = f"{begins.broth.lag_days:.1f}" if begins.broth.lag_days else ""
        rows.append(
            (
                str(begins.batch.number),
                begins.first.isoformat(),
                ends.last.isoformat(),
                *([lag] if lagging else []),
                f"{amount.millions(first)} -> {amount.millions(last)}",
                amount.millions(top.per_ml),
                SET_BY.get(top.by, top.by),
            )
        )
    return "Growth, projected from what is known\n" + render_table(columns, rows, width)


def _ceiling_key(rota: Rota, interval: Interval) -> tuple[str, str, str]:
    """The same for all spans of a batch with the same ceiling: a count begins no new row, a dose does."""
    top = rota.benches[interval.batch.vessel].ceiling(interval.broth)
    return interval.batch.id, amount.millions(top.per_ml), top.by


def _windows(rota: Rota, intervals: list[Interval], width: int | None) -> str:
    columns = (Column("batch", number=True), Column("ripe from"), Column("over-ripe from"), Column("harvest"))
    rows = []
    for batch in dict.fromkeys(interval.batch.id for interval in intervals):
        choice = choice_of(rota, batch)
        if choice is None:
            continue
        days = (
            choice.projection.pinned_on or choice.projection.ripe_on,
            choice.projection.over_on,
            choice.taken,
        )
        rows.append((str(choice.batch.number), *("-" if day is None else day_text(day) for day in days)))
    return "Harvest windows\n" + render_table(columns, rows, width)


def _ripe_days(rota: Rota, ripeness: VesselRipeness, width: int | None) -> str:
    lines = hanging("", _RANGES, width, 2)
    lines += [part for text in known_lines(ripeness) for part in hanging("  ", text, width, 4)]
    for day in ripeness.days:
        lines += hanging(f"  batch {day.batch.rpartition('/')[2]}  ", ripe_text(day, rota.as_of), width, 4)
    return "\n".join(lines)


def _chart(rota: Rota, intervals: list[Interval], width: int, ascii_only: bool) -> str:
    bench = rota.benches[intervals[0].batch.vessel]
    lines = (
        Line("density", [point for track in density_tracks(rota, intervals) for point in track]),
        Line("ceiling", [point for track in ceiling_tracks(rota, intervals) for point in track], dotted=True),
    )
    marks = deed_signs(rota, bench.vessel.name)
    for batch in dict.fromkeys(interval.batch.id for interval in intervals):
        choice = choice_of(rota, batch)
        due = None if choice is None else choice.projection.pinned_on or choice.projection.ripe_on
        if (
            choice is not None
            and due is not None
            and due <= rota.through
            and (choice.taken is None or due < choice.taken)
        ):
            marks.append((day_number(rota, due), "r"))
    ticks = [
        (day_number(rota, on), label)
        for on, label in week_ticks(intervals[0].first, intervals[-1].last, width)
    ]
    axes = Axes("month-day", "million cells/mL", ticks, marks)
    key = hanging("", _key(marks), width)
    return "\n".join([line_chart(lines, axes, width, ascii_only=ascii_only), *key])


def _key(marks: list[tuple[float, str]]) -> str:
    seen = {mark for _, mark in marks}
    return ", ".join(f"{sign}: {name}" for sign, name in SIGN_NAMES.items() if sign in seen)


def growth_json(
    rota: Rota, vessel: str, seen: Sequence[Seen] = (), ripe: VesselRipeness | None = None
) -> str:
    """The projection as one JSON object of format `greenrota/growth/1`. KeyError: no such vessel.

    A segment is a stretch in which nothing is done; `daily` holds every day of the rota, those the logbook
    tells of included, as it stands when the
    day's tasks are done (0 where the vessel is empty). `ripe` None: from the strain's figures alone.
    """
    bench, ripe = rota.benches[vessel], ripe or vessel_ripeness(rota, vessel)
    batches = [
        {
            "batch": batch,
            **ripe_object(ripe.day_of(batch)),
            "segments": [_segment(rota, bench, interval) for interval in of_batch],
        }
        for batch, of_batch in groupby(vessel_intervals(rota, vessel), key=lambda interval: interval.batch.id)
    ]
    first = min([rota.as_of, *(interval.first for interval in vessel_intervals(rota, vessel))])
    days = [first + timedelta(days=n) for n in range((rota.through - first).days + 1)]
    answer = {
        "vessel": vessel,
        "known": known_object(ripe),
        "batches": batches,
        "daily": [_daily(rota, vessel, on) for on in days],
        "observations": [seen_object(each) for each in seen],
    }
    return json_document(FORMAT, answer)


def _segment(rota: Rota, bench: Bench, interval: Interval) -> dict[str, object]:
    top = bench.ceiling(interval.broth)
    return {
        "from": interval.first.isoformat(),
        "to": interval.last.isoformat(),
        "lag_days": figure(interval.broth.lag_days),
        "density_start_per_ml": figure(interval.broth.density_per_ml),
        "rate_per_day": figure(bench.lit(interval.light_h).rate_per_day),
        "ceiling_per_ml": figure(top.per_ml),
        "ceiling_by": top.by,
        "density_end_per_ml": figure(grown(rota, interval, interval.last).density_per_ml),
    }


def _daily(rota: Rota, vessel: str, on: date) -> dict[str, object]:
    found = after_work(rota, vessel, on)
    broth = None if found is None else found[1]
    return {
        "date": on.isoformat(),
        "density_per_ml": 0.0 if broth is None else figure(broth.density_per_ml),
        "volume_ml": 0.0 if broth is None else figure(broth.volume_l * ML_PER_L),
    }
