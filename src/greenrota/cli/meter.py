"""The progress bar: a line on stderr while planning takes long, gone when it is done."""

from __future__ import annotations

import shutil
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

PATIENCE_S = 1.0  # planning that takes no longer shows nothing; our choice
EVERY_S = 0.1  # the bar is drawn no more often; our choice
_TEXT = "looking for the best dates; Ctrl-C: the best so far"
_LEAST_BAR = 10  # columns; our choice: on a screen without room for it only the share is shown


@contextmanager
def meter(
    seconds: Callable[[], float] = time.monotonic, write: Callable[[str], object] | None = None
) -> Iterator[Callable[[float], None] | None]:
    """What a search tells its share to, 0..1; None where stderr is no terminal: then nothing is drawn.

    The line appears after a second and is wiped at the end. `seconds` is the clock, `write` where the bar goes.
    """
    if write is None and not sys.stderr.isatty():
        yield None
        return
    bar = _Bar(seconds, write or _draw)
    try:
        yield bar.tell
    finally:
        bar.wipe()


class _Bar:
    def __init__(self, seconds: Callable[[], float], write: Callable[[str], object]) -> None:
        self._seconds, self._write = seconds, write
        self._next_s = seconds() + PATIENCE_S
        self._share = 0.0
        self._drawn = 0

    def tell(self, share: float) -> None:
        """Draw the bar if it is time; it never goes back."""
        self._share = max(self._share, share)
        now_s = self._seconds()
        if now_s < self._next_s:
            return
        self._next_s = now_s + EVERY_S
        line = bar_line(self._share, shutil.get_terminal_size().columns - 1)
        self._drawn = len(line)
        self._write(f"\r{line}")

    def wipe(self) -> None:
        """Leave the line as it was found."""
        if self._drawn:
            self._write(f"\r{'':{self._drawn}}\r")


def bar_line(share: float, columns: int) -> str:
    """The bar as one line of at most so many columns.

    >>> bar_line(0.5, 80)
    '[#########..........]  50 %  looking for the best dates; Ctrl-C: the best so far'
    """
    done = f"{min(1.0, share):>4.0%}".replace("%", " %")
    room = min(30, columns - len(done) - len(_TEXT) - 5)
    if room < _LEAST_BAR:
        return done.strip()[: max(0, columns)]
    filled = int(min(1.0, share) * room)
    return f"[{'#' * filled}{'.' * (room - filled)}] {done}  {_TEXT}"


def _draw(text: str) -> None:
    """Write to the terminal; it is dropped if nobody can read it."""
    try:
        sys.stderr.write(text)
        sys.stderr.flush()
    except OSError:
        return
