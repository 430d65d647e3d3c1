"""`greenrota month`: a month at a glance, on the screen or on paper."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from greenrota.cli.options.options import ComingMonth, FromDay, OnDay, PlanFile, one_form
from greenrota.cli.system import out
from greenrota.cli.system.next_month import next_month
from greenrota.cli.system.paper import Force, SheetSize, pdf_extra_missing, write_paper
from greenrota.cli.system.plan_path import find_plan
from greenrota.cli.system.rota_at import rota_at

if TYPE_CHECKING:
    from greenrota.views.month.month import Month
    from greenrota.views.paper.page import Paper


HtmlFile = Annotated[
    Path | None,
    typer.Option(
        "--html",
        metavar="FILE",
        help="Write one page that prints, two where a page is too full.",
        show_default=False,
    ),
]
PdfFile = Annotated[
    Path | None,
    typer.Option(
        "--pdf", metavar="FILE", help='The same as PDF (needs the extra "pdf").', show_default=False
    ),
]


def month(
    plan: PlanFile = None,
    from_day: FromDay = None,
    coming: ComingMonth = False,
    html: HtmlFile = None,
    pdf: PdfFile = None,
    size: Annotated[SheetSize, typer.Option("--size", help="Paper, lying.")] = SheetSize.a4,
    on: OnDay = None,
    force: Force = False,
) -> None:
    """A month at a glance: visits, ripe days, days away.

    Five weeks from the week of --from, or the coming calendar month; on paper with doses and salt water."""
    from greenrota.views.month.month import month as month_of
    from greenrota.views.month.month_page import month_html
    from greenrota.views.month.month_text import month_text
    from greenrota.views.paper.page import HTML_MARK, PAPERS

    one_form({"--from": from_day is not None, "--next": coming})
    path, paper = find_plan(plan, Path.cwd()), PAPERS[size.value].turned()
    if coming:
        ahead = next_month(path, on)
        found = month_of(ahead.rota, ahead.first, ahead.last)
    else:
        found = month_of(rota_at(path, on), from_day)
    if html is not None:
        write_paper(html, month_html(found, paper).encode(), HTML_MARK, force, path)
    if pdf is not None:
        from greenrota.views.paper.typeset import PDF_MARK

        write_paper(pdf, _pdf(found, paper), PDF_MARK, force, path)
    if html is None and pdf is None:
        out.write(month_text(found, out.screen_width(), out.screen_height()))


def _pdf(found: Month, paper: Paper) -> bytes:
    from greenrota.views.month.month_pdf import month_pdf

    try:
        return month_pdf(found, paper)
    except ImportError:
        raise pdf_extra_missing() from None
