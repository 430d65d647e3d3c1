"""`greenrota labels`: labels for vessels and bottles, by the sheet."""

from __future__ import annotations

import re
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from greenrota.cli.options.options import OnDay, PlanFile
from greenrota.cli.system import out
from greenrota.cli.system.paper import Force, SheetSize, write_paper
from greenrota.cli.system.plan_path import find_plan
from greenrota.cli.system.rota_at import rota_at
from greenrota.errors import Place, Problem, ProblemsFound

if TYPE_CHECKING:
    from greenrota.views.labels.label import Label
    from greenrota.views.labels.label_page import Cut
    from greenrota.views.paper.markup import Markup

_CUT = re.compile(r"([0-9]{1,3}(?:\.[0-9])?)x([0-9]{1,3}(?:\.[0-9])?)", re.ASCII)
_LEAST_MM = (30.0, 18.0)  # our choice: on less nothing can be read
_USUAL_DAYS = 7  # our choice: a week's labels


def labels(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="Where to write the page (HTML).")],
    plan: PlanFile = None,
    label: Annotated[str, typer.Option("--label", metavar="WxH", help="Size of a label in mm.")] = "62x38",
    page: Annotated[SheetSize, typer.Option("--page", help="Paper.")] = SheetSize.a4,
    days: Annotated[
        int, typer.Option("--days", min=1, max=400, metavar="N", help="Labels for what begins in these days.")
    ] = _USUAL_DAYS,
    on: OnDay = None,
    force: Force = False,
) -> None:
    """Labels for vessels and bottles, to print and cut out.

    With the extra "qr" each carries a small code that holds its batch id."""
    from greenrota.views.labels.label import labels as labels_of
    from greenrota.views.labels.label_page import labels_html, per_page
    from greenrota.views.paper.page import HTML_MARK, PAPERS

    cut, paper = _cut(label), PAPERS[page.value]
    if 0 in per_page(cut, paper):
        raise _refused(label, f"does not fit {page.value} between its margins")
    path = find_plan(plan, Path.cwd())
    rota = rota_at(path, on)
    written = labels_of(rota, rota.as_of + timedelta(days=days - 1))
    made = labels_html(written, cut, paper, _codes(written))
    write_paper(file, made.encode(), HTML_MARK, force, path)


def _cut(text: str) -> Cut:
    from greenrota.views.labels.label_page import Cut

    found = _CUT.fullmatch(text)
    if found is None:
        raise _refused(text, "is no size of a label")
    cut = Cut(float(found[1]), float(found[2]))
    if cut.width_mm < _LEAST_MM[0] or cut.height_mm < _LEAST_MM[1]:
        raise _refused(text, f"is too small: at least {_LEAST_MM[0]:g}x{_LEAST_MM[1]:g} mm is wanted")
    return cut


def _codes(written: list[Label]) -> list[Markup | None]:
    from greenrota.views.paper.camera import code_svg

    try:
        return [code_svg(each.code) for each in written]
    except ImportError:
        out.note('labels without codes: pip install "greenrota[qr]" adds them')
        return [None] * len(written)


def _refused(text: str, what: str) -> ProblemsFound:
    hint = "write width x height in mm, for example 62x38"
    return ProblemsFound([Problem("label-size", Place("--label"), f'"{text}" {what}', hint)], status=2)
