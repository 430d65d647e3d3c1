"""Sheets of labels in sizes given in mm, each label in type as large as its area allows."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil
from typing import NamedTuple

from greenrota.views.labels.label import NOT_FOOD, Label
from greenrota.views.paper.markup import Markup, element
from greenrota.views.paper.page import Paper, document, named, paper_css
from greenrota.views.text.lettering import display_width


class Cut(NamedTuple):
    """The size of a label in mm."""

    width_mm: float
    height_mm: float


def per_page(cut: Cut, paper: Paper) -> tuple[int, int]:
    """Labels across and down that a page holds between its margins; 0 where not even one fits.

    >>> from greenrota.views.paper.page import PAPERS
    >>> per_page(Cut(62.0, 38.0), PAPERS["a4"])
    (3, 7)
    """
    width_mm, height_mm = paper.room_mm
    return int((width_mm + 1e-9) // cut.width_mm), int((height_mm + 1e-9) // cut.height_mm)


_CSS = """
.sheet {{ display: grid; grid-template-columns: repeat({across}, {width:g}mm); grid-auto-rows: {height:g}mm;
  justify-content: center; break-after: page; }}
.sheet:last-child {{ break-after: auto; }}
.label {{ border: 0.1mm dashed; padding: {pad:g}mm; overflow: hidden; display: grid; gap: 0 {pad:g}mm;
  grid-template: auto minmax(0, 1fr) auto / 1fr auto; break-inside: avoid; line-height: {line:g}; }}
.label h2 {{ grid-column: 1 / -1; line-height: {title_line:g}; }}
.label > .whole {{ grid-column: 1 / -1; align-self: stretch; overflow: hidden; }}
.label > div {{ min-width: 0; align-self: end; }}
.label b {{ border: 0.3mm solid; padding: 0 0.3em; }}
.label svg {{ width: {code:g}mm; height: {code:g}mm; align-self: end; }}
"""
_MM_PER_PT = 25.4 / 72.0  # exact: a typographic point is 1/72 in
_LETTER, _BOLD = 0.53, 0.62  # mean width of a letter as a share of the type size, measured on a sans-serif
_LINE, _TITLE_LINE = 1.15, 1.05  # height of a line, likewise
_LARGEST_TITLE_PT = 48.0  # our choice
_VESSEL_PT, _BOTTLE_PT = (
    18.0,
    11.0,
)  # a title is folded before it gets smaller: name of a vessel, others; our choice
_LARGEST_PT, _SMALLEST_PT = 16.0, 4.5  # of the lines below; our choice
_LONG_WORD = 20  # letters; our choice
_BESIDE = 2  # the last lines stand beside the code, those before over the whole width; our choice
_TITLE_SHARE = 0.27  # of the label's height, that the title takes at most where it fits one line; our choice
_CODE_SHARE, _LARGEST_CODE_MM = 0.33, 14.0  # of the label's height, for the code; our choice


class Room(NamedTuple):
    """What the text of a label has, in mm: width and height inside its edge, the code's side, the gap beside it."""

    width_mm: float
    height_mm: float
    code_mm: float
    gap_mm: float


def labels_html(labels: Sequence[Label], cut: Cut, paper: Paper, codes: Sequence[Markup | None]) -> str:
    """Sheets of labels, one after the other; `codes` are pictures for a camera, or None, in the same order.

    ValueError if not even one label fits the page.
    """
    across, down = per_page(cut, paper)
    if across * down == 0:
        raise ValueError(f"a label of {cut.width_mm:g} x {cut.height_mm:g} mm does not fit {paper.name}")
    pad = min(2.0, 0.05 * min(cut.width_mm, cut.height_mm))
    code_mm = min(_LARGEST_CODE_MM, _CODE_SHARE * cut.height_mm)
    css = _CSS.format(
        across=across,
        width=cut.width_mm,
        height=cut.height_mm,
        pad=pad,
        code=code_mm,
        line=_LINE,
        title_line=_TITLE_LINE,
    )
    inner = Room(cut.width_mm - 2 * pad - 0.2, cut.height_mm - 2 * pad - 0.2, code_mm, pad)
    drawn = [
        _label(label, code, *type_pt(label, inner if code else inner._replace(code_mm=0.0)))
        for label, code in zip(labels, codes, strict=True)
    ]
    step = across * down
    pages = [element("div", *drawn[n : n + step], class_="sheet") for n in range(0, len(drawn), step)]
    return document("labels", paper_css(paper) + css, pages)


def type_pt(label: Label, room: Room) -> tuple[float, float]:
    """The type of the title and of the lines in points: the title as large as fits one line, the lines fill the rest.

    A name too long for one line is folded, that of a vessel at 18 pt, and set smaller where the lines would find no
    room.
    """
    title_pt = min(_LARGEST_TITLE_PT, _TITLE_SHARE * room.height_mm / (_MM_PER_PT * _TITLE_LINE))
    title_pt = min(title_pt, room.width_mm / (_ems(label.title, _BOLD) * _MM_PER_PT))
    title_pt = max(_VESSEL_PT if label.on_vessel else _BOTTLE_PT, int(title_pt * 4) / 4)
    while True:
        rest_mm = room.height_mm - _title_mm(label, room, title_pt)
        pt = _lines_pt(label, room, rest_mm)
        if pt >= _SMALLEST_PT or title_pt <= _SMALLEST_PT:
            return title_pt, max(pt, _SMALLEST_PT)
        title_pt -= 0.5


def _title_mm(label: Label, room: Room, pt: float) -> float:
    em_mm = pt * _MM_PER_PT
    across_ems = room.width_mm / em_mm - _torn(label.title)
    return ceil(_ems(label.title, _BOLD) / max(1.0, across_ems) - 1e-9) * em_mm * _TITLE_LINE


def _lines_pt(label: Label, room: Room, height_mm: float) -> float:
    """The largest type, by quarter points, at which the lines and NOT FOOD fit a height; 0 where none does."""
    pt = _LARGEST_PT
    whole, beside = _parts(label)
    while pt >= _SMALLEST_PT:
        em_mm = pt * _MM_PER_PT
        above = sum(_folded(line, room.width_mm / em_mm) for line in whole)
        below = (
            sum(_folded(line, (room.width_mm - room.code_mm - room.gap_mm) / em_mm) for line in beside) + 1.2
        )
        if above * em_mm * _LINE + max(room.code_mm, below * em_mm * _LINE) <= 0.97 * height_mm:
            return pt
        pt -= 0.25
    return 0.0


def _folded(line: str, across_ems: float) -> int:
    return ceil(_ems(line, _LETTER) / max(1.0, 0.97 * across_ems - _torn(line)))


def _torn(text: str) -> float:
    """The part of a line, in widths of its type, that stays empty where a long word is broken anywhere."""
    return 1.2 if max(map(len, text.split()), default=0) > _LONG_WORD else 0.0


def _ems(text: str, usual: float) -> float:
    """About how wide a text is, in widths of its type size; what is wide anyhow counts whole."""
    wide = sum(1 for letter in text if letter in "MWmw@%")
    return max(0.01, usual * (display_width(text) - wide) + 1.1 * wide)


def _label(label: Label, code: Markup | None, title_pt: float, pt: float) -> Markup:
    whole, beside = ([element("p", named(line)) for line in part] for part in _parts(label))
    return element(
        "div",
        element("h2", named(label.title), style=f"font-size: {title_pt:g}pt"),
        element("div", *whole, class_="whole"),
        element("div", *beside, element("b", NOT_FOOD)),
        code,
        class_="label",
        style=f"font-size: {pt:g}pt",
    )


def _parts(label: Label) -> tuple[Sequence[str], Sequence[str]]:
    """The lines over the whole width, and those beside the code."""
    return label.lines[:-_BESIDE], label.lines[-_BESIDE:]
