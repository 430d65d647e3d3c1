"""A calibration as one JSON object."""

from __future__ import annotations

import math
from collections.abc import Iterator

from greenrota.culture.fit.band import band
from greenrota.culture.fit.course import Reading
from greenrota.culture.fit.growthfit import GrowthFit
from greenrota.culture.fit.intervals import FittedValue
from greenrota.rota.answers.calibration import Calibration
from greenrota.views.text.document import figure, json_document
from greenrota.views.vessel.calibrate import day_of, plan_lines, undetermined

FORMAT = "greenrota/calibrate/1"


def calibrate_json(found: Calibration) -> str:
    """The calibration in format `greenrota/calibrate/1`; null for a figure or an end that could not be fitted."""
    fit, asked = found.fit, found.next_count
    answer: dict[str, object] = {
        "vessel": found.bench.vessel.name,
        "strain": found.bench.strain.name,
        "counts": found.counts.readings,
        "counts_left_out": found.counts.impossible,
        **_estimate("rate", "per_day", None if fit is None else fit.rate),
        **_estimate("ceiling", "per_ml", None if fit is None else fit.ceiling),
        **_estimate("lag", "days", None if fit is None else fit.lag),
        "place_factor": figure(found.place_factor),
        "temperature_factor": figure(found.bench.temperature_factor),
        "photoperiod_factor": figure(found.bench.photoperiod_factor),
        "salinity_factor": figure(found.bench.salinity_factor),
        "rate_at_best_per_day": figure(found.rate_at_best_per_day),
        "nutrient_ceiling_passed": found.richer,
        **({} if fit is None else _whole_fit(found, fit)),
        "plan_lines": plan_lines(found),
        "not_told": undetermined(found),
        "next_count": {
            "date": None if found.next_on is None else found.next_on.isoformat(),
            "next_batch": asked.next_batch,
            "day": asked.day,
            "figure": asked.figure,
            "relative_error_now": figure(asked.relative_error_now),
            "relative_error_then": figure(asked.relative_error_then),
        },
        "readings": list(_readings(found)),
    }
    return json_document(FORMAT, answer)


def _whole_fit(found: Calibration, fit: GrowthFit) -> dict[str, object]:
    """The part that needs a fit: scatter, starts, daily curve. A day of a re-seed stands twice, before and after."""
    return {
        "scatter_widening": figure(fit.widened),
        "rss": figure(fit.rss),
        "dof": fit.dof,
        "starts": [
            {
                "batch": each.batch,
                **_estimate("density", "per_ml", each.found),
                "planned_per_ml": _finite(each.planned_per_ml),
                "far_from_plan": each.far_from_plan,
            }
            for each in found.starts
        ],
        "curve": [
            {
                "date": day_of(found, point.day).isoformat(),
                "density_per_ml": figure(point.density_per_ml),
                "low_per_ml": _finite(point.low_per_ml),
                "high_per_ml": _finite(point.high_per_ml),
            }
            for point in band(fit, 1)
        ],
    }


def _estimate(name: str, unit: str, found: FittedValue | None) -> dict[str, float | None]:
    value = error = None
    if found is not None and found.determined:
        value, error = found.value, found.standard_error
    return {
        f"{name}_{unit}": _finite(value),
        f"{name}_se_{unit}": _finite(error),
        f"{name}_low_{unit}": None if found is None else _finite(found.low),
        f"{name}_high_{unit}": None if found is None else _finite(found.high),
    }


def _readings(found: Calibration) -> Iterator[dict[str, object]]:
    fitted = None if found.fit is None else iter(found.fit.fitted)
    for event, batch in zip(found.counts.events, found.counts.batches, strict=True):
        if isinstance(event, Reading):
            yield {
                "date": day_of(found, event.day).isoformat(),
                "batch": batch,
                "density_per_ml": figure(event.density_per_ml),
                "fitted_per_ml": None if fitted is None else figure(next(fitted)[0]),
            }


def _finite(value: float | None) -> float | None:
    return None if value is None or not math.isfinite(value) else figure(value)
