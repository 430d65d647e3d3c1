"""The laws of mixing salt water, held against the tasks of a rota by plain counting.

Our choices, written down again here: mixed water keeps 7 days; without other work it is mixed in the 4 days before a
filling, and on the day itself only where nobody is there in those; 20 mL or 2 % may be missing.
"""

from __future__ import annotations

from datetime import date, timedelta

from greenrota.rota.rota import Rota
from greenrota.rota.tasks.task import Task

KEEPS, EVE = 7, 4
CLEANING = "bleach"  # the first of the cautions of cleaning


def is_open(rota: Rota, day: date) -> bool:
    plan = rota.plan
    away = any(gone.first <= day <= gone.last for gone in plan.away)
    return day.weekday() in plan.work.weekdays and not away


def check_buckets(rota: Rota) -> None:
    """Every filling has its water and every start its clean vessel; buckets are few, fresh and of the right size."""
    tasks = {task.id: task for task in rota.tasks}
    visits = {task.on for task in rota.tasks if task.kind != "prepare"}
    served: dict[str, Task] = {}
    for bucket in (task for task in rota.tasks if task.kind == "prepare"):
        _check_bucket(rota, bucket, tasks, visits)
        visits.add(bucket.on)  # the next one may be mixed on that day too
        for name in bucket.serves:
            assert name not in served, f"{name} has two buckets"
            served[name] = bucket
    _check_on_hand(rota, served)
    for task in rota.tasks:
        if task.kind == "start" and CLEANING not in task.cautions:
            _check_clean(rota, task, served.get(task.id))


def _check_bucket(rota: Rota, bucket: Task, tasks: dict[str, Task], visits: set[date]) -> None:
    fills = [tasks[name] for name in bucket.serves]
    needed_ml = sum(task.amounts.seawater_ml or 0.0 for task in fills)
    mixed_ml = bucket.amounts.seawater_ml or 0.0
    assert 0.0 < mixed_ml <= needed_ml + 1e-6, bucket.id
    most_ml = rota.plan.water.bucket_l * 1000.0
    assert len(fills) == 1 or mixed_ml <= most_ml + 1e-3, f"{bucket.id}: {mixed_ml} mL in {most_ml} mL"
    assert is_open(rota, bucket.on)
    first = min(task.on for task in fills)
    assert first == fills[0].on
    for task in fills:
        assert 0 <= (task.on - bucket.on).days <= KEEPS, f"{bucket.id} is too old for {task.id}"

    def before(days: int) -> list[date]:
        each = (first - timedelta(days=n) for n in range(days, 0, -1))
        return [day for day in each if day >= rota.as_of]

    eve = [day for day in before(EVE) if is_open(rota, day)]
    if bucket.on == first:
        assert not eve, f"{bucket.id} on the day itself"
    if bucket.on not in visits:
        assert not visits & set(before(KEEPS)), f"{bucket.id} makes a working day of {bucket.on}"


def _check_on_hand(rota: Rota, served: dict[str, Task]) -> None:
    """What no bucket serves in full is on hand, or its mixing was skipped."""
    water, done = rota.start_state.salt_water, rota.start_state.done
    named = {each.prepare for each in water}
    open_ml = allowed_ml = 0.0
    for task in rota.tasks:
        needed_ml = task.amounts.seawater_ml or 0.0
        if task.kind == "prepare" or needed_ml == 0.0:
            continue
        name = f"{task.batch}/prepare" + (f".{task.number + 1}" if task.kind == "topup" else "")
        skipped = name in done and name not in named
        by_hand = any(each.prepare == name and each.left_ml is None for each in water)
        if not (skipped or by_hand):
            open_ml += needed_ml
            allowed_ml += max(20.0, 0.02 * needed_ml)
    mixed_ml = sum(
        bucket.amounts.seawater_ml or 0.0 for bucket in {b.id: b for b in served.values()}.values()
    )
    there_ml = sum(each.left_ml or 0.0 for each in water)
    assert open_ml <= mixed_ml + there_ml + allowed_ml
    if not water and not done:
        assert abs(open_ml - mixed_ml) <= 1e-3


def _check_clean(rota: Rota, start: Task, bucket: Task | None) -> None:
    if bucket is not None and start.vessel in bucket.cleans:
        assert CLEANING in bucket.cautions
        assert (start.on - bucket.on).days <= EVE
        return
    made_ready = [each.on for each in rota.start_state.salt_water if each.prepare == f"{start.batch}/prepare"]
    assert made_ready and (start.on - max(made_ready)).days <= EVE, f"{start.id}: nothing says it is cleaned"
