"""Ripe days of a vessel: their range by the strain and by counts, held against draws of what may be true."""

from __future__ import annotations

import math
from datetime import date, timedelta
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from greenrota.cli.system.rota_at import load_plan
from greenrota.logbook.book import culture, read_book
from greenrota.logbook.entry import Entry
from greenrota.rota.answers.contents import choice_of, soon_ripe
from greenrota.rota.answers.ripeness import RipeDay, VesselRipeness, ripe_days_of, vessel_ripeness
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.views.today.today import today_page
from greenrota.views.vessel.growth import growth_page
from greenrota.views.vessel.ripeness import ripe_text

FOLDER = Path(__file__).parents[2] / "examples"
STARTED = "2027-02-03 started north from=starter:bought inoculum=187.5mL n=1\n"
COUNTS = (
    "2027-02-05 counted north density=1.6e5/mL cells=64 squares=4 n=2\n"
    "2027-02-07 counted north density=3.0e5/mL cells=120 squares=4 n=3\n"
    "2027-02-09 counted north density=5.1e5/mL cells=204 squares=4 n=4\n"
)
RIPE = 0.8  # share of the ceiling, as the model page says


def entries(text: str) -> tuple[Entry, ...]:
    return culture(read_book(text.encode()).entries)


@cache
def rota(name: str = "shelf", text: str = "", on: date | None = None) -> Rota:
    return schedule(load_plan(FOLDER / f"{name}.toml"), entries(text), on)


def told(text: str, on: date) -> VesselRipeness:
    return vessel_ripeness(rota("shelf", text, on), "north", entries(text))


def width(day: RipeDay) -> int:
    assert day.earliest is not None
    assert day.latest is not None
    return (day.latest - day.earliest).days


@pytest.mark.parametrize(
    ("name", "vessel"), [("shelf", "north"), ("us-pair", "right"), ("corner", "diatom-1")]
)
def test_without_counts_the_middle_day_is_that_of_the_rota_and_lies_in_the_range(
    name: str, vessel: str
) -> None:
    """Two routes: the harvest windows, and the closed form of the range, a second dose included (us-pair)."""
    found = vessel_ripeness(rota(name), vessel)
    assert len(found.days) > 2
    assert found.counts == 0
    assert found.after == found.before
    for day in found.days:
        choice = choice_of(rota(name), day.batch)
        assert choice is not None
        assert day.on == choice.projection.ripe_on
        assert day.on is not None
        assert day.earliest is not None
        assert day.latest is not None
        assert day.earliest < day.on < day.latest


def test_the_range_of_a_first_batch_is_that_of_many_draws() -> None:
    """Independent route: 200,000 draws of rate, ceiling and start, each solved by the logistic law."""
    bench = rota().benches["north"]
    start = next(visit for visit in rota().simulation.events if visit.batch.id == "north/1")
    assert start.after is not None
    draw = np.random.default_rng(7)
    spread = bench.strain.rate_spread, bench.strain.ceiling_spread, 0.30  # 0.30: as the model page says
    rate, top, first = (np.exp(s * draw.standard_normal(200_000)) for s in spread)
    rate, top = rate * bench.rate_per_day, top * bench.ceiling(start.after).per_ml
    first = first * start.after.density_per_ml
    days = np.log(RIPE / (1 - RIPE) * (top - first) / first) / rate + start.after.lag_days
    low, high = np.quantile(days, [0.025, 0.975])
    day = vessel_ripeness(rota(), "north").day_of("north/1")
    # the range is in whole days, made whole upwards; 0.1 is for the draws
    for found, wanted in ((day.earliest, low), (day.latest, high)):
        assert found is not None
        assert -0.1 <= (found - start.on).days - wanted <= 1.1


def test_three_counts_make_the_range_visibly_smaller_and_the_figures_move_to_them() -> None:
    on = date(2027, 2, 9)
    before, after = told(STARTED, on), told(STARTED + COUNTS, on)
    assert (before.counts, after.counts) == (0, 3)
    assert width(after.day_of("north/1")) <= 0.75 * width(before.day_of("north/1"))
    assert width(after.day_of("north/2")) <= width(before.day_of("north/2"))
    # by hand: the counts rise by ln(5.1/1.6) in 4 days on a curve that bends, slower than the strain's 0.48
    assert math.log(5.1 / 1.6) / 4 < after.after.rate_per_day < after.before.rate_per_day
    low, high = after.after.rate_range_per_day
    assert high / low < 0.7 * before.after.rate_range_per_day[1] / before.after.rate_range_per_day[0]


def test_a_count_that_is_taken_back_leaves_no_trace() -> None:
    on = date(2027, 2, 9)
    once = told(STARTED + COUNTS.rsplit("\n", 2)[0] + "\n", on)
    void = told(STARTED + COUNTS + "2027-02-09 void - entry=4 n=5\n", on)
    assert void == once
    assert void != told(STARTED + COUNTS, on)


def test_a_start_of_unknown_amounts_is_looked_ahead_from_the_rota_itself() -> None:
    """Amounts that nobody wrote down tell no start density: only the counts do."""
    text = STARTED.replace(" inoculum=187.5mL", "")
    found = told(text, date(2027, 2, 5))
    assert (found.counts, found.after) == (0, found.before)
    assert found.day_of("north/1").on is not None
    assert found.day_of("south/9") == RipeDay("south/9", None, None, None)


def test_pages_tell_the_range_in_words() -> None:
    on, text = date(2027, 2, 9), STARTED + COUNTS
    here = rota("shelf", text, on)
    ripe = told(text, on)
    line = ripe_text(ripe.day_of("north/1"), on)
    assert line in growth_page(here, "north", ripe=ripe)
    assert "with 3 counts of yours" in growth_page(here, "north", ripe=ripe)
    assert soon_ripe(here, on) == ["north"]
    soon = ripe_days_of(here, ["north", "south"], entries(text))
    assert soon == {"north/1": ripe.day_of("north/1")}
    assert line in today_page(here, on, ripe=soon)
    assert line not in today_page(here, on)


@pytest.mark.parametrize(
    ("from_day", "on_day", "to_day", "words"),
    [
        (18, 20, 23, "ripe Sat 20 Feb, between Thu 18 and Tue 23"),
        (18, 20, 33, "ripe Sat 20 Feb, between Thu 18 and Fri 5 Mar"),
        (-3, 20, 23, "ripe Sat 20 Feb, between Thu 28 Jan and Tue 23 Feb"),
        (18, 20, None, "ripe Sat 20 Feb, Thu 18 at the earliest, perhaps never"),
        (None, None, None, "never ripe by these figures"),
    ],
)
def test_the_words_for_a_range(
    from_day: int | None, on_day: int | None, to_day: int | None, words: str
) -> None:
    def day(number: int | None) -> date | None:
        return None if number is None else date(2027, 1, 31) + timedelta(days=number)

    told = RipeDay("a/1", day(on_day), day(from_day), day(to_day))
    assert ripe_text(told, date(2027, 1, 2)) == words


def test_the_words_once_it_may_be_ripe() -> None:
    told = RipeDay("a/1", date(2027, 2, 20), date(2027, 2, 18), date(2027, 2, 23))
    assert ripe_text(told, date(2027, 2, 19)) == "ripe Sat 20 Feb, between now and Tue 23"
    assert ripe_text(told, date(2027, 2, 21)) == "likely ripe, by Tue 23 at the latest"
    assert ripe_text(told, date(2027, 2, 23)) == "ripe"
