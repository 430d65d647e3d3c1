"""Wording: a number with its noun, as a sentence needs it."""

from __future__ import annotations


def numbered(number: int, one: str, many: str = "") -> str:
    """The number and its noun, in the singular for 1; `many` where an s does not make the plural.

    >>> numbered(1, "vessel"), numbered(0, "day"), numbered(2, "entry", "entries")
    ('1 vessel', '0 days', '2 entries')
    """
    return f"{number} {one if number == 1 else many or one + 's'}"
