"""Days and hours as text: in full (Wed 2027-02-03), or short where the page names the year (Wed 3 Feb)."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")  # as the plan file spells them
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_TICK_COLUMNS = 8  # our choice: "02-01" and room around it


def day_text(day: date) -> str:
    """The day with its weekday, whatever the locale.

    >>> day_text(date(2027, 2, 3))
    'Wed 2027-02-03'
    """
    return f"{_WEEKDAYS[day.weekday()]} {day.isoformat()}"


def short_day(day: date) -> str:
    """The day without its year, whatever the locale, for a page that names the year in its title.

    >>> short_day(date(2027, 2, 3))
    'Wed 3 Feb'
    """
    return f"{_WEEKDAYS[day.weekday()]} {day.day} {_MONTHS[day.month - 1]}"


def dated(day: date, beside: date | None = None) -> str:
    """The short day with its year, which is left out where `beside`, named on the same line, is of the same year.

    >>> dated(date(2027, 2, 3)), dated(date(2027, 2, 3), date(2027, 3, 1))
    ('Wed 3 Feb 2027', 'Wed 3 Feb')
    """
    return (
        short_day(day) if beside is not None and beside.year == day.year else f"{short_day(day)} {day.year}"
    )


def weekday(day: date) -> str:
    """The day's weekday in three letters, whatever the locale."""
    return _WEEKDAYS[day.weekday()]


def month_name(day: date) -> str:
    """The day's month in three letters, whatever the locale."""
    return _MONTHS[day.month - 1]


def clock_text(hour_h: float) -> str:
    """A time of the day in hours, as a clock shows it.

    >>> clock_text(8.5)
    '08:30'
    """
    minutes = round(hour_h * 60.0) % 1440
    return f"{minutes // 60:02d}:{minutes % 60:02d}"


def week_of(day: date) -> date:
    """The Monday of the day's week (ISO 8601).

    >>> week_of(date(2027, 2, 3)).isoformat()
    '2027-02-01'
    """
    return day - timedelta(days=day.weekday())


def week_ticks(first: date, last: date, width: int) -> Iterator[tuple[date, str]]:
    """Days to label under a chart of `width` columns, with labels: every week, or every n weeks if room is short.

    >>> [label for _, label in week_ticks(date(2027, 2, 1), date(2027, 2, 20), 80)]
    ['02-01', '02-08', '02-15']
    """
    days = (last - first).days
    weeks = 1 + days * _TICK_COLUMNS // (7 * max(1, width - _TICK_COLUMNS))
    for n in range(0, days + 1, 7 * weeks):
        on = first + timedelta(days=n)
        yield on, f"{on:%m-%d}"
