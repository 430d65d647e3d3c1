"""Files that are printed, shown or imported: written whole, and never over what is not ours."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from greenrota.errors import Place, Problem, ProblemsFound

STDOUT = Path("-")

Force = Annotated[
    bool,
    typer.Option("--force", help="Replace FILE even if it is not ours or was edited.", show_default=False),
]

SvgFile = Annotated[
    Path | None, typer.Option("--svg", metavar="FILE", help="Write a picture (SVG).", show_default=False)
]


class SheetSize(StrEnum):
    """Papers that whole sheets are made for."""

    a4 = "a4"
    letter = "letter"


def may_write(path: Path, mark: str, force: bool, plan: Path, *others: Path) -> None:
    """Refuse a file that should not be written; `mark` says what it is to hold, as in `write_paper`.

    A name must end as its content does. The plan, its logbook and what is remembered beside it are never replaced,
    nor those of the `others`, also plans. A file that we did not make for this plan, or that was edited since, is
    replaced only with `force`; an empty one holds nothing that could be lost.
    Raises ProblemsFound with status 2: "file-exists" or "file-suffix".
    """
    from greenrota.views.paper.stamp import is_ours

    if path == STDOUT:
        return
    never = [each for owner in (plan, *others) for each in belongings(owner)]
    if any(path.exists() and other.exists() and path.samefile(other) for other in never):
        raise _refused("file-exists", path, "this is the plan or belongs to it", "choose another name")
    if path.exists() and not path.is_file():  # a pipe or a device: it has no content that a name could tell
        return
    _want_suffix(path, mark)
    held = path.read_bytes() if path.is_file() and not force else b""
    if held and not is_ours(held, _identity(plan)):
        what = "there is a file already that greenrota did not make for this plan, or that was edited since"
        raise _refused("file-exists", path, what, "choose another name, or replace it with --force")


def write_paper(path: Path, data: bytes, mark: str, force: bool, plan: Path) -> None:
    """Write a file of ours with its stamp and say so on stderr; see `may_write` for what is refused.

    `mark` is that of the content: HTML_MARK, SVG_MARK, PDF_MARK or PRODID. In place of a file `-` is stdout.
    """
    from greenrota.cli.system import out
    from greenrota.logbook.swap import write_beside_and_swap
    from greenrota.views.paper.stamp import stamped

    may_write(path, mark, force, plan)
    made = stamped(data, _identity(plan))
    if path == STDOUT:
        out.write_file(made)
        return
    write_beside_and_swap(path, made)
    out.note(f"wrote {path}")


def _want_suffix(path: Path, mark: str) -> None:
    """Refuse a name that says something else than the file would hold."""
    content, suffixes = _contents()[mark]
    if path.suffix.lower() not in suffixes:
        what = f"what is written here is {content}, and the name says something else"
        raise _refused("file-suffix", path, what, f"name it {path.stem or path.name}{suffixes[0]}")


def _contents() -> dict[str, tuple[str, tuple[str, ...]]]:
    """By mark: what the file holds, and how its name may end, the usual ending first."""
    from greenrota.views.calendar.calendar import PRODID
    from greenrota.views.paper.page import HTML_MARK
    from greenrota.views.paper.svg import SVG_MARK
    from greenrota.views.paper.typeset import PDF_MARK

    return {
        HTML_MARK: ("a page (HTML)", (".html", ".htm")),
        SVG_MARK: ("a picture (SVG)", (".svg",)),
        PDF_MARK: ("a PDF", (".pdf",)),
        PRODID: ("a calendar (iCalendar)", (".ics", ".ical")),
    }


def _identity(plan: Path) -> str:
    """What tells the plan from others in a stamp. The plan has been read before, so it is sound."""
    import tomllib

    from greenrota.views.paper.stamp import plan_identity

    plan_table = tomllib.loads(plan.read_bytes().decode("utf-8-sig").replace("\r\n", "\n"))
    return plan_identity(plan.stem, str(plan_table.get("rota", {}).get("name", "")))


def write_svg(path: Path, drawn: str, force: bool, plan: Path) -> None:
    """As `write_paper`, for a picture."""
    from greenrota.views.paper.svg import SVG_MARK

    write_paper(path, drawn.encode(), SVG_MARK, force, plan)


def belongings(plan: Path) -> tuple[Path, ...]:
    """The plan and what lies beside it that is no paper: logbook and archives, its last number, calendar exports."""
    from greenrota.cli.system.plan_path import logbook_path
    from greenrota.logbook.archive.reading import archive_paths
    from greenrota.logbook.tail import memory_path

    book = logbook_path(plan)
    return plan, book, *archive_paths(book), memory_path(book), exported_path(plan)


def exported_path(plan: Path) -> Path:
    """The record of earlier calendar exports: `<plan stem>.calendar.json` beside the plan.

    >>> exported_path(Path("shelf/plan.toml")).as_posix()
    'shelf/plan.calendar.json'
    """
    return plan.with_suffix(".calendar.json")


def pdf_extra_missing() -> ProblemsFound:
    """That the package which sets PDF pages is not installed, and what to do instead; status 2."""
    what = "the package that sets PDF pages is not installed"
    hint = 'pip install "greenrota[pdf]"; or write --html FILE, which prints as well from any browser'
    return ProblemsFound([Problem("pdf-extra-missing", Place("--pdf"), what, hint)], status=2)


def _refused(code: str, path: Path, what: str, hint: str) -> ProblemsFound:
    return ProblemsFound([Problem(code, Place(str(path)), what, hint)], status=2)
