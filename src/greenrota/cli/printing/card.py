"""`greenrota card`: dose cards for the wall and the bottle."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from greenrota.cli.options import completion
from greenrota.cli.options.options import AsJson, OnDay, PlanFile
from greenrota.cli.options.vessel_name import known_nutrient, known_vessel
from greenrota.cli.system import out
from greenrota.cli.system.paper import Force, pdf_extra_missing, write_paper
from greenrota.cli.system.plan_path import find_plan
from greenrota.cli.system.rota_at import rota_at

if TYPE_CHECKING:
    from greenrota.rota.plan import Plan
    from greenrota.views.card.card import Card


class CardSize(StrEnum):
    """Papers that a card is made for."""

    a4 = "a4"
    a5 = "a5"
    a6 = "a6"
    letter = "letter"
    photo = "4x6"


Named = Annotated[
    str | None,
    typer.Option(
        "--nutrient",
        metavar="NAME",
        help="Card of this nutrient bottle.",
        show_default=False,
        autocompletion=completion.nutrients,
    ),
]
OfVessel = Annotated[
    str | None,
    typer.Option(
        "--vessel",
        metavar="NAME",
        help="Card of this vessel.",
        show_default=False,
        autocompletion=completion.vessels,
    ),
]
HtmlFile = Annotated[
    Path | None,
    typer.Option("--html", metavar="FILE", help="Write a page that prints.", show_default=False),
]
PdfFile = Annotated[
    Path | None,
    typer.Option("--pdf", metavar="FILE", help='Write a PDF (needs the extra "pdf").', show_default=False),
]


def card(
    plan: PlanFile = None,
    nutrient: Named = None,
    vessel: OfVessel = None,
    html: HtmlFile = None,
    pdf: PdfFile = None,
    size: Annotated[CardSize, typer.Option("--size", help="Paper; 4x6 is in inches.")] = CardSize.a6,
    on: OnDay = None,
    as_json: AsJson = False,
    force: Force = False,
) -> None:
    """Dose cards: what is poured, how much, with drops as a hint.

    Without --nutrient and --vessel one for every bottle and vessel."""
    from greenrota.views.card.card import card_text
    from greenrota.views.card.nutrient_card import nutrient_card
    from greenrota.views.card.vessel_card import vessel_card

    path = find_plan(plan, Path.cwd())
    rota = rota_at(path, on)
    bottles, vessels = _asked(rota.plan, nutrient, vessel)
    cards = [*(nutrient_card(rota, each) for each in bottles), *(vessel_card(rota, each) for each in vessels)]
    if html is not None:
        from greenrota.views.card.card_page import cards_html
        from greenrota.views.paper.page import HTML_MARK, PAPERS

        paper = PAPERS[size.value]
        write_paper(html, cards_html(cards, paper).encode(), HTML_MARK, force, path)
    if pdf is not None:
        from greenrota.views.paper.typeset import PDF_MARK

        write_paper(pdf, _pdf(cards, size), PDF_MARK, force, path)
    if as_json:
        from greenrota.views.card.card_json import cards_json

        out.write(cards_json(cards, rota.as_of))
    elif html is None and pdf is None:
        out.write("\n\n\n".join(card_text(each, out.screen_width()) for each in cards))


def _asked(plan: Plan, nutrient: str | None, vessel: str | None) -> tuple[list[str], list[str]]:
    """The bottles and vessels whose cards are wanted: those named, or all where none is."""
    if nutrient is None and vessel is None:
        return list(plan.nutrients), [each.name for each in plan.vessels]
    bottles = [] if nutrient is None else [known_nutrient(plan, nutrient, "--nutrient")]
    return bottles, [] if vessel is None else [known_vessel(plan, vessel, "--vessel")]


def _pdf(cards: list[Card], size: CardSize) -> bytes:
    from greenrota.views.card.card_pdf import cards_pdf
    from greenrota.views.paper.page import PAPERS

    try:
        return cards_pdf(cards, PAPERS[size.value])
    except ImportError:
        raise pdf_extra_missing() from None
