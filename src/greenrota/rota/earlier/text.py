"""The remembered rotas as the text of a file; what can not be read in full counts as nothing."""

from __future__ import annotations

import json
from collections.abc import Sequence

from greenrota.rota.earlier.plain import from_plain, to_plain
from greenrota.rota.earlier.record import EarlierRota

FORMAT = "greenrota/earlier/2"
MOST_BYTES = 4_000_000  # our choice: a larger shelf is planned anew more quickly than this is read


def earlier_text(rotas: Sequence[EarlierRota]) -> bytes | None:
    """The text of rotas, the newest ones alone where all would be too long; None where even one is."""
    for first in range(len(rotas)):
        document = {"format": FORMAT, "rotas": [to_plain(each) for each in rotas[first:]]}
        text = (json.dumps(document, ensure_ascii=True, separators=(",", ":")) + "\n").encode("ascii")
        if len(text) <= MOST_BYTES:
            return text
    return None


def read_earlier(text: bytes) -> tuple[EarlierRota, ...]:
    """The rotas of a text; none for one that is torn, of another program or of another form.

    >>> read_earlier(b'{"format": "greenrota/sta')
    ()
    """
    try:
        document = json.loads(text)
        if (
            not isinstance(document, dict)
            or document.get("format") != FORMAT
            or not isinstance(document["rotas"], list)
        ):
            return ()
        return tuple(from_plain(EarlierRota, each) for each in document["rotas"])
    except (ValueError, KeyError, TypeError, RecursionError):
        return ()
