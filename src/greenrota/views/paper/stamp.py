"""The stamp near the top of a file of ours: for which plan it was made, and the sum of everything else in it.

A file with a stamp that fits can be made again, so it may be replaced without a question. One that was edited by
hand, or made for another plan, has a stamp that does not fit.
"""

from __future__ import annotations

import hashlib
import re

_HEAD_BYTES = 2000  # our choice: the stamp of a page, picture or calendar stands within the first lines
_SHOWN = 16  # hexadecimal digits of a sum; our choice: two files do not meet by chance
_STAMP = re.compile(rb"greenrota-stamp ([0-9a-f]{16}) ([0-9a-f]{16})")
_WRAPS = {  # how a line that means nothing is written, by the first characters of a file
    b"<!": b"<!-- %s -->\n",  # HTML
    b"<s": b"<!-- %s -->\n",  # SVG
    b"<?": b"<!-- %s -->\n",
    b"BE": b"X-GREENROTA:%s\r\n",  # iCalendar, RFC 5545 s. 3.8.8.2: a property of our own
    b"%P": b"%% %s\n",  # PDF, ISO 32000-1 s. 7.2.4: a comment
}


def plan_identity(stem: str, name: str) -> str:
    """What tells a plan from others in a stamp: made of the name of its file and the name in it.

    >>> len(plan_identity("plan", "shelf"))
    16
    """
    return _sum(f"{stem}\n{name}".encode())


def stamped(data: bytes, identity: str) -> bytes:
    """The file with its stamp. KeyError for a file that is none of HTML, SVG, iCalendar and PDF."""
    stamp = f"greenrota-stamp {identity} {_sum(data)}".encode()
    line, at = _WRAPS[data[:2]] % stamp, _place(data)
    return data[:at] + line + data[at:]


def is_ours(data: bytes, identity: str) -> bool:
    """True for a file that we made for this plan and that nobody has changed since."""
    wrap = _WRAPS.get(data[:2])
    found = None if wrap is None else _STAMP.search(data, max(0, _tail(data)) if data[:2] == b"%P" else 0)
    if wrap is None or found is None or (data[:2] != b"%P" and found.start() > _HEAD_BYTES):
        return False
    bare = data.replace(wrap % found[0], b"", 1)
    return found[1] == identity.encode() and found[2] == _sum(bare).encode()


def _place(data: bytes) -> int:
    """Where the stamp goes: behind the first element or line; in a PDF, whose places are counted, at its end."""
    if data[:2] == b"%P":
        return max(data.rfind(b"startxref"), 0)
    if data[:2] == b"BE":
        return data.index(b"\n", data.index(b"PRODID:")) + 1
    return data.index(b"\n") + 1 if data[:2] in (b"<!", b"<?") else data.index(b">") + 1


def _tail(data: bytes) -> int:
    return len(data) - _HEAD_BYTES


def _sum(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()[:_SHOWN]
