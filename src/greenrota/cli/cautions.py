"""`greenrota cautions`: every caution in full."""

from __future__ import annotations

from greenrota.cli import out


def cautions() -> None:
    """Every caution in full: what always holds, and what each word of care means.

    Needs no plan. In brackets stands how well each caution is known."""
    from greenrota.views.care import cautions_page

    out.write(cautions_page(out.screen_width()))
