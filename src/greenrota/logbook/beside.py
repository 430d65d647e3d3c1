"""Small files beside the logbook that can be deleted without harm: what is kept in them only saves work."""

from __future__ import annotations

from pathlib import Path

from greenrota.errors import ProblemsFound
from greenrota.logbook.swap import write_beside_and_swap


def dates_path(book: Path) -> Path:
    """Where the dates of a rota are remembered: the name of the book with `.dates` behind.

    >>> dates_path(Path("shelf/plan.log")).as_posix()
    'shelf/plan.log.dates'
    """
    return book.with_name(f"{book.name}.dates")


def read_beside(path: Path, most_bytes: int) -> bytes:
    """The bytes of a file; none where there is no file, where it can not be read, or where it is too long."""
    try:
        if not path.is_file():
            return b""
        with path.open("rb") as file:
            data = file.read(most_bytes + 1)
    except OSError:
        return b""
    return data if len(data) <= most_bytes else b""


def write_beside(path: Path, data: bytes) -> None:
    """Put a file in the place of the old one, whole or not at all; the old one stays where the disk takes no new one.

    Of two writers at a time the last one wins. It is not synced: after a power cut it may be gone.
    """
    try:
        write_beside_and_swap(path, data, synced=False)
    except ProblemsFound:
        return
