"""From a logbook to a calibration: what becomes of each entry, and the figures for the plan."""

from __future__ import annotations

import json
import math
import re
from datetime import date, timedelta

import pytest

from greenrota.culture.fit.course import Reading, Start, Turn
from greenrota.culture.growth.logistic import density
from greenrota.logbook.book import culture, read_book
from greenrota.logbook.entry import Entry
from greenrota.planfile.read.load import read_plan
from greenrota.rota.answers.calibration import Calibration, calibrate
from greenrota.rota.replay.counts import VesselCounts, vessel_counts
from greenrota.rota.simulate.context import context_for
from greenrota.views.vessel.calibrate import calibrate_page, plan_lines, undetermined
from greenrota.views.vessel.calibrate_json import calibrate_json

PLAN = """
[rota]
name = "shelf"
start = 2027-02-01
days = 60
strain = "tetraselmis"
[room]
temperature = "22 degC"
[water]
salinity = "26 psu"
[[nutrient]]
name = "f2"
medium = "f/2"
dose = "0.20 mL/L"
[[starter]]
name = "bought"
volume = "1 L"
density = "2e6 cells/mL"
on_hand = 2027-01-30
[[vessel]]
name = "north"
volume = "5 L"
fill = "4 L"
photoperiod = "12 h"
[[vessel]]
name = "south"
volume = "5 L"
fill = "4 L"
photoperiod = "12 h"
"""
SETTING = context_for(read_plan(PLAN, "plan.toml"))
LAST = date(2027, 3, 31)
STARTED = "2027-02-01 started north from=starter:bought inoculum=200mL\n"


def entries(text: str) -> tuple[Entry, ...]:
    book = read_book(text.encode())
    assert book.problems == ()
    return culture(book.entries)


def seen(text: str) -> VesselCounts:
    return vessel_counts(SETTING, entries(text), "north", LAST)


def told(text: str, as_of: date = LAST) -> Calibration:
    return calibrate(SETTING, entries(text), "north", as_of)


def logged(days: list[int], rate: float = 0.5, top: float = 1.0e6, first: float = 9e4) -> str:
    """A logbook of exact counts of one batch, each of 4 large squares."""
    lines = [STARTED]
    for day in days:
        n = float(density(first, top, rate, float(day)))
        on = date(2027, 2, 1) + timedelta(days=day)
        lines.append(f"{on} counted north density={n:.0f}/mL cells={n * 4e-4:.0f} squares=4\n")
    return "".join(lines)


def test_every_kind_of_entry_finds_its_place() -> None:
    series = seen(
        STARTED
        + "2027-02-02 counted north density=1.2e5/mL cells=48 squares=4\n"
        + "2027-02-04 counted north density=3e5/mL cells=60 squares=4 dilution=2\n"
        + "2027-02-05 counted south density=3e5/mL\n"
        + "2027-02-06 fed north dose=1\n"
        + "2027-02-08 harvested north volume=3L density=9e5/mL\n"
        + "2027-02-08 reseeded north\n"
        + "2027-02-10 counted north density=0/mL\n"
    )
    start, *rest = series.events
    assert series.first == date(2027, 2, 1)
    assert isinstance(start, Start)
    # by hand: four squares of 1e-4 mL; the dilution of two halves the culture looked at
    assert rest[0] == Reading(1.0, 1.2e5, 4e-4)
    assert rest[1] == Reading(3.0, 3e5, 2e-4)
    assert isinstance(rest[2], Turn)
    assert (rest[2].day, rest[2].share) == (5.0, 1.0)
    assert rest[2].cap_per_ml > 1.5 * start.cap_per_ml  # twice the nutrients
    assert rest[3] == Reading(7.0, 9e5, None)
    assert isinstance(rest[4], Turn)
    assert rest[4].share == pytest.approx(0.25, abs=1e-9)  # by hand: 1 L of 4 L
    assert rest[5] == Reading(9.0, 0.0, None)
    assert series.readings == 4
    assert series.batches[0] == "north/1"
    assert series.batches[-1] == "north/2"
    assert series.alive


def test_a_start_from_an_old_bottle_lags() -> None:
    (start,) = seen("2027-03-10 started north from=starter:bought inoculum=200mL\n").events
    assert isinstance(start, Start)
    assert start.lag_days > 0.0


def test_counts_that_stop_where_the_nutrients_do_tell_no_ceiling() -> None:
    # f/2 builds about 1.28e6 by the quota; light and air may carry more, and the counts can not tell
    found = told(logged([0, 1, 2, 3, 4, 6, 8, 10, 13], top=1.27e6))
    assert found.ceiling_per_ml is None
    assert found.plateau_per_ml == pytest.approx(1.27e6, rel=0.05)
    assert "second dose" in undetermined(found)[0]


def test_a_crash_takes_its_counts_along() -> None:
    series = seen(
        logged([0, 2, 4, 6])
        + "2027-02-08 crashed north cause=contamination since=2027-02-05\n"
        + "2027-02-10 started north from=starter:bought inoculum=200mL\n"
        + "2027-02-12 counted north density=2e5/mL\n"
    )
    assert [event.day for event in series.events if isinstance(event, Reading)] == [0.0, 2.0, 11.0]
    assert sum(isinstance(event, Start) for event in series.events) == 2


def test_voided_and_later_entries_do_not_count() -> None:
    text = STARTED.replace("\n", " n=1\n") + "2027-02-02 counted north density=5e9/mL n=2\n"
    text += "2027-02-03 void - entry=2 n=3\n2027-02-20 counted north density=1e6/mL n=4\n"
    assert vessel_counts(SETTING, entries(text), "north", date(2027, 2, 10)).readings == 0


def test_the_rate_for_the_plan_is_that_at_its_best() -> None:
    found = told(
        logged([0, 1, 2, 3, 4, 6, 8, 10, 13]).replace("started north", "started north density=9e4/mL")
    )
    assert found.fit is not None
    bench = SETTING.benches["north"]
    factor = bench.temperature_factor * 0.75 * bench.salinity_factor  # by hand: 12 h of 16 h of light
    assert found.place_factor == pytest.approx(factor, rel=1e-12)
    assert found.rate_at_best_per_day == pytest.approx(found.fit.rate.value / factor, rel=1e-12)
    # written with whole cells, and the plan's lag of a fresh starter is a tenth of a day: within 8 %
    assert found.fit.rate.value == pytest.approx(0.5, rel=0.08)
    assert found.ceiling_per_ml == pytest.approx(1.0e6, rel=0.03)


def test_the_lines_for_the_plan_are_read_back() -> None:
    found = told(logged([0, 1, 2, 3, 4, 6, 8, 10, 13]))
    lines = plan_lines(found)
    assert found.rate_at_best_per_day is not None
    assert found.ceiling_per_ml is not None
    strain = read_plan(PLAN + "\n".join(lines), "plan.toml").strains["tetraselmis"]
    assert strain.rate_per_day == pytest.approx(found.rate_at_best_per_day, rel=5e-3)  # three digits
    assert strain.ceiling_per_ml == pytest.approx(found.ceiling_per_ml, rel=5e-3)
    page = calibrate_page(found, 80, ascii_only=True)
    assert all(f"  {line}" in page for line in lines)
    assert page.isascii()
    assert max(map(len, page.split("\n"))) <= 80


def test_a_rising_series_gives_a_rate_and_no_ceiling() -> None:
    found = told(logged([0, 1, 2, 3]), date(2027, 2, 4))
    assert found.rate_at_best_per_day is not None
    assert found.ceiling_per_ml is None
    assert [line.split()[0] for line in plan_lines(found)] == ["[strain.tetraselmis]", "rate"]
    assert [text.split(":")[0] for text in undetermined(found)] == ["ceiling"]
    assert found.next_on is not None
    assert found.next_on >= date(2027, 2, 5)
    assert found.next_count.figure == "ceiling"


def test_a_count_is_never_asked_for_in_the_past() -> None:
    found = told(logged([0, 1, 2, 3]), date(2027, 2, 12))
    assert found.next_on is None or found.next_on >= date(2027, 2, 12)


def test_impossible_counts_are_left_out_and_told() -> None:
    text = logged([0, 1, 2, 3]) + "2027-02-06 counted north density=9e11/mL squares=4\n"
    text += "2027-02-07 counted north density=4e5/mL cells=9 squares=1e-6\n"
    found = told(text)
    assert found.counts.impossible == 1
    assert found.counts.readings == 5
    assert [e for e in found.counts.events if isinstance(e, Reading)][-1].looked_at_ml is None
    assert "1 count left out" in calibrate_page(found)


def test_no_counts_are_refused_with_a_next_count() -> None:
    for text in ("", STARTED, logged([2])):
        found = told(text)
        assert found.fit is None
        assert "too few" in found.refused
        assert plan_lines(found) == []
        assert "Next count that helps most" in calibrate_page(found)


def test_counts_above_what_the_nutrients_build_leave_that_ceiling_out() -> None:
    # f/2 builds less than this by the strain's quota; the person's counts have the last word
    richer = told(logged([0, 2, 4, 6, 8, 10, 13, 16], top=6e6, first=3e5))
    assert richer.richer
    assert richer.ceiling_per_ml == pytest.approx(6e6, rel=0.05)
    assert not told(logged([0, 2, 4, 6, 8, 10, 13])).richer


def test_json_says_what_the_page_says() -> None:
    found = told(logged([0, 1, 2, 3, 4, 6, 8, 10, 13]))
    answer = json.loads(calibrate_json(found))
    assert answer["format"] == "greenrota/calibrate/1"
    assert answer["rate_low_per_day"] < answer["rate_per_day"] < answer["rate_high_per_day"]
    assert answer["ceiling_low_per_ml"] < answer["ceiling_per_ml"] < answer["ceiling_high_per_ml"]
    assert answer["plan_lines"] == plan_lines(found)
    assert len(answer["readings"]) == answer["counts"] == 9
    assert answer["readings"][0]["date"] == "2027-02-01"
    assert answer["curve"][-1]["date"] == "2027-02-14"
    assert [start["batch"] for start in answer["starts"]] == ["north/1"]
    empty = json.loads(calibrate_json(told("")))
    assert empty["rate_per_day"] is None
    assert empty["not_told"] != []


def test_the_figures_of_the_page_stand_in_the_json() -> None:
    found = told(logged([0, 1, 2, 3, 4, 6, 8, 10, 13]))
    page, answer = calibrate_page(found), json.loads(calibrate_json(found))
    rate, low, high = (answer[f"rate{end}_per_day"] for end in ("", "_low", "_high"))
    assert f"{rate:.2f} /day ({low:.2f} to {high:.2f})" in page
    for key in ("place", "temperature", "photoperiod", "salinity"):
        assert f"{answer[f'{key}_factor']:.2f}" in page
    factors = [answer[f"{key}_factor"] for key in ("temperature", "photoperiod", "salinity")]
    assert math.prod(factors) == pytest.approx(answer["place_factor"], rel=1e-3)  # each has four digits
    now, then = (answer["next_count"][f"relative_error_{when}"] for when in ("now", "then"))
    assert f"{then:.0%} (now {now:.0%}" in page
    (start,) = answer["starts"]
    shown = re.search(
        r"^start +([\d.]+) million cells/mL \(([\d.]+) to ([\d.]+)\) in north/1,", page, re.MULTILINE
    )
    assert shown is not None
    millions = [start[f"density{end}_per_ml"] / 1e6 for end in ("", "_low", "_high")]
    assert [float(each) for each in shown.groups()] == pytest.approx(millions, rel=0.05)  # two digits


def test_the_band_of_the_chart_holds_most_counts() -> None:
    found = told(logged([0, 1, 2, 3, 4, 6, 8, 10, 13]))
    assert found.fit is not None
    off = [
        abs(math.log(fitted / event.density_per_ml))
        for event, (fitted, _) in zip(
            [e for e in found.fit.events if isinstance(e, Reading)], found.fit.fitted, strict=True
        )
    ]
    assert max(off) < 0.1  # exact counts: nothing is farther off than handling alone


def test_a_start_far_from_what_was_poured_is_told() -> None:
    """By hand: 200 mL of 2e6 in 4 L give 1e5; the same counts a tenth of it are far, a fifth off is not."""
    days = [0, 1, 2, 3, 4, 6, 8, 10, 13]
    near, far = (told(logged(days, first=first)) for first in (8e4, 1e4))
    (close,), (off,) = near.starts, far.starts
    assert close.planned_per_ml == pytest.approx(1e5, rel=0.05)  # the bottle has lost a little by its age
    assert (close.far_from_plan, off.far_from_plan) == (False, True)
    assert "far more than counting" in calibrate_page(far)
    assert "far more than counting" not in calibrate_page(near)
    assert [start["far_from_plan"] for start in json.loads(calibrate_json(far))["starts"]] == [True]


def test_a_start_of_unknown_amounts_is_held_against_nothing() -> None:
    text = logged([0, 1, 2, 3, 4, 6, 8, 10, 13], first=1e4).replace(" inoculum=200mL", "")
    (start,) = told(text).starts
    assert start.planned_per_ml is None
    assert not start.far_from_plan
