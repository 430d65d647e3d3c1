"""A day as JSON: tasks overdue, due and coming, suspects to look at, expected densities."""

from __future__ import annotations

import json
from collections.abc import Sequence
from datetime import date

from greenrota.rota.replay.observed import Seen
from greenrota.rota.rota import Rota
from greenrota.views.figure import figure
from greenrota.views.observed import seen_object
from greenrota.views.portions import portions_object, withheld_objects
from greenrota.views.stand import Stand, stands
from greenrota.views.tasklist import look_object, task_object, warning_object
from greenrota.views.today import Day

FORMAT = "greenrota/today/1"


def today_json(rota: Rota, on: date, seen: Sequence[Seen] = ()) -> str:
    """One JSON object of format `greenrota/today/1`; tasks as in `greenrota/tasks/1`."""
    day = Day.of(rota, on)
    told = {
        "format": FORMAT,
        "date": on.isoformat(),
        "as_of": rota.as_of.isoformat(),
        "through": rota.through.isoformat(),
        "rations": portions_object(rota, on),
        "do_not_give": withheld_objects(rota),
        "overdue": [
            {**task_object(task), "overdue_since": rota.overdue[task.id].isoformat()} for task in day.late
        ],
        "due": [task_object(task) for task in day.due],
        "next": [task_object(task) for task in day.coming],
        "looks": [look_object(look) for look in rota.inspections],
        "observations": [seen_object(each) for each in seen],
        "vessels": [_stand(each) for each in stands(rota, on)],
        "warnings": [warning_object(warning) for warning in rota.warnings],
    }
    return json.dumps(told, ensure_ascii=False, allow_nan=False, indent=1)


def _stand(each: Stand) -> dict[str, object]:
    return {
        "vessel": each.vessel,
        "batch": each.batch,
        "density_per_ml": figure(each.density_per_ml),
        "share_of_ceiling": figure(each.share_of_ceiling),
        "ripe_on": None if each.ripe_on is None else each.ripe_on.isoformat(),
    }
