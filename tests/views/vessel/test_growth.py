"""The projection: segments that join, days that follow the logistic law, a chart that fits."""

import json
import math
from datetime import date, timedelta
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from made_papers import plan_of
from scipy.integrate import solve_ivp

from greenrota.cli.system.rota_at import load_plan
from greenrota.logbook.entry import Entry
from greenrota.rota.answers.ripeness import vessel_ripeness
from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.views.tasks.svg_strip import strip_svg
from greenrota.views.vessel.growth import growth_json, growth_page
from greenrota.views.vessel.svg_growth import growth_svg

FOLDER = Path(__file__).parents[3] / "examples"
VESSELS = [("shelf", "north"), ("shelf", "spare"), ("us-pair", "right"), ("corner", "diatom-1")]
every_vessel = pytest.mark.parametrize(("name", "vessel"), VESSELS)


@cache
def rota(name: str) -> Rota:
    return schedule(load_plan(FOLDER / f"{name}.toml"))


@cache
def told(name: str, vessel: str) -> dict[str, Any]:
    answer: dict[str, Any] = json.loads(growth_json(rota(name), vessel))
    return answer


def segments(name: str, vessel: str) -> list[dict[str, Any]]:
    return [segment for batch in told(name, vessel)["batches"] for segment in batch["segments"]]


def days_between(first: str, last: str) -> int:
    return (date.fromisoformat(last) - date.fromisoformat(first)).days


@every_vessel
def test_json_has_the_promised_shape(name: str, vessel: str) -> None:
    answer = told(name, vessel)
    assert list(answer) == ["format", "vessel", "known", "batches", "daily", "observations"]
    assert (answer["format"], answer["vessel"]) == ("greenrota/growth/1", vessel)
    for segment in segments(name, vessel):
        assert list(segment) == [
            "from", "to", "lag_days", "density_start_per_ml", "rate_per_day",
            "ceiling_per_ml", "ceiling_by", "density_end_per_ml",
        ]  # fmt: skip
        assert segment["ceiling_by"] in ("bench", "nitrogen", "phosphorus", "silicon")
    assert all(list(day) == ["date", "density_per_ml", "volume_ml"] for day in answer["daily"])
    assert len(answer["daily"]) == rota(name).plan.days


def filled_ml(name: str, batch: str, on: date) -> float:
    """By hand: what the tasks pour into a vessel for a batch up to a day, that day included."""
    return sum(
        (task.amounts.inoculum_ml or 0.0) + (task.amounts.seawater_ml or 0.0)
        for task in rota(name).tasks
        if task.batch == batch and task.on <= on and task.kind in ("start", "reseed", "topup")
    )


def thinning(name: str, batch: str, on: date) -> float:
    """The share of its density that a batch keeps on a day: less than 1 where it is topped up."""
    topped = any(t.batch == batch and t.on == on and t.kind == "topup" for t in rota(name).tasks)
    return filled_ml(name, batch, on - timedelta(days=1)) / filled_ml(name, batch, on) if topped else 1.0


@every_vessel
def test_segments_of_a_batch_join(name: str, vessel: str) -> None:
    for batch in told(name, vessel)["batches"]:
        for before, after in zip(batch["segments"], batch["segments"][1:], strict=False):
            assert before["to"] == after["from"]
            # the density is not changed by a dose, and thinned by the seawater of a top-up; 1e-6 covers the rounding
            # of the printed figures
            thinned = thinning(name, batch["batch"], date.fromisoformat(after["from"]))
            assert before["density_end_per_ml"] * thinned == pytest.approx(
                after["density_start_per_ml"], rel=1e-6
            )


@every_vessel
def test_every_segment_agrees_with_a_general_purpose_integrator(name: str, vessel: str) -> None:
    """Independent route: scipy's Runge-Kutta on dX/dt = r X (1 - X/K) after the lag."""
    for segment in segments(name, vessel):
        top, rate = segment["ceiling_per_ml"], segment["rate_per_day"]
        days = max(0.0, days_between(segment["from"], segment["to"]) - segment["lag_days"])
        solved = solve_ivp(
            lambda _, x, rate=rate, top=top: rate * x * (1 - x / top),
            (0.0, days),
            [segment["density_start_per_ml"]],
            rtol=1e-9,
        )
        # the rate is printed with four digits, so exp(r t) is known to about 1e-4 x r t
        assert segment["density_end_per_ml"] == pytest.approx(solved.y[0, -1], rel=5e-4)


@every_vessel
def test_days_run_along_the_segments(name: str, vessel: str) -> None:
    daily = {day["date"]: day for day in told(name, vessel)["daily"]}
    pairs = [(b["batch"], segment) for b in told(name, vessel)["batches"] for segment in b["segments"]]
    for batch, segment in pairs:
        fill_ml = filled_ml(name, batch, date.fromisoformat(segment["from"]))
        assert daily[segment["from"]]["density_per_ml"] == pytest.approx(segment["density_start_per_ml"])
        assert daily[segment["from"]]["volume_ml"] == pytest.approx(fill_ml, rel=1e-6)
        most = max(segment["ceiling_per_ml"], segment["density_start_per_ml"])
        inside = [day for on, day in daily.items() if segment["from"] <= on < segment["to"]]
        assert all(0 < day["density_per_ml"] <= most * (1 + 1e-9) for day in inside)
    before = [day for on, day in daily.items() if on < segments(name, vessel)[0]["from"]]
    assert all((day["density_per_ml"], day["volume_ml"]) == (0.0, 0.0) for day in before)


def test_a_second_dose_lifts_the_ceiling_of_the_mild_medium() -> None:
    plan = load_plan(FOLDER / "us-pair.toml")
    # a small inoculum, for a large one brings a share of its own nitrogen
    started = Entry(plan.start, "started", "left", (("from", "starter:swap bottle"), ("inoculum", 350.0)), 1)
    lone = schedule(plan, [started])
    shown = json.loads(growth_json(lone, "left", (), vessel_ripeness(lone, "left", [started])))
    first, second = shown["batches"][0]["segments"][:2]
    assert (first["ceiling_by"], second["ceiling_by"]) == ("nitrogen", "bench")
    assert second["ceiling_per_ml"] > 1.3 * first["ceiling_per_ml"]


@every_vessel
def test_windows_hold_the_harvest_that_was_chosen(name: str, vessel: str) -> None:
    page = growth_page(rota(name), vessel)
    rows = page.split("Harvest windows\n")[1].split("\n\n")[0].splitlines()[1:]
    harvests = [t.on.isoformat() for t in rota(name).tasks if t.kind == "harvest" and t.vessel == vessel]
    assert [row.split()[-1] for row in rows if row.split()[-1] != "-"] == harvests


def test_the_chart_names_its_marks_and_lines() -> None:
    page = growth_page(rota("us-pair"), "right", 80)
    assert page.splitlines()[-1] == "S: start, F: feed, H: harvest" or "F: feed" in page.splitlines()[-1]
    assert "solid: density, dotted: ceiling" in page
    plain = growth_page(rota("us-pair"), "right", 80, ascii_only=True)
    assert plain.split("cells/mL\n")[-1].isascii()


def test_the_rate_is_shown_with_its_factors() -> None:
    bench = rota("us-pair").benches["right"]
    product = (
        bench.strain.rate_per_day
        * bench.temperature_factor
        * bench.photoperiod_factor
        * bench.salinity_factor
    )
    assert math.isclose(bench.rate_per_day, product)
    line, doubles = growth_page(rota("us-pair"), "right").splitlines()[1:3]
    assert line.startswith(f"rate {product:.2f} /day = ")
    assert "x 0.75 hours of light" in line  # 12 h of the 16 h that count as full
    assert doubles == f"doubles in {math.log(2.0) / product * 24.0:.0f} h while it is thin"


def test_a_horizon_that_is_over_still_has_its_picture() -> None:
    plan = plan_of(1)
    started = Entry(plan.start, "started", "v0", (("from", "starter:bought"),), 1)
    for told in ([started], [Entry(plan.through, "note", "-", (("text", "x"),), 1)]):
        over = schedule(plan, told, plan.through + timedelta(days=40))
        assert growth_svg(over, "v0").rstrip().endswith("</svg>")
        assert strip_svg(over).rstrip().endswith("</svg>")
