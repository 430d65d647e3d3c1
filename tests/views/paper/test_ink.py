"""Inks: contrast as the published guideline wants it, reckoned by its own formula.

Published: WCAG 2.2 (W3C Recommendation, 2023), success criterion 1.4.3: at least 4.5:1 for text; definitions of
"contrast ratio" and "relative luminance" (w3.org/TR/WCAG22/#dfn-contrast-ratio, #dfn-relative-luminance).
"""

from __future__ import annotations

import re

import pytest
from made_papers import rota_of

from greenrota.views.card.card_page import cards_html
from greenrota.views.card.nutrient_card import nutrient_card
from greenrota.views.feed.bottles import BottlesReport
from greenrota.views.feed.svg_bottles import bottles_svg
from greenrota.views.paper.ink import FAINT, INK, PAPER, SECOND, SHADE
from greenrota.views.paper.page import PAPERS
from greenrota.views.sheet.sheet import sheet_html
from greenrota.views.tasks.svg_strip import strip_svg
from greenrota.views.vessel.svg_growth import growth_svg

LEAST = 4.5  # success criterion 1.4.3


def luminance(ink: str) -> float:
    parts = [int(ink[n : n + 2], 16) / 255 for n in (1, 3, 5)]
    red, green, blue = (p / 12.92 if p <= 0.04045 else ((p + 0.055) / 1.055) ** 2.4 for p in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


def test_the_formula_gives_the_guideline_its_own_ends() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(
        21.0, rel=1e-12
    )  # published: ratios run from 1 to 21
    assert contrast("#767676", "#ffffff") == pytest.approx(
        4.54, abs=0.005
    )  # derived by hand: 1.05/(0.1812+0.05)


# By hand from the pages: what is drawn on what.
USED_ON = ((INK, PAPER), (SECOND, PAPER), (INK, SHADE), (SECOND, SHADE), (INK, FAINT))


@pytest.mark.parametrize(("ink", "ground"), USED_ON)
def test_everything_that_is_drawn_stands_out(ink: str, ground: str) -> None:
    assert contrast(ink, ground) >= LEAST


def test_no_other_ink_is_used() -> None:
    rota = rota_of(2)
    printed = [
        cards_html([nutrient_card(rota, "f2")], PAPERS["a6"]),
        sheet_html(rota, rota.tasks, PAPERS["a4"]),
        growth_svg(rota, "v0"),
        strip_svg(rota),
        bottles_svg(BottlesReport.of(rota.plan, rota.rations())),
    ]
    for page in printed:
        assert set(re.findall(r"#[0-9a-fA-F]{3,8}\b", page)) <= {INK, PAPER, SECOND, SHADE}
        assert not re.search(r'(fill|stroke|color)[=:]\s*"?(?!#|none|exact)[a-z]', page)
