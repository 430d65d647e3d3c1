"""What the search found for plans without a logbook, remembered in the cache folder of the user.

The search gives the same dates for the same plan whenever it runs, so it need not run for each command. The folder is
that of the variable GREENROTA_CACHE (empty: nothing is remembered), else the usual one of the system. A file is named
by a digest of the plan and of the program, so that neither another plan nor a changed program finds it. It may be
deleted at any time; where it can not be written nothing is said.
"""

from __future__ import annotations

import hashlib
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

import greenrota
from greenrota.logbook.beside import read_beside, write_beside

if TYPE_CHECKING:
    from greenrota.rota.earlier.record import EarlierRota
    from greenrota.rota.plan import Plan

VARIABLE = "GREENROTA_CACHE"
MOST_FILES = 40  # our choice: the newest ones stay; some ten kB each
_SUFFIX = ".dates"
_DECIDING = ("culture", "planfile", "rota")  # the parts of the program that the dates follow from


def folder() -> Path | None:
    """The folder; None where there is none to be had, or none is wanted."""
    named = os.environ.get(VARIABLE)
    if named is not None:
        return Path(named) if named else None
    try:
        if sys.platform == "win32":
            base = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
        elif sys.platform == "darwin":
            base = Path.home() / "Library" / "Caches"
        else:  # the base directories that the desktops agreed on: only an absolute path counts
            said = Path(os.environ.get("XDG_CACHE_HOME", ""))
            base = said if said.is_absolute() else Path.home() / ".cache"
    except RuntimeError:  # the user has no home
        return None
    return base / "greenrota"


def read(plan: Plan) -> tuple[EarlierRota, ...]:
    """What was remembered of a plan; nothing where there is nothing, or nothing that can be read."""
    from greenrota.rota.earlier.text import MOST_BYTES, read_earlier

    place = folder()
    return () if place is None else read_earlier(read_beside(place / _name(plan), MOST_BYTES))


def write(plan: Plan, text: bytes) -> None:
    """Remember the text of what was found for a plan, and forget the oldest ones where there are many."""
    place = folder()
    if place is None:
        return
    try:
        place.mkdir(mode=0o700, parents=True, exist_ok=True)
        write_beside(place / _name(plan), text)
        oldest_last = sorted(place.glob(f"*{_SUFFIX}"), key=lambda file: file.stat().st_mtime, reverse=True)
        for file in oldest_last[MOST_FILES:]:
            file.unlink(missing_ok=True)
    except OSError:
        return


def _name(plan: Plan) -> str:
    from greenrota.rota.earlier.record import plan_digest

    said = f"{plan_digest(plan)} {greenrota.__version__} {_program()}"
    return hashlib.sha256(said.encode()).hexdigest()[:32] + _SUFFIX


def _program() -> list[tuple[str, int, int]]:
    """Name, size and time of every file that the dates follow from: a program that was changed finds nothing."""
    found: list[tuple[str, int, int]] = []
    folders = [str(Path(greenrota.__file__).parent / name) for name in _DECIDING]
    while folders:
        with os.scandir(folders.pop()) as entries:
            for entry in entries:
                if entry.is_dir() and entry.name != "__pycache__":
                    folders.append(entry.path)
                elif entry.is_file():
                    about = entry.stat()
                    found.append((entry.name, about.st_size, about.st_mtime_ns))
    return sorted(found)
