"""`greenrota log list` and `greenrota log undo`: the entries with their numbers, and the newest one taken back."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import TYPE_CHECKING

from greenrota.cli.system import out
from greenrota.cli.system.plan_path import logbook_path
from greenrota.cli.system.rota_at import Papers, show_problems
from greenrota.errors import Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from greenrota.logbook.entry import Entry

FORMAT = "greenrota/log-list/1"


def list_entries(papers: Papers, names: list[str], kind: str | None, last: int, as_json: bool) -> None:
    """Print the last entries as they stand in the book, those of some vessels or of one kind where asked for.

    Raises ProblemsFound (status 2) for a kind that is not known. What is wrong with the book is written to stderr.
    """
    from greenrota.logbook import fault
    from greenrota.logbook.vocabulary import is_kind

    if kind is not None and not is_kind(kind):
        raise ProblemsFound([fault.unknown_kind(Place("--kind"), kind)], status=2)
    show_problems(papers.book.problems)
    found = [entry for entry in papers.book.entries if _asked(entry, names, kind)]
    culture = {id(entry) for entry in papers.entries}
    shown = [(entry, entry.kind != "void" and id(entry) not in culture) for entry in found[-last:]]
    if as_json:
        out.write(_as_json(shown, len(found)))
    elif not shown:
        out.note(f"{logbook_path(papers.path).name}: no such entry")
    else:
        out.write("\n".join(map(_line, shown)))
        if len(found) > len(shown):
            out.note(f"the last {len(shown)} of {len(found)}; --last N shows more")


def undone(papers: Papers, names: list[str], day: date, given: Mapping[str, str]) -> Entry:
    """The void that takes back the newest entry that stands, of some vessels where they are named.

    A void is passed over: to undo twice takes back two entries. Raises ProblemsFound: "undo-what" (status 1) where
    nothing is left or the entry has no number, "log-key" (status 2) for an option that it does not take.
    """
    from greenrota.logbook.entry import NO_VESSEL, Entry

    for key in given:
        if key != "reason":
            hint = "greenrota log void --entry N takes back another entry"
            raise ProblemsFound(
                [Problem("log-key", Place(f"--{key}"), f"undo takes no --{key}", hint)], status=2
            )
    culture = {id(entry) for entry in papers.entries}
    found = [e for e in papers.book.entries if id(e) in culture and _asked(e, names, None)]
    book = logbook_path(papers.path)
    if not found:
        hint = "greenrota log list shows what is there"
        raise ProblemsFound([Problem("undo-what", Place(str(book)), "there is no entry to take back", hint)])
    newest = found[-1]
    if newest.number is None:
        what = "the newest entry was written by hand and has no number"
        hint = "take the line out in an editor, or put a # in front of it"
        raise ProblemsFound([Problem("undo-what", newest.where, what, hint)])
    out.note(f"taking back: {_line((newest, False))}")
    reason = (("reason", given["reason"]),) if "reason" in given else ()
    return Entry(day, "void", NO_VESSEL, (("entry", newest.number), *reason))


def _asked(entry: Entry, names: list[str], kind: str | None) -> bool:
    """True for an entry of the kind about one of the names: a vessel, its batches and its bottles; none named: any."""
    about = entry.subject.removeprefix("fridge:")
    named = not names or entry.subject in names or about.rpartition("/")[0] in names
    return named and kind in (None, entry.kind)


def _line(shown: tuple[Entry, bool]) -> str:
    from greenrota.logbook.entry import format_entry

    entry, taken_back = shown
    return format_entry(entry) + ("  (taken back)" if taken_back else "")


def _as_json(shown: list[tuple[Entry, bool]], found: int) -> str:
    from greenrota.logbook.entry import format_entry
    from greenrota.views.text.document import json_document

    answer = {
        "found": found,
        "entries": [
            {
                "number": entry.number,
                "date": entry.on.isoformat(),
                "kind": entry.kind,
                "subject": entry.subject,
                "taken_back": taken_back,
                "line": format_entry(entry),
            }
            for entry, taken_back in shown
        ],
    }
    return json_document(FORMAT, answer)
