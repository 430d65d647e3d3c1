"""Drawing on paper: a plot in which days run to the right and an amount upwards, as SVG.

Every picture has a title and a description for those who do not see it, and needs nothing from outside.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from datetime import date
from typing import NamedTuple

from greenrota.views.paper.ink import INK, PAPER, SECOND, SHADE
from greenrota.views.paper.markup import Markup, element
from greenrota.views.paper.track import Point, Stretch
from greenrota.views.text.chart import axis_figure, round_top
from greenrota.views.text.day import week_ticks

SVG_MARK = "<metadata>made by greenrota</metadata>"  # tells our own files from those of others
TYPE = 13.0  # size of the letters, px; our choice
_STEPS = ((1.5, 3), (3.0, 3), (5.0, 5), (6.0, 3))  # tops of an axis that four steps do not suit; our choice
_TICK_LETTER = 8.0  # px a letter of a tick takes, room around it included; our choice


class Plot(NamedTuple):
    """A field of the picture, in px, and the values at its edges: x from `first` to `last`, y from 0 to `top`."""

    left: float
    above: float
    width: float
    height: float
    first: float
    last: float
    top: float

    def at(self, point: Point) -> tuple[float, float]:
        """The pixel position of a point (day, amount)."""
        across = (point[0] - self.first) / ((self.last - self.first) or 1.0)
        return (
            round(self.left + across * self.width, 1),
            round(self.above + (1.0 - point[1] / self.top) * self.height, 1),
        )

    @property
    def below(self) -> float:
        """The y of the x axis in the picture."""
        return self.above + self.height

    def within(self, points: Iterable[Point]) -> list[Point]:
        """The points within the days of the plot; a line that crosses an edge is cut at the edge."""
        kept: list[Point] = []
        before: Point | None = None
        for point in points:
            if before is not None:
                for edge in (self.first, self.last):
                    if before[0] < edge < point[0]:
                        share = (edge - before[0]) / (point[0] - before[0])
                        kept.append((edge, before[1] + share * (point[1] - before[1])))
            if self.first <= point[0] <= self.last:
                kept.append(point)
            before = point
        return kept


def picture(title: str, description: str, width: float, height: float, body: Iterable[Markup]) -> Markup:
    """An SVG element with its alternative text; `description` says in words what the picture shows."""
    return element(
        "svg",
        element("title", title),
        element("desc", description),
        Markup(SVG_MARK),
        element("rect", width="100%", height="100%", fill=PAPER),
        *body,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {width:g} {height:g}",
        role="img",
        font_family="sans-serif",
        font_size=f"{TYPE:g}",
        fill=INK,
    )


def svg_file(drawn: Markup) -> str:
    """A picture as the text of an SVG file."""
    return f'<?xml version="1.0" encoding="UTF-8"?>\n{drawn}\n'


def line(plot: Plot, points: Iterable[Point], dashed: bool = False) -> Markup:
    """A series as a line: full and heavy, or thinner and dashed."""
    drawn = " ".join(f"{x:g},{y:g}" for x, y in map(plot.at, points))
    return element(
        "polyline",
        points=drawn,
        fill="none",
        stroke=SECOND if dashed else INK,
        stroke_width="1.4" if dashed else "2.4",
        stroke_linejoin="round",
        stroke_dasharray="6 4" if dashed else None,
    )


def label(
    x: float, y: float, text: str, anchor: str = "start", bold: bool = False, width: float | None = None
) -> Markup:
    """A text in the picture; `anchor` is start, middle or end, `width` squeezes it into so many px."""
    return element(
        "text",
        text,
        x=f"{x:g}",
        y=f"{y:g}",
        text_anchor=anchor,
        font_weight="bold" if bold else None,
        textLength=None if width is None else f"{width:g}",
        lengthAdjust=None if width is None else "spacingAndGlyphs",
    )


def rule(x: float, y: float, to_x: float, to_y: float, dashed: bool = False) -> Markup:
    """A thin straight line."""
    return element(
        "line",
        x1=f"{x:g}",
        y1=f"{y:g}",
        x2=f"{to_x:g}",
        y2=f"{to_y:g}",
        stroke=SECOND,
        stroke_width="1",
        stroke_dasharray="2 3" if dashed else None,
    )


def field(x: float, y: float, width: float, height: float, shaded: bool = True, edge: bool = False) -> Markup:
    """A rectangle, shaded or white, with or without an edge."""
    return element(
        "rect",
        x=f"{x:g}",
        y=f"{y:g}",
        width=f"{max(width, 0.0):g}",
        height=f"{height:g}",
        fill=SHADE if shaded else PAPER,
        stroke=INK if edge else None,
    )


def frame(x: float, y: float, width: float, height: float) -> Markup:
    """The edge of a rectangle; what lies behind shows through."""
    return element(
        "rect",
        x=f"{x:g}",
        y=f"{y:g}",
        width=f"{max(width, 0.0):g}",
        height=f"{height:g}",
        fill="none",
        stroke=INK,
    )


def shades(plot: Plot, stretches: Sequence[Stretch]) -> list[Markup]:
    """Stretches of days as shaded fields behind the lines; a single day is a narrow field."""
    fields = []
    for stretch in stretches:
        first, last = max(stretch.first, plot.first), min(stretch.last, plot.last)
        if first > last:
            continue
        left, right = plot.at((first, 0.0))[0], plot.at((last, 0.0))[0]
        fields.append(field(left - 2, plot.above, right - left + 4, plot.height))
    return fields


def y_axis(plot: Plot, unit: str) -> list[Markup]:
    """The left axis with its unit above (over the row of signs) and figures at even steps, as suits its top."""
    steps = _round_steps(plot.top)
    drawn = [rule(plot.left, plot.above, plot.left, plot.below), label(4, plot.above - 2 * TYPE, unit)]
    for n in range(steps + 1):
        x, y = plot.at((plot.first, plot.top * n / steps))
        drawn += [rule(x - 4, y, x, y), label(x - 7, y + 4, axis_figure(plot.top * n / steps), "end")]
    return drawn


def _round_steps(top: float) -> int:
    """The number of steps that gives round figures at the y axis."""
    leading = top / 10.0 ** math.floor(math.log10(top))
    return next((steps for end, steps in _STEPS if math.isclose(leading, end)), 4)


def x_axis(plot: Plot, first_day: date, last_day: date) -> list[Markup]:
    """The lower axis: a tick and month-day every so many weeks, as have room. The days stand for the plot's ends."""
    drawn = [rule(plot.left, plot.below, plot.left + plot.width, plot.below)]
    for on, text in week_ticks(first_day, last_day, int(plot.width / _TICK_LETTER)):
        x, y = plot.at((plot.first + (on - first_day).days, 0.0))
        drawn += [rule(x, y, x, y + 4), label(x, y + 4 + TYPE, text, "middle")]
    return drawn


def top_of(tracks: Iterable[Sequence[Point]]) -> float:
    """The round number that ends the y axis of some series; ValueError for a figure that is not finite."""
    highest = max((y for track in tracks for _, y in track), default=0.0)
    if not math.isfinite(highest):
        raise ValueError("a chart needs finite figures")
    return round_top(highest)
