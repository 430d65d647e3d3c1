"""The error that a field raises for a wrong value; `explain.py` turns it into a problem."""

from __future__ import annotations

from datetime import date, time

from pydantic_core import PydanticCustomError

from greenrota.planfile.text.spelling import shown


def refusal(code: str, what: str, hint: str = "", wanted: str = "") -> PydanticCustomError:
    """An error for pydantic to collect. All four texts go into the problem as they are."""
    context = {"what": what, "hint": hint, "wanted": wanted}
    return PydanticCustomError(code, "{what}", context)


def called(value: object) -> str:
    """A value of the TOML file as it is written in a message.

    >>> called("5 L"), called(True), called([1])
    ('"5 L"', 'true', 'a list')
    """
    if isinstance(value, str):
        return f'"{shown(value)}"'
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int):
        return str(value) if abs(value) < 10**20 else "a very large number"
    if isinstance(value, float):
        return f"{value:.12g}"
    if isinstance(value, date | time):
        return value.isoformat()
    return "a list" if isinstance(value, list) else "a table"
