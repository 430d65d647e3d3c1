"""The rota as a strip: a row for every vessel, a bar for every batch, and what is done to it along the days."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from typing import Literal, assert_never

from greenrota.rota.answers.contents import vessel_intervals
from greenrota.rota.rota import Rota
from greenrota.rota.wording import numbered
from greenrota.views.paper import svg
from greenrota.views.paper.markup import Markup
from greenrota.views.paper.svg import Plot
from greenrota.views.paper.track import Stretch, day_number
from greenrota.views.text.day import day_text
from greenrota.views.text.lettering import display_width

MarkedKind = Literal["feed", "harvest"]
_MARKED: tuple[MarkedKind, ...] = ("feed", "harvest")
_LEAST_WIDTH = 640.0  # px; our choice
_DAY_WIDTH = 14.0  # px; our choice
_ROW = 44.0  # px; our choice
_BAR = 24.0  # px; our choice
_LETTER = 8.5  # px a letter of a vessel's name takes; our choice
_WIDEST_NAME = 240.0  # px; a longer name is set narrower; our choice


def strip_svg(rota: Rota) -> str:
    """All vessels over the horizon as an SVG file."""
    intervals = [interval for name in rota.benches for interval in vessel_intervals(rota, name)]
    begun = min([rota.as_of, rota.through, *(interval.first for interval in intervals)])
    first, last = day_number(rota, begun), max(1.0, day_number(rota, rota.through))
    left = 16 + min(_WIDEST_NAME, _LETTER * max(display_width(name) for name in rota.benches))
    width, height = max(_LEAST_WIDTH, (last - first) * _DAY_WIDTH), _ROW * len(rota.benches)
    plot = Plot(left, 44, width, height, first, last, float(len(rota.benches)))
    batches = {interval.batch.id for interval in intervals}
    body = [
        svg.label(10, 20, f"{rota.plan.name}: batches", bold=True),
        *svg.shades(plot, list(_away(rota))),
        *svg.x_axis(plot, begun, rota.through),
        *(part for row, name in enumerate(rota.benches) for part in _row(rota, plot, name, row)),
        svg.label(left, plot.below + 40, _key(rota)),
    ]
    description = (
        f"{numbered(len(rota.benches), 'vessel')} and {numbered(len(batches), 'batch', 'batches')} "
        f"from {day_text(begun)} through {day_text(rota.through)}."
    )
    return svg.svg_file(
        svg.picture("Batches of every vessel", description, left + width + 20, height + 104, body)
    )


def _key(rota: Rota) -> str:
    key = "month-day; a bar is a batch with its number; v second dose; / harvest"
    return f"{key}; shaded: days away" if rota.plan.away else key


def _away(rota: Rota) -> Iterable[Stretch]:
    """The days away as wide as they are, half a day to each side of their marks."""
    for away in rota.plan.away:
        yield Stretch(day_number(rota, away.first) - 0.5, day_number(rota, away.last) + 0.5)


def _row(rota: Rota, plot: Plot, name: str, row: int) -> list[Markup]:
    above = plot.above + row * _ROW + (_ROW - _BAR) / 2
    widest = _WIDEST_NAME if display_width(name) * _LETTER > _WIDEST_NAME else None
    parts = [svg.label(plot.left - 8, above + 17, name, "end", bold=True, width=widest)]
    for _, of_batch in groupby(vessel_intervals(rota, name), key=lambda interval: interval.batch.id):
        intervals = list(of_batch)
        first, last = (
            plot.at((day_number(rota, day), 0.0))[0] for day in (intervals[0].first, intervals[-1].last)
        )
        number = intervals[0].batch.number
        parts.append(svg.frame(first, above, last - first, _BAR))
        if last - first >= _LETTER * len(str(number)) + 4:
            parts.append(svg.label(first + 4, above + 17, str(number)))
    return parts + [part for mark in _marks(rota, name) for part in _mark(plot, mark, above)]


def _marks(rota: Rota, name: str) -> list[tuple[float, MarkedKind]]:
    return [
        (day_number(rota, event.on), event.kind)
        for event in rota.simulation.events
        if event.batch.vessel == name and event.kind in _MARKED
    ]


def _mark(plot: Plot, mark: tuple[float, MarkedKind], above: float) -> list[Markup]:
    """A feed is a v above its bar, a harvest a stroke through the end of it."""
    x = plot.at((mark[0], 0.0))[0]
    match mark[1]:
        case "feed":
            return [svg.label(x, above - 2, "v", "middle", bold=True)]
        case "harvest":
            return [svg.rule(x - 4, above + _BAR + 5, x + 4, above - 5)]
        case _:
            assert_never(mark[1])
