"""Shortage: the one count of short days, for every page that looks ahead."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from greenrota.rota.feed.daily import RationDay, counted_days
from greenrota.rota.feed.pouring import SHORT_ML


def coming_days(days: Sequence[RationDay], as_of: date) -> Sequence[RationDay]:
    """The counted days that are not over yet on a day; every page that looks ahead counts short days on these."""
    return [day for day in counted_days(days) if day.on >= as_of]


def short_days(days: Sequence[RationDay]) -> int:
    """On how many days anybody goes short."""
    return sum(any(serving.short_ml > SHORT_ML for serving in day.servings) for day in days)
