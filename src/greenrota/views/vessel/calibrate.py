"""A calibration as text: fitted figures with intervals, lines for the plan, what could not be fitted, and a chart."""

from __future__ import annotations

import json
import math
from collections.abc import Iterator
from datetime import date, timedelta

from greenrota.culture.fit.band import band
from greenrota.culture.fit.course import Reading, Start, Turn
from greenrota.rota.answers.calibration import Calibration
from greenrota.rota.wording import numbered
from greenrota.views.paper.track import MILLION
from greenrota.views.text import amount
from greenrota.views.text.chart import Axes, Line, line_chart
from greenrota.views.text.day import day_text, week_ticks
from greenrota.views.text.lettering import hanging, printable

_PLAIN_WIDTH = 80  # our choice: columns of a chart that goes to a file or a pipe
_WIDEST_CHART = 120  # our choice: a wider chart is no easier to read
_BAND_MOST = 2.0  # our choice: a band wider than this times the densest point is cut off in the chart


def calibrate_page(found: Calibration, width: int | None = None, ascii_only: bool = False) -> str:
    """Fitted figures, lines for the plan, what could not be fitted, the next count, a chart; no newline at the end.

    `width` fits all to the screen; None wraps nothing. `ascii_only` draws without dots and lines of Unicode.
    """
    blocks = [_lines([_heading(found), *_figures(found)], width)]
    if lines := plan_lines(found):
        blocks.append("\n".join(["Lines for the plan:", *(f"  {line}" for line in lines)]))
        blocks.append(_lines(_remarks(found), width))
    blocks += (
        [_lines([f"Not told: {text}" for text in undetermined(found)], width)] if undetermined(found) else []
    )
    blocks.append(_lines([next_count_text(found)], width))
    if found.fit is not None:
        blocks.append(_chart(found, min(width or _PLAIN_WIDTH, _WIDEST_CHART), ascii_only))
    return "\n\n".join(block for block in blocks if block)


def plan_lines(found: Calibration) -> list[str]:
    """Lines of the plan file with the fitted figures; empty when nothing could be fitted.

    A strain's name is quoted where TOML wants it.
    """
    rows = []
    if found.rate_at_best_per_day is not None:
        rows.append(f'rate    = "{found.rate_at_best_per_day:.3g} /day"')
    if found.ceiling_per_ml is not None:
        rows.append(f'ceiling = "{_significant(found.ceiling_per_ml)} cells/mL"')
    name = found.bench.strain.name
    bare = name.isascii() and name.replace("-", "").replace("_", "").isalnum()
    return [f"[strain.{name if bare else json.dumps(name, ensure_ascii=False)}]", *rows] if rows else []


def undetermined(found: Calibration) -> list[str]:
    """A sentence for each figure that could not be fitted, with the reason."""
    fit = found.fit
    if fit is None:
        return [f"rate and ceiling: {found.refused}"]
    texts = []
    if not fit.rate.determined:
        why = "no rise can be told from the scatter of the counts"
        if fit.rate.value <= 0.0:
            why = "the counts fall, and a loss is nothing to plan growth with"
        elif math.isfinite(fit.rate.low):
            why = f"the rise was over between two counts (above {fit.rate.low:.2f} /day, but no upper end)"
        texts.append(f"rate: {why}")
    if not fit.ceiling.determined:
        above = f"above {amount.million_cells(fit.ceiling.low)}, but no upper end" if fit.ceiling.low else ""
        why = "the counts do not level off"
        if found.plateau_per_ml is not None:
            why = (
                f"the counts level off at {amount.million_cells(found.plateau_per_ml)}, where the nutrients give "
                "out; counts after a second dose would show what light and air carry"
            )
        texts.append(f"ceiling: {why}" + (f" ({above})" if above else ""))
    return texts


def far_starts(found: Calibration) -> list[str]:
    """A sentence for each start that the counts put far from what was planned."""
    return [
        f"{printable(each.batch)} began at {amount.million_cells(each.found.value)} by your counts, but the amounts "
        f"poured should have given {amount.millions(each.planned_per_ml)}: far more than counting can be off. Look at "
        "the inoculum (its volume, its density in the plan, how many of its cells lived) and at the first counts."
        for each in found.starts
        if each.far_from_plan and each.planned_per_ml is not None
    ]


def next_count_text(found: Calibration) -> str:
    """The day on which one more count would help most, and by how much (relative standard error)."""
    asked = found.next_count
    where = (
        f"on day {asked.day} of the next batch"
        if found.next_on is None
        else f"on {day_text(found.next_on)}, in this batch as it stands"
    )
    if asked.next_batch and asked.day == 0:
        where = "right after the next start or re-seed"
    now, then = asked.relative_error_now, asked.relative_error_then
    return (
        f"Next count that helps most: {where}; the {asked.figure} would be known to {then:.0%} "
        f"(now {now:.0%}, one standard error, a guess at its size included)"
    )


def _heading(found: Calibration) -> str:
    starts = sum(isinstance(event, Start) for event in found.counts.events)
    turns = sum(isinstance(event, Turn) and event.share < 1.0 for event in found.counts.events)
    return (
        f"{printable(found.bench.vessel.name)}: {found.bench.strain.title}, "
        f"{numbered(found.counts.readings, 'count')}, {numbered(starts, 'start')}, {numbered(turns, 're-seed')}"
    )


def _figures(found: Calibration) -> Iterator[str]:
    fit = found.fit
    if found.counts.impossible:
        yield f"{numbered(found.counts.impossible, 'count')} left out: denser than cells can be packed."
    if fit is None:
        return
    if fit.rate.determined:
        rate = fit.rate
        yield (
            f"rate here     {rate.value:.2f} /day ({rate.low:.2f} to {rate.high:.2f}), "
            f"standard error {rate.standard_error:.2g}"
        )
    if fit.ceiling.determined:
        top = fit.ceiling
        yield (
            f"ceiling       {amount.million_cells(top.value)} ({amount.millions(top.low)} to "
            f"{amount.millions(top.high)}), standard error {amount.millions(top.standard_error)}"
        )
    if fit.lag is not None:
        yield f"lag           {fit.lag.value:.1f} days ({fit.lag.low:.1f} to {fit.lag.high:.1f})"
    for each in found.starts:
        start = each.found
        planned = "" if each.planned_per_ml is None else f", {amount.millions(each.planned_per_ml)} as poured"
        yield (
            f"start         {amount.million_cells(start.value)} ({amount.millions(start.low)} to "
            f"{amount.millions(start.high)}) in {printable(each.batch)}{planned}"
        )
    yield "In brackets: 95 % profile intervals."
    yield from far_starts(found)
    if fit.widened > 1.0:
        yield (
            f"The counts scatter {fit.widened:.1f} times as much as counting and handling explain; "
            "the intervals are widened by that."
        )
    if found.richer:
        yield (
            "The counts rise above what the nutrients poured in should build, so the nutrients' ceiling is left out; "
            "the cells hold less than the strain's quota says, or more was poured in than the logbook tells."
        )


def _remarks(found: Calibration) -> Iterator[str]:
    bench = found.bench
    if found.rate_at_best_per_day is not None and found.place_factor < 1.0:
        yield (
            f"The plan's rate is that at best temperature and salinity and 16 h of light: the rate here divided by "
            f"{found.place_factor:.2f} ({bench.temperature_factor:.2f} temperature x "
            f"{bench.photoperiod_factor:.2f} hours of light x {bench.salinity_factor:.2f} salinity)."
        )
    if found.ceiling_per_ml is not None:
        yield (
            f"A ceiling of your own holds for every vessel of the strain; this one was counted at "
            f"{bench.vessel.fill_l:g} L, and a larger vessel carries less."
        )


def _significant(density: float) -> str:
    digits, power = f"{density:.2e}".split("e")
    return f"{digits}e{int(power)}"


def _lines(texts: Iterator[str] | list[str], width: int | None) -> str:
    return "\n".join(part for text in texts for part in hanging("", text, width, 2))


def _chart(found: Calibration, width: int, ascii_only: bool) -> str:
    assert found.fit is not None
    points = band(found.fit)
    readings = [event for event in found.fit.events if isinstance(event, Reading)]
    top = _BAND_MOST * max(*(r.density_per_ml for r in readings), *(p.density_per_ml for p in points))
    lines = (
        Line("counts", [(r.day, r.density_per_ml / MILLION) for r in readings], joined=False),
        Line("fit", [(p.day, p.density_per_ml / MILLION) for p in points]),
        Line(
            "upper end of the 95 % band",
            [(p.day, min(top, p.high_per_ml) / MILLION) for p in points],
            dotted=True,
        ),
        Line("lower end of it", [(p.day, p.low_per_ml / MILLION) for p in points], dotted=True),
    )
    first, last = day_of(found, points[0].day), day_of(found, points[-1].day)
    ticks = [(float((on - found.counts.first).days), label) for on, label in week_ticks(first, last, width)]
    return line_chart(lines, Axes("month-day", "million cells/mL", ticks), width, ascii_only=ascii_only)


def day_of(found: Calibration, day: float) -> date:
    """The calendar day of an event."""
    return found.counts.first + timedelta(days=int(day))
