"""The commented plan that `greenrota new` writes: every key, what it means, and figures to replace."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable
from datetime import date, timedelta
from importlib import resources

from greenrota.culture.data.medium import media
from greenrota.culture.data.strain import strains

_GROWN = "tetraselmis"  # the strain that blank.toml itself names; our choice
_REMARKS_AT, _WIDTH = 30, 100  # columns of the remarks beside the keys; our choice


def blank_plan(today: date) -> str:
    """A plan to start from, as TOML text: its first day is tomorrow, its starter arrived today.

    It is read without a problem. Keys that may be left out are commented out. The strains and media that it names are
    those that ship.

    >>> blank_plan(date(2027, 1, 31)).splitlines()[11]
    'start  = 2027-02-01           # first day of the rota'
    """
    text = resources.files("greenrota.planfile.read").joinpath("blank.toml").read_text(encoding="utf-8")
    texts = {
        "{start}": (today + timedelta(days=1)).isoformat(),
        "{today}": today.isoformat(),
        "{other_strains}": _remark(name for name in strains() if name != _GROWN),
        "{media}": ", ".join(media()),
    }
    for place, words in texts.items():
        text = text.replace(place, words)
    return text


def _remark(names: Iterable[str]) -> str:
    """Names in lines of a remark, below one another beside the keys."""
    mark = " " * _REMARKS_AT + "# "
    return textwrap.fill(", ".join(names), _WIDTH, initial_indent=mark, subsequent_indent=mark)
