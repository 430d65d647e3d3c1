"""The short days of many seasons as a picture: bars by their number, a compared plan beside them."""

from __future__ import annotations

from collections.abc import Sequence

from greenrota.rota.wording import numbered
from greenrota.views.paper import svg
from greenrota.views.paper.markup import Markup
from greenrota.views.paper.svg import TYPE, Plot
from greenrota.views.risk.risk import PlanRisk, RiskReport, bin_of_days, bins_of, percent
from greenrota.views.text.lettering import display_width

_WIDTH, _HEIGHT = 640.0, 240.0  # px of the plot; our choice
_FILLED = 0.7  # of the room of a bin is taken by its bars; our choice
_LETTER = 7.5  # px a letter of a name takes; our choice
_WIDEST_NAME = 620.0  # px; a longer name is set narrower; our choice


def risk_svg(report: RiskReport) -> str:
    """Seasons by short days as an SVG file, in percent; a compared plan as white bars with the same bins."""
    plan, compared = report.plan, report.compared
    plans = [plan] if compared is None else [plan, compared.plan]
    bins = bins_of(max(len(plan.outcome.histogram) for plan in plans))
    shares = [_shares(plan, bins) for plan in plans]
    top = svg.top_of([[(0.0, share) for share in each] for each in shares])
    plot = Plot(66, 66, _WIDTH, _HEIGHT, 0.0, float(len(bins)), top)
    body = [
        svg.label(
            10, 20, f"{plan.name}: days short of feed in a season", bold=True, width=_squeezed(plan.name)
        ),
        *svg.y_axis(plot, "% of seasons"),
        svg.rule(plot.left, plot.below, plot.left + plot.width, plot.below),
        *(part for place, each in enumerate(shares) for part in _bars(plot, each, place, len(plans))),
        *_bin_names(plot, bins),
        svg.label(plot.left, plot.below + 40, "short days in a season"),
        *(part for place, plan in enumerate(plans) for part in _key(plot, plan, place)),
    ]
    words = "; ".join(_sentence(plan) for plan in plans)
    height = plot.below + 60 + 24 * len(plans)
    drawn = svg.picture(
        "Seasons by days short of feed", f"{words}.", plot.left + plot.width + 20, height, body
    )
    return svg.svg_file(drawn)


def _shares(plan: PlanRisk, bins: Sequence[tuple[int, int]]) -> list[float]:
    """Percent of the seasons in each bin."""
    counts = plan.outcome.histogram
    return [100.0 * sum(counts[first : last + 1]) / plan.outcome.seasons for first, last in bins]


def _bars(plot: Plot, shares: Sequence[float], place: int, plans: int) -> list[Markup]:
    """The bars of one plan; a share stands over each where there is but one plan."""
    wide = _FILLED / plans
    drawn = []
    for number, share in enumerate(shares):
        begins = number + (1.0 - _FILLED) / 2.0 + place * wide
        left, above = plot.at((begins, share))
        right, _ = plot.at((begins + wide, share))
        drawn.append(svg.field(left, above, right - left, plot.below - above, shaded=place == 0, edge=True))
        if plans == 1 and share > 0.0:
            drawn.append(svg.label((left + right) / 2.0, above - 4, percent(share / 100.0), "middle"))
    return drawn


def _bin_names(plot: Plot, bins: Sequence[tuple[int, int]]) -> list[Markup]:
    middles = [plot.at((number + 0.5, 0.0)) for number in range(len(bins))]
    return [
        svg.label(x, y + 4 + TYPE, bin_of_days(days), "middle")
        for (x, y), days in zip(middles, bins, strict=True)
    ]


def _key(plot: Plot, plan: PlanRisk, place: int) -> list[Markup]:
    y = plot.below + 68 + 24 * place
    said = f"{plan.name}: any day short in {percent(plan.outcome.short.value)} of the seasons"
    return [
        svg.field(plot.left, y - 12, 16, 14, shaded=place == 0, edge=True),
        svg.label(plot.left + 24, y, said, width=_squeezed(said)),
    ]


def _squeezed(text: str) -> float | None:
    return _WIDEST_NAME if display_width(text) * _LETTER > _WIDEST_NAME else None


def _sentence(plan: PlanRisk) -> str:
    found = plan.outcome
    return (
        f"{plan.name}: of {numbered(found.seasons, 'season')}, {percent(found.short.value)} have a day short of feed, "
        f"{found.short_days.value:.2f} such days in the mean; nine in ten stay within "
        f"{found.short_days_p90.value:.0f}"
    )
