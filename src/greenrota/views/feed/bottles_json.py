"""Bottles and rations for other programs: JSON and CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping

from greenrota.culture.growth.broth import ML_PER_L
from greenrota.rota.feed.bottles import BottleRecord
from greenrota.rota.feed.daily import RationDay
from greenrota.rota.feed.rations import consumers
from greenrota.rota.feed.tank import TankDay
from greenrota.rota.plan import Plan
from greenrota.views.feed.bottles import VOLUMES, BottlesReport
from greenrota.views.tasks.tasklist import harmless, warning_object
from greenrota.views.text.document import figure, json_document

FORMAT = "greenrota/bottles/1"
_MOVED = ("removed_ml", "corrected_ml", "withheld_ml")


def bottles_json(report: BottlesReport) -> str:
    """The rations as one JSON object of format `greenrota/bottles/1`.

    The figures of the tank are what the feed has added so far (mg/L); null for a plan without a tank.
    """
    rations, tank = report.rations, report.tank
    water_ml = _waters_ml(report.plan)
    days = [
        {**_figures(day, tank[n] if tank else None), "consumers": _served(day, water_ml)}
        for n, day in enumerate(rations.days)
    ]
    answer = {
        "keeps_days": rations.keeps_days,
        "days": days,
        "bottles": [_bottle(each) for each in report.bottles],
        "warnings": [warning_object(warning) for warning in report.warnings],
    }
    return json_document(FORMAT, answer)


def _bottle(record: BottleRecord) -> dict[str, object]:
    bottle = record.bottle
    return {
        "id": bottle.id,
        "batch": bottle.batch,
        "date": bottle.on.isoformat(),
        "volume_ml": figure(bottle.volume_ml),
        "left_ml": figure(record.left_ml),
        "density_per_ml": figure(bottle.broth.density_per_ml),
        "use_by": record.use_by.isoformat(),
        "state": record.state,
        "because": record.because,
        "planned": record.planned,
    }


def _figures(day: RationDay, tank: TankDay | None) -> dict[str, object]:
    figures: dict[str, object] = {"date": day.on.isoformat()}
    figures |= {key: figure(getattr(day, key)) for key in VOLUMES}
    figures |= {key: figure(getattr(day, key)) for key in _MOVED}
    figures["oldest_days"] = day.oldest_days
    for ion, so_far in (
        ("no3", None if tank is None else tank.nitrate_so_far),
        ("po4", None if tank is None else tank.phosphate_so_far),
    ):
        for end in ("low", "middle", "high"):
            figures[f"tank_{ion}_mg_per_l_{end}"] = None if so_far is None else figure(getattr(so_far, end))
    return figures


def _waters_ml(plan: Plan) -> dict[str, float | None]:
    return {c.name: None if c.volume_l is None else c.volume_l * ML_PER_L for c in consumers(plan)}


def _served(
    day: RationDay, water_ml: Mapping[str, float | None]
) -> dict[str, dict[str, float | bool | None]]:
    return {
        serving.consumer: {
            "fed_ml": figure(serving.fed_ml),
            "fed_cells_per_ml": _cells_per_ml(serving.fed_cells, water_ml.get(serving.consumer)),
            "short_ml": figure(serving.short_ml),
            "logged": serving.logged,
        }
        for serving in day.servings
    }


def _cells_per_ml(cells: float, water_ml: float | None) -> float | None:
    return None if water_ml is None else figure(cells / water_ml)


def bottles_csv(report: BottlesReport) -> str:
    """The rations as CSV (RFC 4180, newline line ends), three columns for every consumer.

    A text that a spreadsheet could take for a formula gets an apostrophe in front.
    """
    rations, tank = report.rations, report.tank
    water_ml = _waters_ml(report.plan)
    out = io.StringIO()
    table = csv.writer(out, lineterminator="\n")
    for number, day in enumerate(rations.days):
        row = _figures(day, tank[number] if tank else None)
        for name, served in _served(day, water_ml).items():
            row |= {f"{name} {key}": value for key, value in served.items()}
        if number == 0:
            table.writerow([harmless(key) for key in row])
        table.writerow(row.values())
    return out.getvalue()
