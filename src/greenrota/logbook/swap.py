"""Files as a whole: every byte read, every byte written and synced, and a file replaced in one step."""

from __future__ import annotations

import errno
import os
import secrets
import stat
from pathlib import Path

from greenrota.errors import Place, Problem, ProblemsFound

# Flags that keep the file from child processes and, where there is such a thing, line ends untouched.
PRIVATE_FLAGS = getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_NOINHERIT", 0) | getattr(os, "O_BINARY", 0)
# To read a file: a pipe under its name is refused, not waited for.
PLAIN_READ = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | PRIVATE_FLAGS
_NO_FOLDER_SYNC = frozenset({errno.EINVAL, errno.ENOTSUP, errno.ENOSYS})  # file systems that lack it
_NO_ROOM = frozenset({errno.ENOSPC, errno.EDQUOT, errno.EIO, errno.EFBIG})


def write_all(fd: int, data: bytes) -> None:
    """Write until every byte is written: a full disk shortens a write without an error. Raises OSError."""
    rest = memoryview(data)
    while rest:
        written = os.write(fd, rest)
        if written == 0:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))
        rest = rest[written:]


def want_plain_file(fd: int) -> None:
    """Raises OSError for an open pipe, device or folder."""
    if not stat.S_ISREG(os.fstat(fd).st_mode):
        raise OSError(errno.EINVAL, "it is not a plain file")


def read_all(fd: int) -> bytes:
    """All bytes of an open file, from its beginning. Raises OSError."""
    os.lseek(fd, 0, os.SEEK_SET)
    parts = []
    while part := os.read(fd, 1 << 20):
        parts.append(part)
    return b"".join(parts)


def sync_folder(folder: Path) -> None:
    """Sync a folder, so that a new file in it survives a power cut; nothing where the system cannot. Raises OSError."""
    if os.name == "nt":
        return
    fd = os.open(folder, os.O_RDONLY | PRIVATE_FLAGS)
    try:
        os.fsync(fd)
    except OSError as error:
        if error.errno not in _NO_FOLDER_SYNC:
            raise
    finally:
        os.close(fd)


def write_beside_and_swap(path: Path, data: bytes, synced: bool = True) -> None:
    """Write a file so that its name always stands for either the whole old one or the whole new one.

    A link is followed, the old file's permissions are kept, and what is no plain file (a pipe, a device) is
    written to directly. `synced`: it is on the disk when this returns. Raises `ProblemsFound` with code
    file-not-written; the old file is then untouched.
    """
    try:
        old = path.stat() if path.exists() else None
        if old is not None and stat.S_ISDIR(old.st_mode):
            raise IsADirectoryError(errno.EISDIR, os.strerror(errno.EISDIR))
        if old is not None and not stat.S_ISREG(old.st_mode):
            _write_through(path, data)
        else:
            mode = None if old is None else stat.S_IMODE(old.st_mode)
            _swap_in(Path(os.path.realpath(path)), data, mode, synced)
    except OSError as error:
        what = f"the file was not written: {error.strerror}"
        hint = "choose another place, or make room there; a file that stood there before is untouched"
        status = 1 if error.errno in _NO_ROOM else 2
        raise ProblemsFound([Problem("file-not-written", Place(str(path)), what, hint)], status) from error


def _write_through(path: Path, data: bytes) -> None:
    fd = os.open(path, os.O_WRONLY | PRIVATE_FLAGS)
    try:
        write_all(fd, data)
    finally:
        os.close(fd)


def _swap_in(target: Path, data: bytes, mode: int | None, synced: bool) -> None:
    beside = target.parent / f".greenrota-{secrets.token_hex(6)}.part"
    fd = os.open(beside, os.O_WRONLY | os.O_CREAT | os.O_EXCL | PRIVATE_FLAGS, 0o666)
    try:
        try:
            write_all(fd, data)
            if synced:
                os.fsync(fd)
        finally:
            os.close(fd)
        if mode is not None:
            beside.chmod(mode)
        beside.replace(target)
    except BaseException:
        beside.unlink(missing_ok=True)
        raise
    if synced:
        sync_folder(target.parent)
