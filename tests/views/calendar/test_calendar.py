"""The calendar, read back by two readers, one of them independent, and its rules of identity and change.

Published: RFC 5545; the sections stand beside the checks.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Any

import icalendar
import pytest
import vobject
from hypothesis import given
from hypothesis import strategies as st
from made_papers import HARMFUL, plan_of, rota_named, rota_of
from made_reader import shown

from greenrota.rota.rota import Rota
from greenrota.rota.schedule import schedule
from greenrota.views.calendar.appointment import KEPT_DAYS, Appointment, Renewal, renewed, uid_of
from greenrota.views.calendar.calendar import PRODID, calendar_bytes
from greenrota.views.calendar.exported import exported_text, read_exported
from greenrota.views.tasks.pour import done

NOON = datetime(2027, 2, 1, 12, 0, tzinfo=UTC)
LATER = NOON + timedelta(days=3)
START = date(2027, 2, 1)


def fresh(rota: Rota, alarm: bool = False) -> Renewal:
    return renewed({}, rota, alarm, START, NOON)


def by_uid(appointments: Iterable[Appointment]) -> dict[str, Appointment]:
    return {each.uid: each for each in appointments}


def again(first: Renewal, rota: Rota, on: date = START, alarm: bool = False) -> Renewal:
    return renewed(by_uid(first.appointments), rota, alarm, on, LATER)


def events(data: bytes) -> list[Any]:
    (calendar,) = vobject.readComponents(data.decode())
    calendar.validate()
    return list(calendar.vevent_list)


def other_events(data: bytes) -> list[dict[str, object]]:
    """The events as the library that also writes them reads them back."""
    calendar = icalendar.Calendar.from_ical(data)
    return [
        {name: event.decoded(name) for name in ("uid", "dtstart", "sequence")}
        | {"summary": str(event["summary"]), "alarms": len(event.walk("valarm"))}
        for event in calendar.walk("vevent")
    ]


def visits_by_hand(rota: Rota) -> list[tuple[date, str]]:
    """Derived by hand from the tasks: a day's salt water is one visit, and each vessel worked on is another."""
    return sorted({(task.on, "" if task.kind == "prepare" else task.vessel) for task in rota.tasks})


@pytest.mark.parametrize("vessels", [1, 2, 12])
def test_the_other_reader_finds_one_event_a_day_and_visit(vessels: int) -> None:
    rota = rota_of(vessels)
    read = events(calendar_bytes("shelf", fresh(rota).appointments))
    named = [(e.dtstart.value, e.summary.value.split(":")[0].split(". ")[-1]) for e in read]
    assert sorted((on, "" if name == "salt water" else name) for on, name in named) == visits_by_hand(rota)
    assert len({event.uid.value for event in read}) == len(read)
    for event in read:
        assert event.dtstart.params == {"VALUE": ["DATE"]}  # 3.6.1: a DATE, so the event lasts that day
        assert event.transp.value == "TRANSPARENT"  # 3.8.2.7: does not block the day
        assert (event.status.value, event.sequence.value) == ("CONFIRMED", "0")  # 3.8.1.11, 3.8.7.4
        assert event.dtstamp.value == NOON  # 3.8.7.2: in UTC


def test_every_amount_of_every_task_stands_in_its_event() -> None:
    rota = rota_of(2)
    read = events(calendar_bytes("shelf", fresh(rota).appointments))
    for task in rota.tasks:
        (event,) = (
            e
            for e in read
            if e.dtstart.value == task.on
            and e.summary.value.split(". ")[-1].startswith("salt" if task.kind == "prepare" else task.vessel)
        )
        assert done(task) in event.description.value
        if task.kind != "prepare":
            assert done(task) in event.summary.value


def test_events_of_a_day_are_numbered_in_working_order_and_the_file_keeps_it() -> None:
    """By hand: salt water is mixed before it is poured; a vessel comes no earlier than its first task."""
    rota = rota_of(12)
    told = [
        (e.dtstart.value, e.summary.value) for e in events(calendar_bytes("shelf", fresh(rota).appointments))
    ]
    assert told == sorted(told)
    for on in {on for on, _ in told}:
        of_day = [summary for day, summary in told if day == on]
        if len(of_day) == 1:
            assert not of_day[0][0].isdigit()
            continue
        numbers, names = zip(*(re.fullmatch(r"(\d+)\. ([^:]+):.*", s).groups() for s in of_day), strict=True)
        assert list(map(int, numbers)) == list(range(1, len(of_day) + 1))
        firsts = [t.vessel for t in rota.tasks if t.on == on and t.kind != "prepare"]
        mixed = any(t.on == on and t.kind == "prepare" for t in rota.tasks)
        assert list(names) == ["salt water"] * mixed + list(dict.fromkeys(firsts))


def test_both_readers_agree() -> None:
    data = calendar_bytes("shelf", fresh(rota_of(2), alarm=True).appointments)
    one = [
        {
            "uid": e.uid.value,
            "dtstart": e.dtstart.value,
            "sequence": int(e.sequence.value),
            "summary": e.summary.value,
            "alarms": len(e.contents.get("valarm", [])),
        }
        for e in events(data)
    ]
    assert one == other_events(data)


def test_the_frame_is_as_the_standard_wants_it() -> None:
    data = calendar_bytes("shelf", fresh(rota_named()).appointments)
    lines = data.split(b"\r\n")
    assert b"\n" not in b"".join(lines)  # 3.1: lines end in CRLF
    assert max(map(len, lines)) <= 75  # 3.1: octets of a line
    data.decode()  # 3.1: no character is torn apart by folding that the bytes could not give back
    unfolded = data.replace(b"\r\n ", b"").split(b"\r\n")
    assert unfolded.count(b"VERSION:2.0") == 1 and unfolded.count(f"PRODID:{PRODID}".encode()) == 1  # 3.6
    assert not [line for line in unfolded if line.startswith((b"METHOD", b"BEGIN:VTIMEZONE", b"ATTENDEE"))]


def test_nothing_stands_there_that_no_standard_knows() -> None:
    data = calendar_bytes("shelf", fresh(rota_named(), alarm=True).appointments)
    unfolded = data.replace(b"\r\n ", b"").split(b"\r\n")
    assert b"NAME:shelf" in unfolded  # RFC 7986, 5.1
    assert not [line for line in unfolded if line.startswith(b"X-")]  # 3.8.8.2: those of one vendor


def test_names_that_try_to_do_harm_come_back_as_text() -> None:
    rota = rota_named()
    read = [event.summary.value for event in events(calendar_bytes(HARMFUL[0], fresh(rota).appointments))]
    for name in HARMFUL:
        told = f"{shown(name)}: ".replace("\n", "\\n")
        assert any(summary.startswith(told) or f". {told}" in summary for summary in read), name


def test_an_hour_is_floating_local_time() -> None:
    rota = schedule(replace(plan_of(1), task_hour_h=18.5))
    data = calendar_bytes("shelf", fresh(rota).appointments)
    for event, (on, _) in zip(events(data), visits_by_hand(rota), strict=True):
        assert event.dtstart.value == datetime.combine(on, time(18, 30))  # 3.3.5, form 1: no zone, no Z
        assert event.duration.value == timedelta(minutes=30)  # our choice
    assert b"TZID" not in data


@pytest.mark.parametrize(
    ("hour_h", "trigger"),
    [  # 3.8.6.3: from midnight for a DATE, before the start otherwise; the figures are our choice
        (None, timedelta(hours=8)),
        (18.0, timedelta(minutes=-15)),
    ],
)
def test_a_day_has_one_display_alarm_that_names_all_its_visits(
    hour_h: float | None, trigger: timedelta
) -> None:
    rota = schedule(replace(plan_of(2), task_hour_h=hour_h))
    of_day: dict[date, list[Any]] = {}
    for event in events(calendar_bytes("shelf", fresh(rota, alarm=True).appointments)):
        on = event.dtstart.value if hour_h is None else event.dtstart.value.date()
        of_day.setdefault(on, []).append(event)
    for on, together in of_day.items():
        (alarm,) = (alarm for event in together for alarm in event.contents.get("valarm", []))
        assert alarm in together[0].valarm_list
        # 3.6.6: ACTION, DESCRIPTION and TRIGGER are wanted
        assert (alarm.action.value, alarm.trigger.value) == ("DISPLAY", trigger)
        assert all(
            t.vessel in alarm.description.value for t in rota.tasks if t.on == on and t.kind != "prepare"
        )
    without = events(calendar_bytes("shelf", fresh(rota).appointments))
    assert not any("valarm" in event.contents for event in without)


def test_what_has_not_changed_is_written_again_byte_for_byte() -> None:
    rota = rota_of(2)
    first = fresh(rota)
    second = again(first, rota)
    assert (second.new, second.changed, second.withdrawn) == (0, 0, 0)
    assert calendar_bytes("shelf", second.appointments) == calendar_bytes("shelf", first.appointments)


def last_harvest(rota: Rota) -> str:
    """The uid of the last visit, a harvest and its re-seed: the harvest stands for it."""
    harvest, reseed = rota.tasks[-2:]
    assert (harvest.kind, reseed.kind, harvest.on) == ("harvest", "reseed", reseed.on)
    return uid_of("shelf", harvest.id)


def moved(rota: Rota, days: int) -> Rota:
    """The last visit, some days later; its salt water is for that day then."""
    last = [replace(task, on=task.on + timedelta(days=days)) for task in rota.tasks[-2:]]
    now = {task.id: task.on for task in last}
    rest = [
        replace(task, fills=tuple(fill._replace(on=now.get(fill.task, fill.on)) for fill in task.fills))
        for task in rota.tasks[:-2]
    ]
    return replace(rota, tasks=(*rest, *last))


def test_a_visit_that_moves_keeps_its_uid_and_gets_the_next_number() -> None:
    rota = rota_of(1)
    first = fresh(rota)
    second = again(first, moved(rota, 1))
    uid = last_harvest(rota)
    [bucket] = [task for task in rota.tasks if rota.tasks[-1].id in task.serves]
    mixing = uid_of("shelf", bucket.id)
    assert (second.new, second.changed, second.withdrawn) == (0, 2, 0)
    old, new = by_uid(first.appointments), by_uid(second.appointments)
    assert new[uid] == old[uid]._replace(on=old[uid].on + timedelta(days=1), sequence=1, stamp=LATER)
    later = old[uid].on + timedelta(days=1)  # its water is for that day now
    assert new[mixing].on == old[mixing].on and f"{later:%a} {later.day}" in new[mixing].summary
    others = old.keys() - {uid, mixing}
    assert {u: new[u] for u in others} == {u: old[u] for u in others}


def test_a_visit_that_loses_a_task_stays_the_same_one() -> None:
    rota = rota_of(1)
    second = again(fresh(rota), replace(rota, tasks=rota.tasks[:-1]))
    changed = by_uid(second.appointments)[last_harvest(rota)]
    assert (changed.sequence, changed.withdrawn, second.new, second.withdrawn) == (1, False, 0, 0)
    assert "re-seed" not in changed.summary


def test_a_withdrawn_visit_comes_as_cancelled_and_stays_so_until_it_comes_back() -> None:
    rota = rota_of(1)
    gone, uid = rota.tasks[-1], last_harvest(rota)
    fewer = replace(rota, tasks=rota.tasks[:-2])
    second = again(fresh(rota, alarm=True), fewer, alarm=True)
    (event,) = (e for e in events(calendar_bytes("shelf", second.appointments)) if e.uid.value == uid)
    assert second.withdrawn == 1
    assert (event.status.value, event.sequence.value, event.dtstart.value) == ("CANCELLED", "1", gone.on)
    assert event.summary.value.startswith("CANCELLED: ") and "valarm" not in event.contents
    third = renewed(by_uid(second.appointments), fewer, True, START, LATER)
    assert third.appointments == second.appointments
    back = by_uid(renewed(by_uid(third.appointments), rota, True, START, LATER).appointments)[uid]
    assert (back.withdrawn, back.sequence) == (False, 2)


def test_what_is_past_or_done_is_no_withdrawal() -> None:
    rota = rota_of(1)
    first = fresh(rota)
    nothing = replace(rota, tasks=())
    assert again(first, nothing, on=rota.through + timedelta(days=1)).appointments == first.appointments
    done = replace(nothing, start_state=rota.start_state._replace(done=frozenset(t.id for t in rota.tasks)))
    assert again(first, done).appointments == first.appointments
    late = rota.through + timedelta(days=KEPT_DAYS + 1)
    assert again(first, nothing, on=late).appointments == ()


def test_identity_comes_from_plan_vessel_kind_and_batch_number_only() -> None:
    one = uid_of("shelf", "north/1/start")
    others = {
        uid_of(*t)
        for t in (("shed", "north/1/start"), ("shelf", "south/1/start"), ("shelf", "north/2/start"))
    }
    assert len(others | {one, uid_of("shelf", "north/1/feed")}) == 5
    assert {each.uid for each in fresh(rota_of(1)).appointments} == {
        each.uid for each in renewed({}, rota_of(1), True, START + timedelta(days=9), LATER).appointments
    }


STAMPS = st.datetimes(datetime(2000, 1, 1), datetime(2100, 1, 1), timezones=st.just(UTC))
APPOINTMENTS = st.builds(
    Appointment,
    uid=st.uuids().map(str),
    on=st.dates(date(2000, 1, 1), date(2100, 1, 1)),
    hour_h=st.none() | st.floats(0, 23.99),
    alarm=st.text(max_size=30),
    summary=st.text(max_size=30),
    description=st.text(max_size=60),
    sequence=st.integers(0, 10**6),
    stamp=STAMPS.map(lambda stamp: stamp.replace(microsecond=0)),
    withdrawn=st.booleans(),
)


@given(st.lists(APPOINTMENTS, max_size=5, unique_by=lambda each: each.uid))
def test_what_is_remembered_is_read_back(appointments: list[Appointment]) -> None:
    assert list(read_exported(exported_text(appointments)).values()) == appointments


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{",
        "[]",
        "null",
        '{"format": "x", "items": []}',
        '{"format": "greenrota/calendar/1", "items": [1]}',
        '{"format": "greenrota/calendar/1", "items": [{"uid": 1}]}',
        '{"format": "greenrota/calendar/1"}',
    ],
)
def test_a_spoiled_memory_is_told(text: str) -> None:
    with pytest.raises(ValueError):
        read_exported(text)
