"""The remembered standings as the text of a file; what can not be read in full counts as nothing."""

from __future__ import annotations

import json
from collections.abc import Sequence

from greenrota.rota.earlier.plain import from_plain, to_plain
from greenrota.rota.earlier.record import EarlierRota

FORMAT = "greenrota/earlier/1"
MOST_BYTES = 4_000_000  # our choice: a larger shelf is planned anew more quickly than this is read


def earlier_text(standings: Sequence[EarlierRota]) -> bytes | None:
    """The text of standings, the newest ones alone where all would be too long; None where even one is."""
    for first in range(len(standings)):
        document = {"format": FORMAT, "standings": [to_plain(each) for each in standings[first:]]}
        text = (json.dumps(document, ensure_ascii=True, separators=(",", ":")) + "\n").encode("ascii")
        if len(text) <= MOST_BYTES:
            return text
    return None


def read_earlier(text: bytes) -> tuple[EarlierRota, ...]:
    """The standings of a text; none for one that is torn, of another program or of another form.

    >>> read_earlier(b'{"format": "greenrota/sta')
    ()
    """
    try:
        document = json.loads(text)
        if (
            not isinstance(document, dict)
            or document.get("format") != FORMAT
            or not isinstance(document["standings"], list)
        ):
            return ()
        return tuple(from_plain(EarlierRota, each) for each in document["standings"])
    except (ValueError, KeyError, TypeError, RecursionError):
        return ()
