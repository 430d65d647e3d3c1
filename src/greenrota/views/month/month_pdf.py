"""The page of a month as PDF, or its two pages."""

from __future__ import annotations

from dataclasses import asdict

from greenrota.views.month.month import Month
from greenrota.views.month.month_fit import LARGEST_PT, SHARES, SMALLEST_PT, month_pages
from greenrota.views.paper.page import Paper
from greenrota.views.paper.typeset import paper_size, typeset


def month_pdf(month: Month, paper: Paper) -> bytes:
    """A PDF of one page, or two; equal months give equal bytes.

    Raises ImportError where the typesetter (extra `pdf`) is not installed.
    """
    return typeset("greenrota.views.month", "month", page_data(month, paper))


def page_data(month: Month, paper: Paper) -> dict[str, object]:
    """All that is printed of a month, as the typesetter gets it."""
    pages = month_pages(month, paper)
    return {
        **paper_size(paper),
        "title": pages.title,
        "pages": [asdict(sheet) for sheet in pages.sheets],
        "shares": SHARES,
        "largest_pt": LARGEST_PT,
        "smallest_pt": SMALLEST_PT,
    }
