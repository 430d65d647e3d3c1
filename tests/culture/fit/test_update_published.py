"""Published growth series, cut short: the band says where the rest of the counts and the ripe day lie.

Truth: the counts and the day that the band was not shown. What is known beforehand is next to nothing: a rate and a
ceiling good to a factor of seven either way.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from published_series import ALL, Series
from scipy import optimize, special, stats

from greenrota.culture.fit.course import Event, Reading, Start
from greenrota.culture.fit.estimate import Estimate
from greenrota.culture.fit.likelihood import ERROR_FACTORS
from greenrota.culture.fit.tally import WRITTEN
from greenrota.culture.fit.update import Update, updated
from greenrota.culture.growth.logistic import density

RIPE = 0.8
CUT = 0.4  # our choice: half way to being ripe; the keeper still has to be told the day


def told_by(series: Series, kept: int) -> Update:
    """The update by the first counts of a series."""
    before = Estimate(0.5, 1.0, 2.0 * max(series.counts[:kept]), 1.0)
    counts = map(Reading, series.times[:kept], series.counts[:kept])
    events: list[Event] = [Start(series.times[0]), *counts]
    return updated(before, events)


def chance_below(told: Update, time: float, counted: float) -> float:
    """The chance, after the kept counts, that a count at a time is lower than the one in print."""
    grid = told.grid
    assert grid.density_per_ml is not None
    days = np.asarray(time - told.day)
    expected = np.log(density(grid.density_per_ml, grid.ceiling_per_ml, grid.rate_per_day, days))
    return sum(
        float((weight * special.ndtr((math.log(counted) - expected) / (WRITTEN * factor))).sum())
        for weight, factor in zip(grid.weight, ERROR_FACTORS, strict=True)
    )


def test_the_last_third_of_every_series_lies_in_the_band() -> None:
    hits = tried = 0
    for series in ALL:
        kept = math.ceil(2 * len(series.times) / 3)
        told = told_by(series, kept)
        for time, counted in zip(series.times[kept:], series.counts[kept:], strict=True):
            hits += 0.025 <= chance_below(told, time, counted) <= 0.975
            tried += 1
    assert tried == 63
    # 95 % are promised; laboratories count better than a keeper is taken to, so more is no surprise
    assert hits >= stats.binom.ppf(0.025, tried, 0.95)


def ripe_time(series: Series) -> tuple[float, float]:
    """Ceiling, and the time at which 80 % of it is passed, by an independent fit to the whole series."""

    def law(t: np.ndarray, top: float, rate: float, first: float) -> np.ndarray:
        return np.asarray(top / (1.0 + (top / first - 1.0) * np.exp(-rate * (t - series.times[0]))))

    interval = series.times[-1] - series.times[0]
    guess = [max(series.counts), 6.0 / interval, series.counts[0]]
    (top, rate, first), _ = optimize.curve_fit(law, series.times, series.counts, guess, maxfev=20_000)
    return top, series.times[0] + math.log(RIPE / (1.0 - RIPE) * (top / first - 1.0)) / rate


@pytest.mark.parametrize("series", [s for s in ALL if s.levels_off], ids=lambda s: s.name)
def test_the_ripe_day_lies_in_the_band_before_it_is_reached(series: Series) -> None:
    # thirteen series that level off; 95 % of them are twelve, and all are in
    top, ripe = ripe_time(series)
    kept = next(n for n, count in enumerate(series.counts) if count > CUT * top) + 1
    told = told_by(series, kept)
    when = told.ripeness(RIPE)
    assert when.from_day <= max(0.0, ripe - told.day) <= when.to_day
    assert when.from_day <= when.on_day <= when.to_day < 200.0


def test_more_counts_of_a_series_are_a_smaller_band() -> None:
    # by construction; the widest and the narrowest of what is left of the yeast before it is ripe
    yeast = next(series for series in ALL if series.name == "yeast")
    widths = [(when := told_by(yeast, kept).ripeness(RIPE)).to_day - when.from_day for kept in (3, 5, 7, 9)]
    assert widths == sorted(widths, reverse=True)
    assert widths[-1] < 0.6 * widths[0]
