"""The number of the last entry, remembered in a small file beside the logbook: a lost tail is noticed by it.

The logbook itself is the truth. The small file can be deleted without harm; a loss is then noticed no more.
"""

from __future__ import annotations

from pathlib import Path

from greenrota.errors import Place, Problem, ProblemsFound
from greenrota.logbook.amount import read_running_number
from greenrota.logbook.swap import write_beside_and_swap

_MOST_BYTES = 64  # our choice: a running number and its line end are shorter


def memory_path(book: Path) -> Path:
    """Where the last number of a book is remembered: its name with `.last` behind.

    >>> memory_path(Path("shelf/plan.log")).as_posix()
    'shelf/plan.log.last'
    """
    return book.with_name(f"{book.name}.last")


def remembered(book: Path) -> int:
    """The number of the last entry that was written here; 0 where nothing that can be read is remembered."""
    try:
        with memory_path(book).open("rb") as file:
            text = file.read(_MOST_BYTES).decode("ascii").strip()
    except (OSError, ValueError):
        return 0
    return read_running_number(text) or 0


def remember(book: Path, number: int) -> None:
    """Remember the last number. Called with the book locked, so that two writers do not cross.

    An old number is left standing where the disk takes no new one: it raises no false alarm.
    """
    try:
        write_beside_and_swap(memory_path(book), f"{number}\n".encode())
    except ProblemsFound:
        return


def lost_tail(book: Path, last: int) -> list[Problem]:
    """A problem if a later entry was written here than the `last` that the book holds (0: it holds none)."""
    known = remembered(book)
    if known <= last:
        return []
    what = f"it ends with entry {last}" if last else "it holds no entry or is not there"
    hint = (
        "an older copy may have taken its place: look for the newer one. If you shortened it yourself, delete "
        f"{memory_path(book).name}"
    )
    return [Problem("log-tail", Place(str(book)), f"{what}, but entry {known} was written to it", hint)]
