"""Harvest bottles as a picture: what is on hand, the daily ration, harvests, and the days that go short."""

from __future__ import annotations

from collections.abc import Sequence

from greenrota.rota.feed.pouring import SHORT_ML
from greenrota.rota.feed.rations import usual_ration_ml_per_day
from greenrota.rota.wording import numbered
from greenrota.views.feed.bottles import BottlesReport
from greenrota.views.paper import svg
from greenrota.views.paper.svg import Plot
from greenrota.views.paper.track import Stretch, feed_track
from greenrota.views.text import amount
from greenrota.views.text.day import day_text

_LEAST_WIDTH = 640.0  # px of the plot; our choice
_DAY_WIDTH = 8.0  # px; our choice


def bottles_svg(report: BottlesReport) -> str:
    """Harvests on hand against the ration as an SVG file; without days it says so."""
    plan, rations = report.plan, report.rations
    if not rations.days:
        nothing = "No days: the plan ends before this day."
        return svg.svg_file(svg.picture("Feed on hand", nothing, 400, 40, [svg.label(10, 20, nothing)]))
    end = float(len(rations.days) - 1)
    ration_ml = usual_ration_ml_per_day(plan)
    track, ration = feed_track(rations), [(0.0, ration_ml), (end, ration_ml)]
    width = max(_LEAST_WIDTH, _DAY_WIDTH * end)
    plot = Plot(66, 66, width, 240, 0.0, end or 1.0, svg.top_of([track, ration]))
    short = [n for n, day in enumerate(rations.days) if day.short_ml > SHORT_ML]
    right = plot.left + width + 6
    level = plot.at(ration[1])[1]
    on_hand = plot.at(track[-1])[1]
    apart = level - 15 if on_hand <= level else level + 15
    on_hand = on_hand if abs(on_hand - level) >= 15 else apart
    body = [
        svg.label(10, 20, f"{plan.name}: feed on hand", bold=True),
        *svg.shades(plot, _runs(short)),
        *svg.y_axis(plot, "mL"),
        *svg.x_axis(plot, rations.days[0].on, rations.days[-1].on),
        svg.line(plot, ration, dashed=True),
        svg.line(plot, track),
        *(
            svg.label(plot.at((float(n), 0.0))[0], plot.above - 8, "H", "middle", bold=True)
            for n, day in enumerate(rations.days)
            if day.in_ml > 0.0
        ),
        svg.label(right, on_hand + 4, "on hand", bold=True),
        svg.label(right, level + 4, "daily ration"),
        svg.label(plot.left, plot.below + 40, "month-day; H harvest, shaded: a day that goes short"),
    ]
    description = (
        f"Feed on hand from {day_text(rations.days[0].on)} through {day_text(rations.days[-1].on)}, "
        f"daily ration {amount.volume(ration_ml)}; {len(short)} of {numbered(len(rations.days), 'day')} go short."
    )
    return svg.svg_file(
        svg.picture("Feed on hand against the ration", description, plot.left + width + 100, 366, body)
    )


def _runs(days: Sequence[int]) -> list[Stretch]:
    """Days as stretches, those in a row together."""
    runs: list[Stretch] = []
    for day in map(float, days):
        if runs and day - runs[-1].last == 1.0:
            runs[-1] = Stretch(runs[-1].first, day)
        else:
            runs.append(Stretch(day, day))
    return runs
