"""Labels for vessels and bottles: what each says, and sheets of them in sizes given in mm."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from greenrota.rota.plan import Nutrient
from greenrota.rota.ration import keeps_days
from greenrota.rota.rota import Rota
from greenrota.rota.shelf import Batch, Bottle
from greenrota.rota.standing import choice_of
from greenrota.views import amount
from greenrota.views.markup import Markup, element
from greenrota.views.page import Paper, document, named, paper_css

NOT_FOOD = "NOT FOOD"
FROM_CHILDREN = (
    "keep from children"  # on every bottle, for it stands where hands reach; the caution is `food_fridge`
)


@dataclass(frozen=True, slots=True)
class Label:
    """One label: `code` is what a camera reads (a batch id or a bottle's), `lines` stand below the title."""

    title: str
    code: str
    lines: tuple[str, ...]


def labels(rota: Rota, until: date) -> list[Label]:
    """Labels for what is there on the day the rota is planned from, and for what begins up to a day, included.

    Batches in vessels, bottles of harvested feed, bottles of living culture in the fridge, nutrient bottles.
    """
    begun = _batches(rota, until)
    return [
        *(_batch_label(rota, batch) for batch in begun),
        *_feed_labels(rota, until),
        *(_bottle_label(bottle) for bottle in _bottles(rota, until)),
        *(_nutrient_label(nutrient) for nutrient in rota.plan.nutrients.values()),
    ]


def _batches(rota: Rota, until: date) -> list[Batch]:
    standing = [each.batch for each in rota.shelf.standing.values()]
    coming = [
        visit.batch
        for visit in rota.forecast.visits
        if visit.kind in ("start", "reseed") and visit.on <= until
    ]
    return list({batch.id: batch for batch in (*standing, *coming)}.values())


def _batch_label(rota: Rota, batch: Batch) -> Label:
    lines = [
        rota.plan.strains[batch.strain].title,
        f"from {batch.parent}",
        f"started {batch.started}",
        f"{rota.benches[batch.vessel].salinity_psu:.3g} psu",
    ]
    choice = choice_of(rota, batch.id)
    ripe_on = None if choice is None else choice.ahead.pinned_on or choice.ahead.ripe_on
    if choice is not None and ripe_on is not None:
        lines.append(f"ripe from {ripe_on}")
        if choice.ahead.over_on is not None:
            lines.append(f"to {choice.ahead.over_on}")
    return Label(batch.id, batch.id, tuple(lines))


def _feed_labels(rota: Rota, until: date) -> Iterable[Label]:
    keeps = keeps_days(rota.plan)
    for lot in rota.forecast.shelf.lots:
        if rota.as_of <= lot.on <= until:
            last = date.fromordinal(lot.on.toordinal() + keeps)
            lines = (
                lot.strain,
                f"harvested {lot.on}",
                f"feed until {last}",
                f"{amount.million_cells(lot.broth.density_per_ml)}",
                FROM_CHILDREN,
            )
            yield Label(f"feed {lot.batch}", lot.batch, lines)


def _bottles(rota: Rota, until: date) -> list[Bottle]:
    there = {**rota.shelf.bottles, **rota.forecast.shelf.filled}
    return [b for name, b in there.items() if name in rota.shelf.bottles or rota.as_of <= b.filled <= until]


def _bottle_label(bottle: Bottle) -> Label:
    name = bottle.id.split(":", 1)[-1]
    kind = "starter" if bottle.id.startswith("starter:") else "fridge back-up"
    lines = [
        bottle.strain,
        f"{kind}, since {bottle.filled}",
        f"{amount.million_cells(bottle.density_per_ml)}",
        FROM_CHILDREN,
    ]
    return Label(name if kind == "starter" else f"back-up {name}", bottle.id, tuple(lines))


def _nutrient_label(nutrient: Nutrient) -> Label:
    opened = "opened ________" if nutrient.opened is None else f"opened {nutrient.opened}"
    dose = f"{nutrient.dose_ml_per_l:.3g} mL for each litre"
    lines = ("nutrient", nutrient.medium.title, dose, opened, FROM_CHILDREN)
    return Label(nutrient.name, f"nutrient:{nutrient.name}", lines)


@dataclass(frozen=True, slots=True)
class Cut:
    """The size of a label in mm."""

    width_mm: float
    height_mm: float


def per_page(cut: Cut, paper: Paper) -> tuple[int, int]:
    """Labels across and down that a page holds between its margins; 0 where not even one fits.

    >>> from greenrota.views.page import PAPERS
    >>> per_page(Cut(62.0, 38.0), PAPERS["a4"])
    (3, 7)
    """
    width_mm, height_mm = paper.room_mm
    return int((width_mm + 1e-9) // cut.width_mm), int((height_mm + 1e-9) // cut.height_mm)


_CSS = """
.sheet {{ display: grid; grid-template-columns: repeat({across}, {width:g}mm); grid-auto-rows: {height:g}mm;
  justify-content: center; break-after: page; }}
.sheet:last-child {{ break-after: auto; }}
.label {{ border: 0.1mm dashed; padding: {pad:g}mm; overflow: hidden; display: flex; gap: {pad:g}mm;
  break-inside: avoid; }}
.label > div {{ flex: 1; min-width: 0; }}
.label h2 {{ font-size: 1.25em; }}
.label p {{ font-size: 1em; }}
.label b {{ border: 0.3mm solid; padding: 0 0.3em; }}
.label svg {{ width: {code:g}mm; height: {code:g}mm; flex: none; }}
"""
_MM_PER_PT = 25.4 / 72.0  # exact: a typographic point is 1/72 in
_LETTER = 0.52  # mean width of a letter as a share of the type size, measured on a sans-serif
_LINE = 1.25  # height of a line, likewise
_LARGEST_PT, _SMALLEST_PT = 12.0, 4.5  # our choice
_CODE_SHARE, _LARGEST_CODE_MM = 0.42, 16.0  # of the label's height, for the code; our choice


def labels_html(told: Sequence[Label], cut: Cut, paper: Paper, codes: Sequence[Markup | None]) -> str:
    """Sheets of labels, one after the other; `codes` are pictures for a camera, or None, in the same order.

    ValueError if not even one label fits the page.
    """
    across, down = per_page(cut, paper)
    if across * down == 0:
        raise ValueError(f"a label of {cut.width_mm:g} x {cut.height_mm:g} mm does not fit {paper.name}")
    pad = min(2.0, 0.05 * min(cut.width_mm, cut.height_mm))
    code_mm = min(_LARGEST_CODE_MM, _CODE_SHARE * cut.height_mm)
    css = _CSS.format(across=across, width=cut.width_mm, height=cut.height_mm, pad=pad, code=code_mm)
    drawn = [
        _label(label, code, _type_pt(label, cut, pad, code_mm if code else 0.0))
        for label, code in zip(told, codes, strict=True)
    ]
    step = across * down
    pages = [element("div", *drawn[n : n + step], class_="sheet") for n in range(0, len(drawn), step)]
    return document("labels", paper_css(paper) + css, pages)


def _type_pt(label: Label, cut: Cut, pad_mm: float, code_mm: float) -> float:
    """The largest type, by quarter points, at which a label should hold its lines with room to spare."""
    width_mm, height_mm = cut.width_mm - 3 * pad_mm - code_mm, 0.9 * (cut.height_mm - 2 * pad_mm)
    pt = _LARGEST_PT
    while pt > _SMALLEST_PT:
        across = max(1.0, 0.95 * width_mm / (pt * _MM_PER_PT * _LETTER))
        lines = 1.25 * -(-len(label.title) * 1.25 // across) + sum(
            -(-len(line) // across) for line in label.lines
        )
        if (lines + 1.3) * pt * _MM_PER_PT * _LINE <= height_mm:
            break
        pt -= 0.25
    return pt


def _label(label: Label, code: Markup | None, pt: float) -> Markup:
    told = element(
        "div",
        element("h2", named(label.title)),
        *(element("p", named(line)) for line in label.lines),
        element("b", NOT_FOOD),
    )
    return element("div", told, code, class_="label", style=f"font-size: {pt:g}pt")
