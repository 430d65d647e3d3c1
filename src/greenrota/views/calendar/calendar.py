"""The calendar file (RFC 5545): appointments as all-day events, or at an hour of local time wherever one is."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from greenrota.views.calendar.appointment import Appointment
from greenrota.views.text.lettering import printable

if TYPE_CHECKING:
    from icalendar import Alarm, Event

PRODID = "-//greenrota//rota of cultures//EN"  # tells our own files from those of others
_LASTS = timedelta(minutes=30)  # of an event at an hour; our choice
_ALARM_OF_DAY = timedelta(
    hours=8
)  # after midnight, where alarms of all-day events are counted from; our choice
_ALARM_OF_HOUR = timedelta(minutes=-15)  # our choice


def calendar_bytes(name: str, appointments: Iterable[Appointment]) -> bytes:
    """The appointments as iCalendar: no METHOD (a plain snapshot), no time zone; equal ones give equal bytes."""
    from icalendar import Calendar

    calendar = Calendar()
    calendar.add("prodid", PRODID)
    calendar.add("version", "2.0")
    calendar.add("name", printable(name))  # RFC 7986, 5.1
    for appointment in appointments:
        calendar.add_component(_event(appointment))
    written: bytes = calendar.to_ical()
    return written


def _event(appointment: Appointment) -> Event:
    from icalendar import Event

    event = Event()
    event.add("uid", appointment.uid)
    event.add("dtstamp", appointment.stamp)
    event.add("sequence", appointment.sequence)
    if appointment.hour_h is None:
        event.add("dtstart", appointment.on)
    else:
        midnight = datetime.combine(appointment.on, datetime.min.time())
        event.add("dtstart", midnight + timedelta(minutes=round(appointment.hour_h * 60.0)))
        event.add("duration", _LASTS)
    event.add(
        "summary", f"CANCELLED: {appointment.summary}" if appointment.withdrawn else appointment.summary
    )
    event.add("description", appointment.description)
    event.add("status", "CANCELLED" if appointment.withdrawn else "CONFIRMED")
    event.add("transp", "TRANSPARENT")
    if appointment.alarm and not appointment.withdrawn:
        event.add_component(_alarm(appointment))
    return event


def _alarm(appointment: Appointment) -> Alarm:
    from icalendar import Alarm

    alarm = Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", appointment.alarm)
    alarm.add("trigger", _ALARM_OF_DAY if appointment.hour_h is None else _ALARM_OF_HOUR)
    return alarm
