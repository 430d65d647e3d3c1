"""Kinds of field that hold a date or a time of the clock, and what a wrong date was probably meant to be."""

from __future__ import annotations

import re
from calendar import monthrange
from collections.abc import Sequence
from datetime import date, datetime, time
from typing import Any

from pydantic import ValidationInfo

from greenrota.planfile.fields.figure import Figure
from greenrota.planfile.text.refusal import called, refusal
from greenrota.planfile.text.spelling import shown

FIRST_YEAR, LAST_YEAR = 1970, 2199  # our choice: catches a mistyped year, keeps date arithmetic in range

# Texts, for they are seldom wanted: `re` compiles each when it is first used.
_CLOCK = r"([01]?[0-9]|2[0-3]):([0-5][0-9])"
_ISO = r"([0-9]{4})-([0-9]{2})-([0-9]{2})"
_YEAR_FIRST = r"([0-9]{4})[-/.]([0-9]{1,2})[-/.]([0-9]{1,2})"
_YEAR_LAST = r"([0-9]{1,2})([-/.])([0-9]{1,2})\2([0-9]{4})"


class Day(Figure):
    """A date, written without quotes as TOML has it."""

    def read(self, value: object, info: ValidationInfo) -> date:
        wanted = "a date such as 2027-02-01 is wanted"
        if isinstance(value, date) and not isinstance(value, datetime):
            if FIRST_YEAR <= value.year <= LAST_YEAR:
                return value
            years = f"look at the year; {FIRST_YEAR} to {LAST_YEAR} are taken"
            raise refusal("out-of-range", f"{called(value)} is out of range", years, wanted)
        what, hint = f"{called(value)} is not a date", "write year-month-day, for example 2027-02-01"
        if isinstance(value, datetime):
            hint = f"leave out the time of day: {value.date().isoformat()}"
        elif isinstance(value, str) and _is_day(value):
            hint = f"leave out the quotes: {value}"
        elif isinstance(value, str):
            what, hint = wrong_day(value)
        raise refusal("wrong-type", what, f"{hint}, without quotes" if "write" in hint else hint, wanted)

    def described(self) -> dict[str, Any]:
        return {"type": "string", "format": "date"}


def _is_day(text: str) -> bool:
    """True for a day of the calendar that is written year-month-day."""
    try:
        return bool(re.fullmatch(_ISO, text) and date.fromisoformat(text))
    except ValueError:
        return False


class Clock(Figure):
    """A time of the clock such as "08:00", kept in hours after midnight. "8:00" and TOML's own 08:00:00 will do."""

    def read(self, value: object, info: ValidationInfo) -> float:
        text = value.strftime("%H:%M") if isinstance(value, time) and not value.second else value
        if isinstance(text, str) and (found := re.fullmatch(_CLOCK, text)):
            return int(found[1]) + int(found[2]) / 60.0
        hint = 'write hours and minutes in quotes, 24-hour clock, for example "08:00"'
        raise refusal(
            "wrong-type", f"{called(value)} is no time of day", hint, 'a time such as "08:00" is wanted'
        )

    def described(self) -> dict[str, Any]:
        return {"type": "string", "pattern": f"^({_CLOCK})$", "examples": ["08:00"]}


def wrong_day(text: str) -> tuple[str, str]:
    """What is wrong with a text that is no date as it is wanted here, and what to write.

    >>> wrong_day("28.11.2026")
    ('"28.11.2026" is not written year-month-day', 'write 2026-11-28')
    >>> wrong_day("2027-02-30")
    ('2027-02-30 is no day of the calendar', '2027-02 has 28 days')
    """
    if found := re.fullmatch(_ISO, text):
        year, month, _ = map(int, found.groups())
        hint = "a year has 12 months, a month 28 to 31 days"
        if 1 <= month <= 12 and year:
            hint = f"{year:04}-{month:02} has {monthrange(year, month)[1]} days"
        return f"{text} is no day of the calendar", hint
    days = _meant(text)
    if not days:
        return f'"{shown(text)}" is not a date', "write year-month-day, for example 2027-02-01"
    return f'"{text}" is not written year-month-day', f"write {' or '.join(map(str, days))}"


def looks_like_a_day(text: str) -> bool:
    """True for three numbers in the order of a date, also of one that is not in the calendar."""
    return bool(re.fullmatch(_YEAR_FIRST, text) or re.fullmatch(_YEAR_LAST, text))


def _meant(text: str) -> list[date]:
    """The days a text may mean: both orders of day and month behind slashes, day first behind points."""
    if found := re.fullmatch(_YEAR_FIRST, text):
        orders: Sequence[tuple[int, int, int]] = [(int(found[1]), int(found[2]), int(found[3]))]
    elif found := re.fullmatch(_YEAR_LAST, text):
        first, sign, second, year = int(found[1]), found[2], int(found[3]), int(found[4])
        orders = [(year, second, first)] + ([] if sign == "." else [(year, first, second)])
    else:
        return []
    return sorted({day for order in orders if (day := _day(*order)) is not None})


def _day(year: int, month: int, day: int) -> date | None:
    try:
        return date(year, month, day)
    except ValueError:
        return None
