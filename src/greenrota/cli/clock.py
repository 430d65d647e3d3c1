"""The only clock of the package: everything else is told what day it is."""

from __future__ import annotations

from datetime import date


def today() -> date:
    """The local calendar day."""
    return date.today()
