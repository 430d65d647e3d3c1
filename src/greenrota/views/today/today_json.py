"""A day as JSON: tasks overdue, due and coming, suspects to look at, expected densities."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from greenrota.frozen import FrozenDict
from greenrota.rota.answers.contents import Contents
from greenrota.rota.answers.ripeness import RipeDay
from greenrota.rota.replay.logged import DoubtfulCount
from greenrota.rota.replay.observed import Seen
from greenrota.rota.rota import Rota
from greenrota.views.feed.portions import portions_object, withheld_objects
from greenrota.views.tasks.tasklist import look_object, task_object, warning_object
from greenrota.views.text.document import figure, json_document
from greenrota.views.today.today import Today
from greenrota.views.vessel.observed import seen_object
from greenrota.views.vessel.ripeness import ripe_object

FORMAT = "greenrota/today/1"


def today_json(
    rota: Rota, on: date, seen: Sequence[Seen] = (), ripe: Mapping[str, RipeDay] = FrozenDict()
) -> str:
    """One JSON object of format `greenrota/today/1`; tasks as in `greenrota/tasks/1`.

    `ripe` are the ripe days by batch that are shown with their range.
    """
    today = Today.of(rota, on, seen)
    answer = {
        "date": on.isoformat(),
        "as_of": rota.as_of.isoformat(),
        "through": rota.through.isoformat(),
        "rations": portions_object(rota, on),
        "do_not_give": withheld_objects(rota),
        "overdue": [
            {**task_object(task), "overdue_since": rota.overdue[task.id].isoformat()} for task in today.late
        ],
        "due": [task_object(task) for task in today.due],
        "next": [task_object(task) for task in today.coming],
        "doses_ml": {name: figure(ml) for name, ml in today.doses_ml.items()},
        "doubtful_counts": [_doubtful(each) for each in rota.doubtful_counts],
        "looks": [look_object(look) for look in rota.inspections],
        "observations": [seen_object(each) for each in today.seen],
        "vessels": [_vessel(each, ripe.get(each.batch)) for each in today.vessels],
        "warnings": [warning_object(warning) for warning in rota.warnings],
    }
    return json_document(FORMAT, answer)


def _vessel(each: Contents, ripe: RipeDay | None) -> dict[str, object]:
    ripe_day = RipeDay(each.batch, each.ripe_on, None, None) if ripe is None else ripe
    return {
        "vessel": each.vessel,
        "batch": each.batch,
        "age_days": each.age_days,
        "volume_ml": figure(each.volume_ml),
        "density_per_ml": figure(each.density_per_ml),
        "ceiling_per_ml": figure(each.ceiling_per_ml),
        "share_of_ceiling": figure(each.share_of_ceiling),
        **ripe_object(ripe_day),
    }


def _doubtful(count: DoubtfulCount) -> dict[str, object]:
    return {
        "vessel": count.vessel,
        "batch": count.batch,
        "date": count.on.isoformat(),
        "counted_per_ml": figure(count.counted_per_ml),
        "projected_per_ml": figure(count.projected_per_ml),
    }
