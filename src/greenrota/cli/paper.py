"""Files that are printed, shown or imported: written whole, and never over what is not ours."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from greenrota.errors import Place, Problem, ProblemsFound

STDOUT = Path("-")

Force = Annotated[
    bool,
    typer.Option("--force", help="Replace FILE even if it was not made by greenrota.", show_default=False),
]

SvgFile = Annotated[
    Path | None, typer.Option("--svg", metavar="FILE", help="Write a picture (SVG).", show_default=False)
]


class SheetSize(StrEnum):
    """Papers that whole sheets are made for."""

    a4 = "a4"
    letter = "letter"


def may_write(path: Path, mark: str, force: bool, never: Iterable[Path]) -> None:
    """Refuse a file that is there and does not carry our mark, unless `force`; `never` are not replaced at all.

    Raises ProblemsFound with status 2 and code "file-exists". An empty file holds nothing that could be lost.
    """
    if path == STDOUT:
        return
    if any(path.exists() and other.exists() and path.samefile(other) for other in never):
        raise _refused(path, "this is the plan or its logbook", "choose another name")
    if force or not path.is_file():
        return
    held = path.read_bytes()
    if held and mark.encode() not in held:
        raise _refused(
            path, "there is a file already, not made by greenrota", "choose another name, or --force"
        )


def write_paper(path: Path, data: bytes, mark: str, force: bool, plan: Path) -> None:
    """Write a file of ours and say so on stderr; see `may_write` for what is refused. The plan is never replaced.

    In place of a file `-` is stdout.
    """
    from greenrota.cli import out
    from greenrota.logbook.swap import write_beside_and_swap

    may_write(path, mark, force, belongings(plan))
    if path == STDOUT:
        out.write_file(data)
        return
    write_beside_and_swap(path, data)
    out.note(f"wrote {path}")


def write_svg(path: Path, drawn: str, force: bool, plan: Path) -> None:
    """As `write_paper`, for a picture."""
    from greenrota.views.svg import SVG_MARK

    write_paper(path, drawn.encode(), SVG_MARK, force, plan)


def belongings(plan: Path) -> tuple[Path, ...]:
    """The plan and what lies beside it that is no paper: logbook and the record of calendar exports."""
    from greenrota.cli.plan_path import logbook_path

    return plan, logbook_path(plan), exported_path(plan)


def exported_path(plan: Path) -> Path:
    """Where it is remembered what calendars were told: `<plan stem>.calendar.json` beside the plan.

    >>> exported_path(Path("shelf/plan.toml")).as_posix()
    'shelf/plan.calendar.json'
    """
    return plan.with_suffix(".calendar.json")


def pdf_extra_missing() -> ProblemsFound:
    """That the package which sets PDF pages is not installed, and what to do instead; status 2."""
    what = "the package that sets PDF pages is not installed"
    hint = 'pip install "greenrota[pdf]"; or write --html FILE, which prints as well from any browser'
    return ProblemsFound([Problem("pdf-extra-missing", Place("--pdf"), what, hint)], status=2)


def _refused(path: Path, what: str, hint: str) -> ProblemsFound:
    return ProblemsFound([Problem("file-exists", Place(str(path)), what, hint)], status=2)
