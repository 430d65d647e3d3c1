"""Days as people read them: ISO 8601 with the weekday before it, in one spelling everywhere."""

from __future__ import annotations

from datetime import date, timedelta

_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")  # as the plan file spells them


def day_text(day: date) -> str:
    """The day with its weekday, whatever the locale.

    >>> day_text(date(2027, 2, 3))
    'Wed 2027-02-03'
    """
    return f"{_WEEKDAYS[day.weekday()]} {day.isoformat()}"


def week_of(day: date) -> date:
    """The Monday of the day's week (ISO 8601).

    >>> week_of(date(2027, 2, 3)).isoformat()
    '2027-02-01'
    """
    return day - timedelta(days=day.weekday())
