"""The only clock of the package: everything else gets the day as an argument."""

from __future__ import annotations

from datetime import UTC, date, datetime


def today() -> date:
    """The local calendar day."""
    return date.today()


def now() -> datetime:
    """The moment, in UTC, to the second."""
    return datetime.now(UTC).replace(microsecond=0)
