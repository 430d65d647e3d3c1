"""Amounts as the logbook spells them: volumes, densities, bare figures and dates, and nothing else.

A small strict grammar, so that reading the logbook needs no unit registry. A reader returns None for what it does
not know and never guesses: "1,5L" and "1 500 mL" are not read.
"""

from __future__ import annotations

import datetime
import math
import re
from decimal import Decimal

_NUMBER = r"([0-9]{1,30}(?:\.[0-9]{1,30})?)(?:[eE]([+-]?[0-9]{1,3}))?"
_FIGURE = re.compile(_NUMBER)
_VOLUME = re.compile(_NUMBER + r" ?(mL|ml|L|l)")
_DENSITY = re.compile(_NUMBER + r" ?(?:cells)?/(?:mL|ml)")
_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_TEMPERATURE = _NUMBER + r" ?degC"
_DAY_H = 24.0  # definition
_MOST_PH = 14.0  # end of the usual scale
_LEAST_SG, _MOST_SG = 0.99, 1.1  # our choice: from fresh water in a warm room to brine
_HOTTEST_C = 60.0  # our choice: no culture lives above; a bare figure in degF is above it mostly
FIRST_YEAR, LAST_YEAR = (
    1970,
    2199,
)  # our choice, as in the plan: catches a slip, keeps day arithmetic in range
LARGEST = 1e12  # mL, cells per mL or bare; our choice: a larger number is a typing error
_RUNNING = re.compile(r"[0-9]{1,9}")  # nine digits: our choice, more entries than anyone writes


def read_volume_ml(text: str) -> float | None:
    """A volume in mL from text such as "187.5mL" or "1.5L"; None if it is not one.

    Litres are shifted as decimals, so that 1.005L is exactly the number 1005mL is.

    >>> read_volume_ml("1.005L")
    1005.0
    """
    found = _VOLUME.fullmatch(text)
    if found is None:
        return None
    return _number(found[1], found[2], 3 if found[3] in ("L", "l") else 0)


def read_density_per_ml(text: str) -> float | None:
    """A density in cells per mL from "9.1e5/mL" or "9.1e5 cells/mL"; None if it is not one.

    >>> read_density_per_ml("9.1e5/mL")
    910000.0
    """
    found = _DENSITY.fullmatch(text)
    return None if found is None else _number(found[1], found[2])


def read_figure(text: str) -> float | None:
    """A bare number, zero or above, without a unit; None if it is not one.

    >>> read_figure("0.5")
    0.5
    """
    found = _FIGURE.fullmatch(text)
    return None if found is None else _number(found[1], found[2])


def read_hours(text: str) -> float | None:
    """Hours of a day, a bare number of 0 to 24; None if it is not one.

    >>> read_hours("10"), read_hours("25")
    (10.0, None)
    """
    hours = read_figure(text)
    return hours if hours is not None and hours <= _DAY_H else None


def read_ph(text: str) -> float | None:
    """A pH, a bare number of 0 to 14; None if it is not one.

    >>> read_ph("8.4"), read_ph("84")
    (8.4, None)
    """
    ph = read_figure(text)
    return ph if ph is not None and ph <= _MOST_PH else None


def read_gravity(text: str) -> float | None:
    """A specific gravity, a bare number of 0.990 to 1.100; None if it is not one.

    >>> read_gravity("1.020"), read_gravity("1020")
    (1.02, None)
    """
    gravity = read_figure(text)
    return gravity if gravity is not None and _LEAST_SG <= gravity <= _MOST_SG else None


def read_temperature_c(text: str) -> float | None:
    """A temperature of water in degrees Celsius, 0 to 60, from "24degC"; None if it is not one.

    >>> read_temperature_c("24degC"), read_temperature_c("24")
    (24.0, None)
    """
    found = re.fullmatch(_TEMPERATURE, text)
    number = None if found is None else _number(found[1], found[2])
    return number if number is not None and number <= _HOTTEST_C else None


def read_date(text: str) -> datetime.date | None:
    """A day spelled the one way it is spelled here, YYYY-MM-DD; None if it is none, not in the calendar or far off.

    >>> read_date("2027-02-30") is None
    True
    """
    if _DATE.fullmatch(text) is None:
        return None
    try:
        day = datetime.date.fromisoformat(text)
    except ValueError:
        return None
    return day if FIRST_YEAR <= day.year <= LAST_YEAR else None


def read_running_number(text: str) -> int | None:
    """The running number of an entry, 1 to 999999999; None if it is not one.

    >>> read_running_number("12")
    12
    """
    return int(text) or None if _RUNNING.fullmatch(text) else None


def _number(mantissa: str, exponent: str | None, shift: int = 0) -> float | None:
    number = float(f"{mantissa}e{int(exponent or 0) + shift}")
    return number if number <= LARGEST else None


def plain(number: float) -> str:
    """The shortest text that reads back as the same number, in plain figures where they are usual.

    Raises ValueError for what is not read back: a negative number, one above `LARGEST`, an infinity or NaN.

    >>> plain(187.5), plain(4000.0)
    ('187.5', '4000')
    """
    if not number <= LARGEST or math.copysign(1.0, number) < 0.0:
        raise ValueError(f"{number} is not an amount: a number from 0 to {LARGEST:g} is wanted")
    return repr(float(number)).removesuffix(".0")


def short(number: float) -> str:
    """As `plain`, or with a power of ten where that is shorter: densities are spelled so at the bench.

    >>> short(910000.0), short(93750.0)
    ('9.1e5', '93750')
    """
    text = plain(number)
    exact = Decimal(text)
    digits = "".join(map(str, exact.as_tuple().digits)).rstrip("0") or "0"
    power = f"{digits[0]}.{digits[1:]}".removesuffix(".") + f"e{exact.adjusted()}"
    return min(text, power, key=len)
