"""The growth of a vessel as a picture: density under its ceiling, what is done to it, and when it is ripe."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from typing import NamedTuple

from greenrota.rota.answers.contents import vessel_intervals
from greenrota.rota.rota import Rota
from greenrota.rota.simulate.events import Interval
from greenrota.views.paper import svg
from greenrota.views.paper.markup import Markup
from greenrota.views.paper.svg import TYPE, Plot
from greenrota.views.paper.track import (
    MILLION,
    SIGN_NAMES,
    Point,
    ceiling_tracks,
    day_number,
    deed_signs,
    density_tracks,
    harvest_windows,
)
from greenrota.views.text import amount
from greenrota.views.text.day import day_text

_LEAST_WIDTH = 640.0  # px of the plot; our choice
_DAY_WIDTH = 11.0  # px a day needs, so that signs of two days stay apart; our choice


class Growth(NamedTuple):
    """What the growth chart of a vessel shows: its spans, the series made of them, and the signs above."""

    vessel: str
    intervals: Sequence[Interval]
    density: list[list[Point]]
    ceiling: list[list[Point]]
    signs: list[tuple[float, str]]

    @classmethod
    def of(cls, rota: Rota, vessel: str) -> Growth:
        """The series of a vessel. KeyError: no such vessel."""
        intervals = vessel_intervals(rota, vessel)
        return cls(
            vessel,
            intervals,
            density_tracks(rota, intervals),
            ceiling_tracks(rota, intervals),
            deed_signs(rota, vessel),
        )


def growth_svg(rota: Rota, vessel: str) -> str:
    """The whole horizon of a vessel as an SVG file. KeyError: no such vessel."""
    drawn = Growth.of(rota, vessel)
    begun = min([rota.as_of, rota.through, *(interval.first for interval in drawn.intervals)])
    first, last = day_number(rota, begun), day_number(rota, rota.through)
    last = max(first + 1.0, last)  # a horizon that is over still has an axis
    width = max(_LEAST_WIDTH, (last - first) * _DAY_WIDTH)
    plot = Plot(66, 66, width, 240, first, last, svg.top_of([*drawn.density, *drawn.ceiling]))
    body = [
        svg.label(10, 20, f"{vessel}: {rota.benches[vessel].strain.title}", bold=True),
        *_body(rota, drawn, plot, (begun, rota.through)),
        svg.label(plot.left, plot.below + 40, f"month-day; {_key(drawn.signs)}"),
    ]
    title = f"Projected growth of {vessel}"
    return svg.svg_file(svg.picture(title, _description(rota, drawn), plot.left + width + 76, 366, body))


def _body(rota: Rota, drawn: Growth, plot: Plot, days: tuple[date, date]) -> list[Markup]:
    parts = [
        *svg.shades(plot, harvest_windows(rota, drawn.intervals)),
        *svg.y_axis(plot, "million cells/mL"),
        *svg.x_axis(plot, *days),
        *(svg.line(plot, part, dashed=True) for track in drawn.ceiling if (part := plot.within(track))),
        *(svg.line(plot, part) for track in drawn.density if (part := plot.within(track))),
        *_signs(plot, drawn.signs),
    ]
    return parts + _names(plot, drawn) if drawn.density else parts


def _signs(plot: Plot, signs: Sequence[tuple[float, str]]) -> list[Markup]:
    """A letter above the plot and a dotted line for each thing done; letters of one day stand side by side."""
    together: dict[float, str] = {}
    for day, sign in signs:
        if plot.first <= day <= plot.last:
            together[day] = together.get(day, "") + sign
    parts = []
    for day, letters in together.items():
        x, y = plot.at((day, plot.top))
        parts += [
            svg.rule(x, y - 5, x, plot.below, dashed=True),
            svg.label(x, y - 8, letters, "middle", bold=True),
        ]
    return parts


def _names(plot: Plot, drawn: Growth) -> list[Markup]:
    """The names of the two lines at their right ends, moved apart where they would overlap."""
    lines = (
        [track for track in tracks if len(track) > 1] or tracks for tracks in (drawn.density, drawn.ceiling)
    )
    density, ceiling = (plot.at(tracks[-1][-1])[1] for tracks in lines)
    density = max(density, ceiling + TYPE + 2)
    right = plot.left + plot.width + 6
    return [svg.label(right, ceiling + 4, "ceiling"), svg.label(right, density + 4, "density", bold=True)]


def _key(signs: Sequence[tuple[float, str]]) -> str:
    seen = {sign for _, sign in signs}
    parts = [f"{sign} {name}" for sign, name in SIGN_NAMES.items() if sign in seen]
    return ", ".join([*parts, "shaded: ripe, not yet over-ripe"])


def _description(rota: Rota, drawn: Growth) -> str:
    if not drawn.density:
        return f"Nothing grows in it through {day_text(rota.through)}."
    peak = max(y for track in drawn.density for _, y in track)
    names = {sign: sum(1 for _, each in drawn.signs if each == sign) for sign in SIGN_NAMES}
    deeds = ", ".join(f"{n} x {SIGN_NAMES[sign]}" for sign, n in names.items() if n)
    return (
        f"From {day_text(rota.as_of)} through {day_text(rota.through)}: "
        f"highest density {amount.million_cells(peak * MILLION)}; {deeds or 'nothing is done'}."
    )
