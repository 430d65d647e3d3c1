"""The commented plan that `greenrota new` writes: every key, what it means, and figures to replace."""

from __future__ import annotations

from datetime import date, timedelta
from importlib import resources


def blank_plan(today: date) -> str:
    """A plan to start from, as TOML text: it begins tomorrow with a starter that arrived today.

    It loads without a problem; keys that may be left out stand behind `#`.

    >>> blank_plan(date(2027, 1, 31)).splitlines()[11]
    'start  = 2027-02-01           # first day of the rota'
    """
    text = resources.files("greenrota.planfile").joinpath("blank.toml").read_text(encoding="utf-8")
    return text.replace("{start}", (today + timedelta(days=1)).isoformat()).replace(
        "{today}", today.isoformat()
    )
