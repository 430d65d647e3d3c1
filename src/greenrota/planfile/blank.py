"""The commented plan that `greenrota new` writes: every key, what it means, and figures to replace."""

from __future__ import annotations

from datetime import date, timedelta
from importlib import resources


def blank_plan(today: date) -> str:
    """A plan to start from, as TOML text: its first day is tomorrow, its starter arrived today.

    It is read without a problem. Keys that may be left out are commented out.

    >>> blank_plan(date(2027, 1, 31)).splitlines()[11]
    'start  = 2027-02-01           # first day of the rota'
    """
    text = resources.files("greenrota.planfile").joinpath("blank.toml").read_text(encoding="utf-8")
    return text.replace("{start}", (today + timedelta(days=1)).isoformat()).replace(
        "{today}", today.isoformat()
    )
