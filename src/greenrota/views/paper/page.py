"""Pages that print: paper sizes, the style that all printed matter shares, and the frame of a document.

A document needs nothing from outside: no script, no font, no picture; its own policy forbids them.
"""

from collections.abc import Iterable
from typing import NamedTuple

from greenrota.views.paper.ink import INK, PAPER, SECOND, SHADE
from greenrota.views.paper.markup import Markup, element

HTML_MARK = '<meta name="generator" content="greenrota">'  # tells our own files from those of others
_POLICY = "default-src 'none'; style-src 'unsafe-inline'"


class Paper(NamedTuple):
    """A sheet of paper, upright, in mm; `margin_mm` is what stays white on every side."""

    name: str
    width_mm: float
    height_mm: float
    margin_mm: float

    def turned(self) -> "Paper":
        """The same sheet lying on its long side."""
        return Paper(self.name, self.height_mm, self.width_mm, self.margin_mm)

    @property
    def room_mm(self) -> tuple[float, float]:
        """Width and height between the margins."""
        return self.width_mm - 2 * self.margin_mm, self.height_mm - 2 * self.margin_mm


# Sizes: A series ISO 216; Letter 8.5 x 11 in, ANSI/ASME Y14.1; 4 x 6 in by its name. Margins: our choice.
PAPERS = {
    paper.name: paper
    for paper in (
        Paper("a4", 210.0, 297.0, 12.0),
        Paper("a5", 148.0, 210.0, 9.0),
        Paper("a6", 105.0, 148.0, 6.0),
        Paper("letter", 215.9, 279.4, 12.0),
        Paper("4x6", 101.6, 152.4, 6.0),
    )
}

_SHARED = f"""
* {{ box-sizing: border-box; }}
html {{ font-family: sans-serif; line-height: 1.25; color: {INK}; background: {PAPER}; }}
body {{ margin: 0 auto; overflow-wrap: anywhere; }}
h1, h2, h3, p, dl, dd, ul {{ margin: 0; padding: 0; }}
h1, h2, h3 {{ line-height: 1.1; break-after: avoid; }}
table {{ border-collapse: collapse; width: 100%; }}
th, td {{ text-align: left; vertical-align: top; }}
tr, li {{ break-inside: avoid; }}
bdi {{ unicode-bidi: isolate; }}
svg {{ display: block; width: 100%; height: auto; font-family: sans-serif; }}
.small {{ color: {SECOND}; }}
.warn {{ border: 0.6mm solid {INK}; }}
.shade {{ background: {SHADE}; }}
"""


def paper_css(paper: Paper) -> str:
    """CSS that sets paper size and margins, and the same width on screen."""
    return (
        f"@page {{ size: {paper.width_mm:g}mm {paper.height_mm:g}mm; margin: {paper.margin_mm:g}mm; }}\n"
        f"@media screen {{ body {{ width: {paper.room_mm[0]:g}mm; padding: {paper.margin_mm:g}mm 0; }} }}"
    )


def document(title: str, css: str, body: Iterable[Markup]) -> str:
    """A whole HTML document, a newline at its end; `css` follows the shared style and must hold no text of the plan."""
    head = element(
        "head",
        element("meta", charset="utf-8"),
        Markup(HTML_MARK),
        Markup(f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">'),
        element("meta", name="viewport", content="width=device-width, initial-scale=1"),
        element("title", title),
        element("style", Markup(_SHARED + css)),
    )
    page = element("html", head, element("body", *body), lang="en")
    return f"<!DOCTYPE html>\n{page}\n"


def named(text: str) -> Markup:
    """A text with a typed name, in an element of its own: right-to-left letters in it turn nothing around it."""
    return element("bdi", text)
