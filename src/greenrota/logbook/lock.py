"""A lock on an open file. It is held until the file is closed; other runs of this program wait for it."""

from __future__ import annotations

import errno
import sys
import time

_TRIES = 400  # our choice: about 15 s at the longest pause, many times what an append takes
_LONGEST_PAUSE_S = 0.04  # our choice

if sys.platform == "win32":
    import msvcrt
    import os

    _FAR = 1 << 30  # a byte far behind the end of every real logbook: locking it blocks no reader

    def _try_lock(fd: int, shared: bool) -> None:
        """Lock one byte for one holder, reader or writer: this system has no shared lock."""
        os.lseek(fd, _FAR, os.SEEK_SET)
        msvcrt.locking(fd, msvcrt.LK_NBLCK, 1)

else:
    import fcntl

    def _try_lock(fd: int, shared: bool) -> None:
        """Lock the whole file, for many readers or for one writer."""
        fcntl.flock(fd, (fcntl.LOCK_SH if shared else fcntl.LOCK_EX) | fcntl.LOCK_NB)


def lock(fd: int, shared: bool = False) -> None:
    """Take the lock, waiting for it up to about 15 s. Raises OSError: EBUSY when it stays taken, else what the system
    says. `shared` is for reading: several readers may hold the lock at once.
    """
    for turn in range(_TRIES):
        try:
            _try_lock(fd, shared)
        except (BlockingIOError, PermissionError):
            time.sleep(min(_LONGEST_PAUSE_S, 0.0005 * 2 ** min(turn, 10)))
        else:
            return
    raise OSError(errno.EBUSY, "another program holds the logbook and does not let go of it")
