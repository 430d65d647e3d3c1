"""Conflict copies: files that a sync service left beside the logbook, in which entries may stand that it lacks."""

from __future__ import annotations

import re
from collections.abc import Collection
from pathlib import Path

from greenrota.logbook.beside import dates_path
from greenrota.logbook.entry import Entry, parse_line
from greenrota.logbook.tail import memory_path

_COPY_WORDS = r"cop(?:y|ie|ia|ii)|kopi(?:e|a)?|cópia"  # "copy" in some languages; from memory
# Texts, for they are seldom wanted: `re` compiles each when it is first used.
# What stands between the stem and the suffix of a copy, whatever it holds.
_SURE = rf"con(?:flict|flit|flito|flicto)|konflikt|\b(?:{_COPY_WORDS})\b|^[ _.-]*\([0-9]+\)$"
_COPY_OF = rf"^(?:{_COPY_WORDS})\b"  # in front of the whole name
# A number, a date, a device or a user behind the stem: a copy only if entries stand in it.
_LIKELY = r"[ _.@~-].*|\[.*\]|\(.*\)"
_LOOKED_AT_BYTES = 4096  # our choice: room for some entries


def conflict_copies(book: Path, archives: Collection[str] = ()) -> list[Path]:
    """Files beside the book that look like its copies from a sync service, in the order of their names.

    Known by their names: that of the book with "conflict" or "copy" in it or "(1)" behind its stem. Any other
    addition behind the stem (a number, a date, a device) counts if the file holds entries and no plan has its stem.
    `archives` are the names of files that the book itself names.
    """
    own = {book.name, dates_path(book).name, memory_path(book).name, *archives}
    try:
        beside = [other for other in book.parent.iterdir() if other.name not in own]
    except OSError:
        return []
    return sorted(other for other in beside if _is_copy(other, book))


def _is_copy(other: Path, book: Path) -> bool:
    if other.name.endswith(book.name) and re.search(_COPY_OF, other.name, re.IGNORECASE):
        return True
    if not other.name.startswith(book.stem):
        return False
    if other.suffix != book.suffix and not other.name.startswith(book.name):
        return False
    middle = other.name.removeprefix(book.stem).removesuffix(book.suffix)
    if re.search(_SURE, middle, re.IGNORECASE):
        return True
    likely = other.suffix == book.suffix and re.fullmatch(_LIKELY, middle, re.DOTALL) is not None
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
