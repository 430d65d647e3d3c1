"""A trial: one mutant through the command line in this process, and everything that it must not have done."""

from __future__ import annotations

import io
import json
import os
import signal
import sys
import time
import traceback
import warnings
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

import typer.main
from mutants import Mutant

from greenrota.cli import main
from greenrota.cli.system import clock, out
from greenrota.errors import Problem

SECONDS = 10.0  # our choice: nobody waits longer for an answer to nonsense
TODAY = date(2027, 2, 8)  # a day after the last entry of the book that mutants are made from
_HARMLESS = {"\n", "\t"}
_build = main.build  # as it stands before any test


@dataclass
class Verdict:
    """What became of a mutant: exit status, codes told, seconds, and faults (empty when all is well)."""

    status: int | None
    codes: list[str]
    seconds: float
    faults: list[str] = field(default_factory=list)


def trial(mutant: Mutant, folder: Path) -> Verdict:
    """Run a mutant in a folder of its own; only what it finds there is read or written."""
    (folder / "plan.toml").write_bytes(mutant.plan)
    for old in folder.glob("plan.*log*"):
        old.unlink()
    if mutant.log is not None:
        (folder / "plan.log").write_bytes(mutant.log)
    words = [w.replace("PLAN", "plan.toml").replace("FOLDER", ".") for w in mutant.arguments]
    told: list[Problem] = []
    faults: list[str] = []
    began = time.process_time()
    with _inside(folder, words, told) as (stdout, stderr):
        status = _status(faults)
    seconds = time.process_time() - began
    said, printed = stderr.getvalue(), stdout.getvalue()
    faults += _faults(status, said, printed, told, seconds)
    faults += _book_faults(mutant, folder)
    return Verdict(status, [problem.code for problem in told], seconds, faults)


@cache
def _program() -> Any:
    """The command line, put together once: typer takes longer for that than most mutants live."""
    return typer.main.get_command(_build())


@contextmanager
def _inside(folder: Path, words: list[str], told: list[Problem]) -> Iterator[tuple[io.BytesIO, io.BytesIO]]:
    """Streams, arguments and folder as a process of its own would have them; problems are noted on the way."""
    stdout, stderr = io.BytesIO(), io.BytesIO()
    program = _program()
    kept = (sys.stdout, sys.stderr, sys.argv, Path.cwd(), out.report, clock.today, main.build)

    def report(problems: object) -> None:
        listed = list(problems)  # type: ignore[call-overload]
        told.extend(listed)
        kept[4](listed)

    try:
        sys.stdout = io.TextIOWrapper(stdout, "utf-8", write_through=True)
        sys.stderr = io.TextIOWrapper(stderr, "utf-8", "backslashreplace", write_through=True)
        sys.argv, out.report, clock.today = ["greenrota", *words], report, lambda: TODAY
        main.build = lambda: program
        os.chdir(folder)
        yield stdout, stderr
    finally:
        for stream in (sys.stdout, sys.stderr):
            stream.detach()  # type: ignore[union-attr]
        sys.stdout, sys.stderr, sys.argv, _, out.report, clock.today, main.build = kept
        os.chdir(kept[3])


class TooLong(BaseException):
    """The time for one input is up."""


def _ring(_signal: int, _frame: object) -> None:
    raise TooLong


@contextmanager
def _time_limit() -> Iterator[None]:
    """An alarm, where the system has one: an input that never ends shows where it hangs."""
    if not hasattr(signal, "SIGVTALRM"):
        yield
        return
    before = signal.signal(signal.SIGVTALRM, _ring)
    signal.setitimer(signal.ITIMER_VIRTUAL, SECONDS)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        signal.signal(signal.SIGVTALRM, before)


def _status(faults: list[str]) -> int | None:
    try:
        with warnings.catch_warnings(), _time_limit():
            warnings.simplefilter("error")
            main.main()
    except SystemExit as end:
        return end.code if isinstance(end.code, int) else 0 if end.code is None else -1
    except BaseException:
        faults.append(traceback.format_exc())
        return None
    return 0


def _faults(
    status: int | None, said: bytes, printed: bytes, told: list[Problem], seconds: float
) -> Iterator[str]:
    if status not in (0, 1, 2):
        yield f"status {status}"
    if b"Traceback" in said:
        yield "a traceback was shown"
    if printed.startswith(b"{"):
        yield from _data_faults(printed)
    if status and not said.strip() and b'"format": "greenrota/check/1"' not in printed:
        yield f"status {status} without a word"
    for name, data in (("stderr", said), ("stdout", printed)):
        steering = {c for c in data.decode("utf-8") if _steers(c) and c not in _HARMLESS}
        if steering:
            yield f"{name} holds {sorted(map(ascii, steering))}"
    for problem in told:
        if not (problem.code and problem.what and problem.hint and str(problem.where)):
            yield f"a problem without code, place or hint: {problem}"[:600]
    if seconds > SECONDS:
        yield f"{seconds:.1f} s"


def _data_faults(printed: bytes) -> Iterator[str]:
    """Data is one JSON object; problems in it have all that those on stderr have."""
    try:
        data = json.loads(printed)
    except ValueError as error:
        yield f"no JSON: {error}"
        return
    for problem in data.get("problems", ()):
        if not all(problem[key] for key in ("code", "file", "what", "hint")):
            yield f"a problem as data without code, place or hint: {problem}"[:600]


def _steers(character: str) -> bool:
    """Controls of ASCII and Latin 1, line separators, marks that turn the direction (ECMA-48, Unicode annex 9)."""
    code = ord(character)
    return (
        code < 32
        or 127 <= code < 160
        or 0x2028 <= code <= 0x202E
        or 0x2066 <= code <= 0x2069
        or code in (0x061C, 0x200E, 0x200F)
    )


def _whole(book: Path) -> bytes:
    """The logbook, joined with what was put away from it in this trial."""
    data = book.read_bytes()
    made = sorted(book.parent.glob("plan.*-*-*.log"))
    if not made:
        return data
    *named, rest = data.split(b"\n", len(made))
    assert all(line.startswith(b"archive ") for line in named)
    return b"".join(path.read_bytes() for path in made) + rest


def _book_faults(mutant: Mutant, folder: Path) -> Iterator[str]:
    """Not a byte of the logbook is lost, whatever was asked."""
    book = folder / "plan.log"
    if mutant.log is not None and not (book.exists() and _whole(book).startswith(mutant.log)):
        yield "the logbook lost something"
    if (folder / "plan.toml").read_bytes() != mutant.plan:
        yield "the plan was changed"
