"""Problems: what is wrong, where it stands, and what to do about it.

A checker returns a list of `Problem`; whoever cannot go on raises one `ProblemsFound` with all of them.
"""

from collections.abc import Iterable
from datetime import date, datetime
from typing import NamedTuple


class Place(NamedTuple):
    """Where a problem stands: a file or an option, with the offending line where there is one.

    `line` counts from 1, `column` and `width` say which characters of `text` are meant; 0 means "not known".
    """

    file: str = ""
    line: int = 0
    text: str = ""
    column: int = 0
    width: int = 0

    def __str__(self) -> str:
        """`plan.toml:9`, `plan.toml`, `--on`, or nothing.

        >>> str(Place("plan.toml", 9))
        'plan.toml:9'
        """
        return f"{self.file}:{self.line}" if self.line else self.file


class Problem(NamedTuple):
    """One thing wrong. `code` is stable (tests and docs match it); `what` and `hint` are prose.

    `wanted` is the short note that stands beside the words that are meant ("a share between 0 and 1 is wanted").
    """

    code: str
    where: Place
    what: str
    hint: str = ""
    wanted: str = ""


class ProblemsFound(Exception):
    """The one exception of this package that carries problems; `problems` is never empty.

    `status` is the exit status the command line gives: 1 for plan, logbook or state, 2 for the command line.
    """

    def __init__(self, problems: Iterable[Problem], status: int = 1) -> None:
        self.problems = tuple(problems)
        self.status = status
        super().__init__("; ".join(f"{p.where}: {p.what} [{p.code}]" for p in self.problems))


def checked_day(name: str, day: object) -> date:
    """The day, where it is a `datetime.date`; else a TypeError that says what was given for the argument `name`.

    A `datetime` is refused too: it is a date by inheritance, but can not be compared with one.

    >>> checked_day("today", date(2027, 2, 4))
    datetime.date(2027, 2, 4)
    """
    if isinstance(day, date) and not isinstance(day, datetime):
        return day
    hint = "datetime.date(2027, 2, 4), for example"
    if isinstance(day, datetime):
        hint = "take its .date()"
    elif isinstance(day, str):
        hint = "datetime.date.fromisoformat reads one from text"
    raise TypeError(f"{name} must be a datetime.date, not {day!r} of type {type(day).__name__}; {hint}")


def nearest(typed: str, known: Iterable[str]) -> str | None:
    """The known word that comes nearest to what was typed, in its own spelling; None if none is near.

    Upper and lower case are the same. Only the first 80 characters count: the comparison takes time with the square.

    >>> nearest("Overheat", ["overheating", "over-age"]), nearest("x", ["north"])
    ('overheating', None)
    """
    from difflib import get_close_matches

    by_fold = {word.casefold(): word for word in known}
    found = get_close_matches(typed.casefold()[:80], by_fold, n=1)
    return by_fold[found[0]] if found else None
