"""Conflict copies: files that a sync service left beside the logbook, in which entries may stand that it lacks."""

from __future__ import annotations

import re
from collections.abc import Collection
from pathlib import Path

from greenrota.logbook.entry import Entry, parse_line

_COPY_WORDS = r"cop(?:y|ie|ia|ii)|kopi(?:e|a)?|cópia"  # "copy" in some languages; from memory
# What stands between the stem and the suffix of a copy, whatever it holds.
_SURE = re.compile(
    rf"con(?:flict|flit|flito|flicto)|konflikt|\b(?:{_COPY_WORDS})\b|^[ _.-]*\([0-9]+\)$", re.IGNORECASE
)
_COPY_OF = re.compile(rf"^(?:{_COPY_WORDS})\b", re.IGNORECASE)  # in front of the whole name
# A number, a date, a device or a user behind the stem: a copy only if entries stand in it.
_LIKELY = re.compile(r"[ _.@~-].*|\[.*\]|\(.*\)", re.DOTALL)
_LOOKED_AT_BYTES = 4096  # our choice: room for some entries


def conflict_copies(book: Path, archives: Collection[str] = ()) -> list[Path]:
    """Files beside the book that look like its copies from a sync service, in the order of their names.

    Known by their names: that of the book with "conflict" or "copy" in it or "(1)" behind its stem. Any other
    addition behind the stem (a number, a date, a device) counts if the file holds entries and no plan has its stem.
    `archives` are the names of files that the book itself names.
    """
    try:
        beside = [other for other in book.parent.iterdir() if other.name not in (book.name, *archives)]
    except OSError:
        return []
    return sorted(other for other in beside if _is_copy(other, book))


def _is_copy(other: Path, book: Path) -> bool:
    if other.name.endswith(book.name) and _COPY_OF.search(other.name):
        return True
    if not other.name.startswith(book.stem):
        return False
    if other.suffix != book.suffix and not other.name.startswith(book.name):
        return False
    middle = other.name.removeprefix(book.stem).removesuffix(book.suffix)
    if _SURE.search(middle):
        return True
    likely = other.suffix == book.suffix and _LIKELY.fullmatch(middle) is not None
    return likely and not other.with_suffix(".toml").exists() and _holds_entries(other)


def _holds_entries(other: Path) -> bool:
    """True if the first line of a file that is no remark is an entry."""
    try:
        with other.open("rb") as file:
            lines = file.read(_LOOKED_AT_BYTES).decode("utf-8", errors="replace").splitlines()
    except OSError:
        return False
    read = (parse_line(line.removeprefix("\ufeff")) for line in lines)
    return isinstance(next((each for each in read if each is not None), None), Entry)
