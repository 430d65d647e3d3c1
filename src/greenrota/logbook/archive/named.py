"""The line by which a logbook names an archive: `archive FILE entries=N last=N sha256=SUM`."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass, field

from greenrota.errors import Place, Problem
from greenrota.logbook.amount import LARGEST, read_figure
from greenrota.logbook.quoting import quoted, split_line

WORD = "archive"
_SUM = "[0-9a-f]{64}"
_LAST = re.compile(rb"^(?:\xef\xbb\xbf)?archive [^\n]* last=([0-9]{1,9})(?![0-9])", re.MULTILINE)
_BOM = b"\xef\xbb\xbf"


@dataclass(frozen=True, slots=True)
class Archive:
    """An archive as the logbook names it: a file beside it, how many entries it holds, and the highest number.

    `last` is 0 where no entry has a number. `sha256` is that of its text. `where` is the line that names it.
    """

    file: str
    entries: int
    last: int
    sha256: str
    where: Place = field(default_factory=Place, compare=False, repr=False)


def archive_line(archive: Archive) -> str:
    """The line that names an archive, without its line end.

    >>> archive_line(Archive("plan.2027-12-31.log", 2, 2, "0" * 64))[:49]
    'archive plan.2027-12-31.log entries=2 last=2 sha2'
    """
    figures = f"entries={archive.entries} last={archive.last} sha256={archive.sha256}"
    return f"{WORD} {quoted(archive.file)} {figures}"


def is_archive_line(text: str) -> bool:
    """True for a line that names an archive or was meant to.

    >>> is_archive_line("archive plan.2027-12-31.log entries=2"), is_archive_line("2027-02-08 fed north n=1")
    (True, False)
    """
    return text.split(maxsplit=1)[:1] == [WORD]


def read_archive_line(where: Place) -> Archive | Problem:
    """The archive that the line `where.text` names, or what is wrong with the line (log-archive-line)."""
    words, _, stop = split_line(where)
    plain = [word.text for word in words if word.key is None]
    keyed = {word.key: word.text for word in words if word.key is not None}
    figures = [read_figure(keyed.get(key, "")) for key in ("entries", "last")]
    entries, last = (-1 if n is None or n != int(n) or n > LARGEST else int(n) for n in figures)
    file = plain[1] if len(plain) == 2 else ""
    sound = stop is None and len(words) == 5 and min(entries, last) >= 0 and _is_file_name(file)
    if sound and re.fullmatch(_SUM, keyed.get("sha256", "")):
        return Archive(file, entries, last, keyed["sha256"], where)
    what = "this line names an archive, and can not be read"
    hint = f"it says {WORD} FILE entries=N last=N sha256=SUM, FILE beside the logbook; look for a copy of the book"
    return Problem("log-archive-line", where, what, hint)


def _is_file_name(text: str) -> bool:
    """True for the plain name of a file, without a folder."""
    return text not in ("", ".", "..") and not re.search(r"[/\\\x00]", text)


def sum_of(data: bytes) -> str:
    """The sum of an archive's text; line ends of another system and a byte order mark make no difference to it."""
    return hashlib.sha256(data.removeprefix(_BOM).replace(b"\r\n", b"\n")).hexdigest()


def last_archived(book: bytes) -> int:
    """The highest number in the archives that a book names; 0 where it names none.

    >>> last_archived(b"archive a.log entries=2 last=7 sha256=0\\n2027-02-08 fed north n=8\\n")
    7
    """
    return max((int(last) for last in _LAST.findall(book)), default=0)
