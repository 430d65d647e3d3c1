"""The progress bar: a line on stderr while a long calculation runs, wiped when it is done."""

from __future__ import annotations

import shutil
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

Tell = Callable[[float], None]  # called with the share that is done, 0..1

PATIENCE_S = 1.0  # planning that takes no longer shows nothing; our choice
EVERY_S = 0.1  # the bar is drawn no more often; our choice
PLANNING = "looking for the best dates; Ctrl-C: the best so far"
PLAYING = "playing seasons"
_FIRST_PART = 0.5  # of a bar for two searches, what the first may fill; our choice
_LEAST_BAR = 10  # columns; our choice: on a screen without room for it only the share is shown


@contextmanager
def meter(
    seconds: Callable[[], float] = time.monotonic,
    write: Callable[[str], object] | None = None,
    text: str = PLANNING,
) -> Iterator[Tell | None]:
    """Gives a function to call with the share that is done, 0..1; None where stderr is no terminal.

    The bar appears after a second and is wiped at the end. `text` stands beside it. `seconds` is the clock and
    `write` writes to the terminal; tests give their own.
    """
    if write is None and not sys.stderr.isatty():
        yield None
        return
    bar = _Bar(seconds, write or _draw, text)
    try:
        yield bar.show
    finally:
        bar.wipe()


def two_parts(progress: Tell | None) -> tuple[Tell | None, Tell | None]:
    """What two searches, one after the other, tell their shares to, so that one share goes up once.

    The first fills half of it at most; the second goes on from where the first stopped. None where nobody is told.

    >>> first, second = two_parts(print)
    >>> first(0.5), second(0.5)
    0.25
    0.625
    (None, None)
    """
    if progress is None:
        return None, None
    reached = 0.0

    def first(share: float) -> None:
        nonlocal reached
        reached = _FIRST_PART * share
        progress(reached)

    def second(share: float) -> None:
        progress(reached + (1.0 - reached) * share)

    return first, second


class _Bar:
    def __init__(self, seconds: Callable[[], float], write: Callable[[str], object], text: str) -> None:
        self._seconds, self._write, self._text = seconds, write, text
        self._next_s = seconds() + PATIENCE_S
        self._share = 0.0
        self._drawn = 0

    def show(self, share: float) -> None:
        """Draw the bar if it is time; the share shown never falls."""
        self._share = max(self._share, share)
        now_s = self._seconds()
        if now_s < self._next_s:
            return
        self._next_s = now_s + EVERY_S
        line = bar_line(self._share, shutil.get_terminal_size().columns - 1, self._text)
        self._drawn = len(line)
        self._write(f"\r{line}")

    def wipe(self) -> None:
        """Clear the line."""
        if self._drawn:
            self._write(f"\r{'':{self._drawn}}\r")


def bar_line(share: float, columns: int, text: str = PLANNING) -> str:
    """The bar as one line of at most so many columns.

    >>> bar_line(0.5, 80)
    '[#########..........]  50 %  looking for the best dates; Ctrl-C: the best so far'
    """
    done = f"{min(1.0, share):>4.0%}".replace("%", " %")
    room = min(30, columns - len(done) - len(text) - 5)
    if room < _LEAST_BAR:
        return done.strip()[: max(0, columns)]
    filled = int(min(1.0, share) * room)
    return f"[{'#' * filled}{'.' * (room - filled)}] {done}  {text}"


def _draw(text: str) -> None:
    """Write to the terminal; it is dropped if nobody can read it."""
    try:
        sys.stderr.write(text)
        sys.stderr.flush()
    except OSError:
        return
