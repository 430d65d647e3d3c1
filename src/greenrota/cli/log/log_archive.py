"""`greenrota log archive`: the entries of earlier years put away in a file of their own."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from greenrota.cli.system import out
from greenrota.cli.system.plan_path import logbook_path
from greenrota.cli.system.rota_at import Papers
from greenrota.errors import Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from greenrota.logbook.archive.moving import Moved

FORMAT = "greenrota/log-archive/1"


def archive_entries(
    papers: Papers,
    names: Sequence[str],
    given: Mapping[str, str],
    through: date | None,
    today: date,
    yes: bool,
    as_json: bool,
) -> None:
    """Put away the entries through a day that is over, and say where they are.

    Raises ProblemsFound: "archive-day" (status 2) without a day or for one that is not over, "log-key" (status 2) for
    vessels and options that it does not take, the problems of the book unless `yes`, and what `move` raises.
    """
    from greenrota.logbook.archive.moving import move

    _refuse_more(names, given)
    if through is None or through >= today:
        raise _wrong_day(through, today)
    if papers.book.problems and not yes:
        raise ProblemsFound(
            problem._replace(hint=f"mend it first, or put it away as it stands with --yes ({problem.hint})")
            for problem in papers.book.problems
        )
    moved = move(logbook_path(papers.path), through)
    if as_json:
        out.write(_as_json(moved))
        return
    archive, book = moved.archive, logbook_path(papers.path).name
    out.write(
        f"{archive.entries} entries from {moved.first} through {moved.last} are in {archive.file} now; "
        f"{moved.left} stay in {book}"
    )
    out.note(f"{book} names {archive.file} and is read with it: keep both files in one folder")


def _refuse_more(names: Sequence[str], given: Mapping[str, str]) -> None:
    if not names and not given:
        return
    word = names[0] if names else f"--{next(iter(given))}"
    hint = "greenrota log archive --through DATE puts away the entries of all vessels"
    raise ProblemsFound([Problem("log-key", Place(word), f"archive takes no {word}", hint)], status=2)


def _wrong_day(through: date | None, today: date) -> ProblemsFound:
    what = "archive needs the last day that is put away"
    if through is not None:
        what = f"{through} is not over; today is {today}"
    hint = f"for example --through {today.year - 1}-12-31"
    return ProblemsFound([Problem("archive-day", Place("--through"), what, hint)], status=2)


def _as_json(moved: Moved) -> str:
    from greenrota.views.text.document import json_document

    answer = {
        "archive": moved.archive.file,
        "entries": moved.archive.entries,
        "first": moved.first.isoformat(),
        "last": moved.last.isoformat(),
        "last_number": moved.archive.last or None,
        "sha256": moved.archive.sha256,
        "left": moved.left,
    }
    return json_document(FORMAT, answer)
