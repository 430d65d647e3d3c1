"""Dangers: what the plan says, what is assumed, and what a logbook counts."""

from dataclasses import fields
from datetime import date

import pytest
from plan_texts import SHORT
from scipy import stats

from greenrota.logbook.entry import Entry, parse_line
from greenrota.planfile.read.load import read_plan
from greenrota.risk.hazard import danger_for, logged_rates, scaled, with_logged
from greenrota.rota.plan import Hazards


def entries(*lines: str) -> list[Entry]:
    read = [parse_line(line) for line in lines]
    assert all(isinstance(entry, Entry) for entry in read)
    return [entry for entry in read if isinstance(entry, Entry)]


LOG = entries(
    "2027-02-01 started north from=starter:bought inoculum=187.5mL",
    "2027-02-01 started south from=starter:bought inoculum=187.5mL",
    "2027-02-11 crashed north cause=contamination",
    "2027-02-12 started north from=south/1 inoculum=500mL",
    "2027-02-21 crashed north cause=overheating",
    "2027-02-21 crashed south cause=overheating",
)


def test_rates_are_events_over_days_lived() -> None:
    """Truth derived by hand: north 10 + 9 days, south 20; 20 days with life (all but none missing)."""
    rates = {rate.cause: rate for rate in logged_rates(LOG, date(2027, 3, 1))}
    caught = rates["contamination"]
    assert (caught.events, caught.exposure_days) == (1, 39)
    assert caught.low_per_day == pytest.approx(stats.gamma.ppf(0.025, 1) / 39, rel=1e-9)
    assert caught.high_per_day == pytest.approx(stats.gamma.ppf(0.975, 2) / 39, rel=1e-9)
    heat = rates["heat wave"]
    assert (heat.events, heat.exposure_days) == (1, 20)


def test_counted_rates_replace_assumed_ones_only_where_something_was_counted() -> None:
    before = danger_for(None)
    after = with_logged(before, logged_rates(LOG, date(2027, 3, 1)))
    assert after.contamination == 1 / 39
    assert after.crash == before.crash
    assert after.blows[1].per_day == 1 / 20
    assert after.blows[0] == before.blows[0]


def test_an_empty_logbook_counts_nothing() -> None:
    assert logged_rates([], date(2027, 3, 1)) == ()


def test_entries_after_the_day_do_not_count() -> None:
    rates = {rate.cause: rate for rate in logged_rates(LOG, date(2027, 2, 10))}
    assert (rates["contamination"].events, rates["contamination"].exposure_days) == (0, 18)


def test_chances_never_pass_one() -> None:
    wild = scaled(danger_for(None), 1e6)
    assert wild.crash == wild.over_ripe == wild.contamination == 1.0
    calm = scaled(danger_for(None), 0.0)
    chances = (calm.crash, calm.over_ripe, calm.contamination, *(blow.per_day for blow in calm.blows))
    assert chances == (0.0,) * 6


def test_every_key_of_the_table_reaches_the_dangers() -> None:
    text = (
        SHORT
        + """
[risk]
crash = "0.011 /day"
over_ripe = "0.012 /day"
contamination = "0.013 /day"
fouling = "14 days"
hidden = "5 days"
power_cut = "0.016 /day"
power_cut_loss = 0.17
heat_wave = "0.018 /day"
heat_wave_loss = 0.19
forgotten_air = "0.020 /day"
forgotten_air_loss = 0.21
"""
    )
    hazards = read_plan(text, "plan.toml").hazards
    expected = (0.011, 0.012, 0.013, 14.0, 5, 0.016, 0.17, 0.018, 0.19, 0.020, 0.21)
    assert hazards is not None
    assert [getattr(hazards, field.name) for field in fields(Hazards)] == pytest.approx(expected)
    danger = danger_for(hazards)
    told = (danger.crash, danger.over_ripe, danger.contamination, danger.fouling_days, danger.hidden_days)
    blows = [figure for blow in danger.blows for figure in (blow.per_day, blow.loss_share)]
    assert [*told, *blows] == pytest.approx(expected)
