"""The remembered standings as the text of a file; what can not be read in full counts as nothing."""

from __future__ import annotations

import json
from collections.abc import Sequence

from greenrota.rota.standing.plain import from_plain, to_plain
from greenrota.rota.standing.record import Standing

FORMAT = "greenrota/standing/1"
MOST_BYTES = 4_000_000  # our choice: a larger shelf is planned anew more quickly than this is read


def standings_text(standings: Sequence[Standing]) -> bytes | None:
    """The text of standings, the newest ones alone where all would be too long; None where even one is."""
    for first in range(len(standings)):
        told = {"format": FORMAT, "standings": [to_plain(each) for each in standings[first:]]}
        text = (json.dumps(told, ensure_ascii=True, separators=(",", ":")) + "\n").encode("ascii")
        if len(text) <= MOST_BYTES:
            return text
    return None


def read_standings(text: bytes) -> tuple[Standing, ...]:
    """The standings of a text; none for one that is torn, of another program or of another form.

    >>> read_standings(b'{"format": "greenrota/sta')
    ()
    """
    try:
        told = json.loads(text)
        if (
            not isinstance(told, dict)
            or told.get("format") != FORMAT
            or not isinstance(told["standings"], list)
        ):
            return ()
        return tuple(from_plain(Standing, each) for each in told["standings"])
    except (ValueError, KeyError, TypeError, RecursionError):
        return ()
