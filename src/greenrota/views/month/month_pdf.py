"""The page of a month as PDF."""

from __future__ import annotations

from dataclasses import asdict

from greenrota.views.month.month import Month
from greenrota.views.month.month_page import LARGEST_PT, SMALLEST_PT
from greenrota.views.month.month_sheet import month_sheet
from greenrota.views.paper.page import Paper
from greenrota.views.paper.typeset import paper_size, typeset


def month_pdf(month: Month, paper: Paper) -> bytes:
    """A PDF with the page of a month; equal months give equal bytes.

    Raises ImportError where the typesetter (extra `pdf`) is not installed.
    """
    return typeset("greenrota.views.month", "month", page_data(month, paper))


def page_data(month: Month, paper: Paper) -> dict[str, object]:
    """All that is printed of a month, as the typesetter gets it."""
    return {
        **paper_size(paper),
        **asdict(month_sheet(month)),
        "largest_pt": LARGEST_PT,
        "smallest_pt": SMALLEST_PT,
    }
