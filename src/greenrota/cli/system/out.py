"""Output: data to stdout, problems to stderr, and no control characters that a terminal would act on.

No colour is used anywhere, so NO_COLOR has nothing to switch off.
"""

from __future__ import annotations

import os
import shutil
import sys
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, TextIO

import typer

from greenrota.errors import Place, Problem
from greenrota.views.check.problem import render_problem
from greenrota.views.text.lettering import escaped, printable

if TYPE_CHECKING:
    from greenrota.culture.bounds.bounds import Doubt
    from greenrota.views.reckon.reckoning import Reckoning

# What stands for a character that the output can not carry; our choice. Anything else becomes an escape.
_PLAIN = {
    "\u2013": "-",
    "\u2014": "-",
    "\u2018": "'",
    "\u2019": "'",
    "\u201c": "'",  # not a double quote: in JSON that would end the text
    "\u201d": "'",
    "\u2026": "...",
    "\u2192": "->",
    "\u2212": "-",
    "\u2248": "~",
    "\u2264": "<=",
    "\u2265": ">=",
    "\u00b1": "+/-",
    "\u00d7": "x",
    "\u00b0": "deg",
    "\u00b5": "u",
    "\u03bc": "u",
    "\u00a0": " ",
}


def write(text: str) -> None:
    """Write data to stdout, ending in one newline. Only newline and tab pass as control characters.

    When the reader has gone away (`greenrota tasks | head -1`) the program ends quietly with status 0.
    """
    with _reader_may_leave():
        _send(sys.stdout, text)


def write_file(data: bytes) -> None:
    """Write a whole file to stdout byte for byte, as `-` in place of its name asks for; see `write` for the rest."""
    with _reader_may_leave():
        sys.stdout.flush()
        sys.stdout.buffer.write(data)
        sys.stdout.buffer.flush()


@contextmanager
def _reader_may_leave() -> Iterator[None]:
    try:
        yield
    except OSError as error:
        if error.filename is None:
            error.filename = "standard output"
        # The interpreter flushes stdout once more when it ends; give it somewhere to go.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        if isinstance(error, BrokenPipeError):
            raise typer.Exit(0) from None
        raise


def answer(reckoning: Reckoning, as_json: bool, doubts: tuple[Doubt, ...] = ()) -> None:
    """Write an answer of the bench arithmetic with what is unusual in it, for people or as one JSON object."""
    from greenrota.views.reckon.reckoning import reckoning_json, render_reckoning

    told = reckoning._replace(doubts=doubts)
    write(reckoning_json(told) if as_json else render_reckoning(told, screen_width()))


def note(text: str) -> None:
    """Write a remark or a hint to stderr; it is dropped if nobody can read it."""
    try:
        _send(sys.stderr, text)
    except OSError:
        return


def report(problems: Iterable[Problem]) -> None:
    """Write problems to stderr, one below the other."""
    width = aside_width()
    note("\n".join(render_problem(problem, width) for problem in problems))


def unreadable(error: OSError) -> Problem:
    """The problem for a file, folder or stream that the system refuses."""
    # The system names no file where the folder one stands in has gone.
    nameless = "this folder" if isinstance(error, FileNotFoundError) else "a file"
    name = nameless if error.filename is None else str(error.filename)
    reason = error.strerror or str(error)
    return Problem(
        "cannot-read",
        Place(name),
        f"can not be read or written: {reason.lower()}",
        "look at the name, the permissions and the free space",
    )


def aside_width() -> int | None:
    """Columns of the terminal stderr goes to; None for a file or a pipe: then nothing is wrapped."""
    return max(20, shutil.get_terminal_size().columns) if sys.stderr.isatty() else None


def screen_width() -> int | None:
    """Columns of the terminal stdout goes to; None for a file or a pipe: then nothing is wrapped or cut."""
    return max(20, shutil.get_terminal_size().columns) if sys.stdout.isatty() else None


def screen_height() -> int | None:
    """Lines of the terminal stdout goes to; None for a file or a pipe: then nothing is shortened."""
    return max(10, shutil.get_terminal_size().lines) if sys.stdout.isatty() else None


def can_ask() -> bool:
    """True when somebody sits at a terminal: a question is seen on stderr and answered on stdin."""
    return sys.stdin is not None and sys.stdin.isatty() and sys.stderr.isatty()


def ascii_only() -> bool:
    """True when stdout can not carry braille dots and box lines."""
    return not _carries(sys.stdout, "\u28ff\u2500")


def _send(stream: TextIO, text: str) -> None:
    stream.write(_fitting(stream, printable(text.rstrip("\n"), keep="\n\t")) + "\n")
    stream.flush()


def _fitting(stream: TextIO, text: str) -> str:
    if _carries(stream, text):
        return text
    return "".join(c if _carries(stream, c) else _PLAIN.get(c) or escaped(c) for c in text)


def _carries(stream: TextIO, text: str) -> bool:
    try:
        text.encode(stream.encoding or "ascii")
    except UnicodeEncodeError:
        return False
    return True
