"""QR codes with the id of a batch or bottle, drawn by an optional package."""

from __future__ import annotations

from greenrota.views.paper.markup import Markup


def code_svg(text: str) -> Markup:
    """A QR code of a text as an SVG element without a size of its own.

    Raises ImportError where the package that draws it (extra `qr`) is not installed.
    """
    import segno

    drawn = segno.make(text, micro=False, error="m")
    return Markup(drawn.svg_inline(omitsize=True, svgclass=None, lineclass=None))
