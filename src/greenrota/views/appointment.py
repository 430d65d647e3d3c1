"""Visits as appointments of a calendar: one identity for life, and a number that rises whenever one changes."""

from __future__ import annotations

import uuid
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from itertools import groupby

from greenrota.culture.sanitation import CAUTIONS
from greenrota.rota.rota import Rota
from greenrota.views import care
from greenrota.views.lettering import printable
from greenrota.views.vessel_visit import VesselVisit, head, vessel_visits, visit_lines

KEPT_DAYS = 60  # how long past its day an appointment stays in the file; our choice
_FAMILY = uuid.UUID("5c0f8b1e-3d52-5a7c-9a44-1b7f0e6f2d10")  # our own name space for version 5; our choice


@dataclass(frozen=True, slots=True)
class Appointment:
    """One visit in a calendar. `hour_h` None: all day. `stamp` is when it was last revised, in UTC.

    `alarm` is what the alarm says; "" for none.
    """

    uid: str
    on: date
    hour_h: float | None
    alarm: str
    summary: str
    told: str
    sequence: int
    stamp: datetime
    withdrawn: bool = False


@dataclass(frozen=True, slots=True)
class Renewal:
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
    done = {uid_of(rota.plan.name, task_id) for task_id in rota.standpoint.done}
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
    for on, together in groupby(vessel_visits(rota.tasks), key=lambda visit: visit.on):
        of_day = list(together)
        for number, visit in enumerate(of_day, start=1):
            yield Appointment(
                uid=uid_of(rota.plan.name, visit.leading.id),
                on=on,
                hour_h=rota.plan.task_hour_h,
                alarm=printable("; ".join(map(head, of_day))) if alarm and number == 1 else "",
                summary=printable(_place(number, len(of_day)) + _summary(rota, visit)),
                told=_told(rota, visit),
                sequence=0,
                stamp=stamp,
            )


def _place(number: int, of: int) -> str:
    """The place of a visit in its day, so that programs that sort by text keep the order; "" for the only one.

    >>> _place(2, 3), _place(2, 12), _place(1, 1)
    ('2. ', '02. ', '')
    """
    return "" if of == 1 else f"{number:0{len(str(of))}d}. "


def _summary(rota: Rota, visit: VesselVisit) -> str:
    lines = visit_lines(visit, rota.plan.units)
    if visit.vessel is None:
        return f"{visit.title}: {lines[0][1]}"  # one vessel's, or that of all
    return f"{visit.title}: {'; '.join(' '.join(line) for line in lines)}"


def _told(rota: Rota, visit: VesselVisit) -> str:
    """The description: no reason and no density in it, for these change with every count."""
    batches = dict.fromkeys(f"batch {task.batch} from {task.parent}" for task in visit.tasks)
    cautions = dict.fromkeys(key for task in visit.tasks for key in task.cautions)
    lines = [
        *(f"{kind}: {text}" for kind, text in visit_lines(visit, rota.plan.units)),
        care.beside(visit.tasks),
        f"{rota.plan.name}, {'; '.join(batches)}",
        *(CAUTIONS[key].text for key in cautions),
    ]
    return "\n".join(printable(line) for line in lines if line)


def _revised(old: Appointment | None, new: Appointment) -> Appointment:
    if old is None:
        return new
    if replace(new, sequence=old.sequence, stamp=old.stamp) == old:
        return old
    return replace(new, sequence=old.sequence + 1)


def _withdrawn(old: Appointment, stamp: datetime) -> Appointment:
    return replace(old, withdrawn=True, sequence=old.sequence + 1, stamp=stamp)
