"""Visits as appointments of a calendar: one identity for life, and a number that rises whenever one changes."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import NamedTuple

from greenrota.rota.kinds import TASK_KINDS
from greenrota.rota.rota import Rota
from greenrota.rota.tasks.task import Task
from greenrota.views.tasks import care
from greenrota.views.tasks.visit import Day, Line, days
from greenrota.views.text.lettering import printable

KEPT_DAYS = 60  # how long past its day an appointment stays in the file; our choice
_READY = "salt water"  # what the visit is called that makes ready for those to the vessels
_FAMILY = uuid.UUID("5c0f8b1e-3d52-5a7c-9a44-1b7f0e6f2d10")  # our own name space for version 5; our choice


class Appointment(NamedTuple):
    """One visit in a calendar. `hour_h` None: all day. `stamp` is when it was last revised, in UTC.

    `alarm` is what the alarm says; "" for none.
    """

    uid: str
    on: date
    hour_h: float | None
    alarm: str
    summary: str
    description: str
    sequence: int
    stamp: datetime
    withdrawn: bool = False


class Renewal(NamedTuple):
    """All appointments after a renewal, in the order of the file, and how many were new, changed and withdrawn."""

    appointments: tuple[Appointment, ...]
    new: int
    changed: int
    withdrawn: int


def uid_of(plan_name: str, task_id: str) -> str:
    """The identity of a visit by the task that stands for it: a UUID version 5 (RFC 9562), never of its date.

    It is made of the plan's name and of vessel, batch number and kind.

    >>> uid_of("shelf", "north/1/start") == uid_of("shelf", "north/1/start")
    True
    """
    return str(uuid.uuid5(_FAMILY, f"{plan_name}/{task_id}"))


def renewed(before: Mapping[str, Appointment], rota: Rota, alarm: bool, on: date, stamp: datetime) -> Renewal:
    """The appointments of a rota, given those that were exported before.

    What says the same keeps its number and its stamp. What changed, came back or was withdrawn gets the next number
    and the new stamp. What lies before `on`, or was done, and has left the rota stays as it was; after 60 days it is
    left out.
    """
    wanted = {each.uid: each for each in _appointments(rota, alarm, stamp)}
    done = {uid_of(rota.plan.name, task_id) for task_id in rota.start_state.done}
    kept = [_revised(before.get(uid), each) for uid, each in wanted.items()]
    left = [
        old if old.withdrawn or old.on < on or old.uid in done else _withdrawn(old, stamp)
        for old in before.values()
        if old.uid not in wanted and old.on + timedelta(days=KEPT_DAYS) >= on
    ]
    together = sorted((*kept, *left), key=lambda each: (each.on, each.summary, each.uid))
    return Renewal(
        tuple(together),
        new=sum(1 for uid in wanted if uid not in before),
        changed=sum(1 for each in kept if each.uid in before and each is not before[each.uid]),
        withdrawn=sum(1 for each in left if each is not before[each.uid]),
    )


def _appointments(rota: Rota, alarm: bool, stamp: datetime) -> Iterable[Appointment]:
    """An appointment for every visit, numbered within its day; the first of a day has the alarm for all of it."""
    calm = replace(rota, overdue={})  # the entry moves to its new day, which says enough
    for day in days(calm, rota.tasks):
        visits = _visits(day)
        for number, (title, lines) in enumerate(visits, start=1):
            tasks = [task for line in lines for task in line.tasks]
            # the visit keeps its identity when other tasks join or leave
            leading = min(tasks, key=lambda task: TASK_KINDS[task.kind].leads)
            yield Appointment(
                uid=uid_of(rota.plan.name, leading.id),
                on=day.on,
                hour_h=rota.plan.task_hour_h,
                alarm=printable("; ".join(_head(*each) for each in visits)) if alarm and number == 1 else "",
                summary=printable(
                    f"{_place(number, len(visits))}{title}: {'; '.join(line.text for line in lines)}"
                ),
                description=_description(rota, lines, tasks),
                sequence=0,
                stamp=stamp,
            )


def _visits(day: Day) -> list[tuple[str, Sequence[Line]]]:
    """What is done in one go on a day, each under its title, in working order."""
    ready = [(_READY, day.ready)] if day.ready else []
    return [*ready, *((lines[0].vessel, lines) for lines in day.vessels)]


def _head(title: str, lines: Sequence[Line]) -> str:
    kinds = [TASK_KINDS[task.kind].verb for line in lines for task in line.tasks if task.kind != "prepare"]
    return f"{title}: {', '.join(kinds)}" if kinds else title


def _place(number: int, of: int) -> str:
    """The place of a visit in its day, so that programs that sort by text keep the order; "" for the only one.

    >>> _place(2, 3), _place(2, 12), _place(1, 1)
    ('2. ', '02. ', '')
    """
    return "" if of == 1 else f"{number:0{len(str(of))}d}. "


def _description(rota: Rota, lines: Sequence[Line], tasks: Sequence[Task]) -> str:
    """The description: no reason and no density in it, for these change with every count."""
    texts = [
        *(line.whole for line in lines),
        f"{rota.plan.name}, {'; '.join(dict.fromkeys(map(_origin, tasks)))}",
        *(care.whole(each) for each in (*care.on_the_day(tasks), *care.always(tasks))),
    ]
    return "\n".join(map(printable, texts))


def _origin(task: Task) -> str:
    """The batches that salt water is for; the batch of any other task with its parent."""
    if task.fills:
        return f"for {', '.join(task.batches)}"
    return f"batch {task.batch} from {task.parent}"


def _revised(old: Appointment | None, new: Appointment) -> Appointment:
    if old is None:
        return new
    if new._replace(sequence=old.sequence, stamp=old.stamp) == old:
        return old
    return new._replace(sequence=old.sequence + 1)


def _withdrawn(old: Appointment, stamp: datetime) -> Appointment:
    return old._replace(withdrawn=True, sequence=old.sequence + 1, stamp=stamp)
