"""`greenrota cautions`: every caution in full."""

from __future__ import annotations

from greenrota.cli.system import out


def cautions() -> None:
    """Every caution in full, and how well each is known.

    First what always holds, then what each word of care means. Needs no plan."""
    from greenrota.views.tasks.care import cautions_page

    out.write(cautions_page(out.screen_width()))
