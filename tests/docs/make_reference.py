"""The parts of the reference that are made from the program itself, and how to renew them.

A part stands in a page between `<!-- made: NAME -->` and `<!-- end -->`; the rest of a page is written by hand.

Run: python tests/docs/make_reference.py
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import partial
from pathlib import Path

from command_pages import command_pages, log_options, reckon_pages, shared_table
from plan_keys import key_table, tables

from greenrota.culture.bench.sanitation import CAUTIONS
from greenrota.culture.bounds import bounds_for, plausible
from greenrota.culture.bounds.bounds import Bounds, shown, usual_span
from greenrota.culture.data.medium import Medium, media
from greenrota.culture.data.strain import Strain, strains
from greenrota.logbook.vocabulary import CAUSES, KEYS, KINDS
from greenrota.planfile.text.spelling import KINDS as QUANTITIES
from greenrota.planfile.text.spelling import SPELLINGS
from greenrota.rota.kinds import CLEANING, STRAIN_TOOLS, TASK_KINDS
from greenrota.rota.search.score import MEANINGS, WEIGHTS
from greenrota.rota.tasks.supplies import NOTHING, Supplies
from greenrota.views.away import visitor_note
from greenrota.views.card import vessel_card
from greenrota.views.reckon import reckoning

ROOT = Path(__file__).parents[2]
PAGES = (
    ROOT / "docs" / "model.md",
    ROOT / "docs" / "reference.md",
    *sorted((ROOT / "docs" / "reference").glob("*.md")),
)
_MADE = re.compile(r"(<!-- made: ([a-z-]+) -->\n).*?(<!-- end -->)", re.DOTALL)


def _table(titles: Iterable[str], rows: Iterable[Iterable[str]]) -> str:
    heads = list(titles)
    lines = [heads, ["---"] * len(heads), *(list(row) for row in rows)]
    return "\n".join(f"| {' | '.join(cell.replace('|', chr(92) + '|') for cell in row)} |" for row in lines)


def unit_table() -> str:
    """Every spelling of a unit, by what it measures."""
    by_measure: dict[str, list[str]] = {}
    for spelling, unit in SPELLINGS.items():
        by_measure.setdefault(unit.measures, []).append(f"`{spelling}`")
    example = {kind.measures: kind.example for kind in QUANTITIES.values()}
    rows = [(measures, " ".join(found), f'`"{example[measures]}"`') for measures, found in by_measure.items()]
    return _table(("what", "spellings", "example"), rows)


def log_kind_table() -> str:
    """Every kind of entry with the keys it takes; those it must have are marked."""
    rows = []
    for kind, rule in KINDS.items():
        own = [key for key in KEYS if key in rule.keys and key not in ("reason", "text")]
        instead = f", or {' and '.join(f'`{key}`' for key in rule.instead)}" if rule.instead else ""
        shown = [f"`{key}`{f' (needed{instead})' if key in rule.required else ''}" for key in own]
        if rule.any_of:
            shown = [f"one at least of {', '.join(f'`{key}`' for key in rule.any_of)}"]
        subject = "may be `-`" if rule.subject_free else "needed"
        rows.append((f"`{kind}`", subject, ", ".join(shown) or "-"))
    return _table(("kind", "vessel", "keys"), rows)


def log_key_table() -> str:
    """Every key of an entry: what it holds, and the option of `greenrota log` that writes it."""
    about = log_options()
    rows = [(f"`{key}`", sort.value, f"`--{key}`", about[key]) for key, sort in KEYS.items()]
    return _table(("key", "holds", "option", "meaning"), rows)


def cause_list() -> str:
    """The causes of a crash."""
    return ", ".join(f"`{cause}`" for cause in CAUSES)


def strain_tables() -> str:
    """Every shipped strain, figure by figure, each with its source and how far it was seen."""
    return "\n\n".join(map(_strain, strains().values()))


def _strain(strain: Strain) -> str:
    rows = [
        (f"`{key}`", f"{getattr(strain, key):.12g}", source.status, source.text)
        for key, source in strain.sources.items()
    ]
    return f"## {strain.name}\n\n{strain.title}, a {strain.group}.\n\n" + _table(
        ("figure", "value", "status", "source"), rows
    )


def medium_tables() -> str:
    """Every shipped medium, salt by salt."""
    return "\n\n".join(map(_medium, media().values()))


def _medium(medium: Medium) -> str:
    rows = [
        (
            c.name,
            c.formula,
            f"{c.final_mg_per_l:.6g}",
            f"{c.final_umol_per_l:.4g}",
            c.delivers or "-",
            c.status,
        )
        for c in medium.compounds
    ]
    brings = (
        f"At full strength it brings nitrogen {medium.nitrogen_umol_l:.1f}, phosphorus "
        f"{medium.phosphorus_umol_l:.1f} and silicon {medium.silicon_umol_l:.1f} umol/L."
    )
    source = f"Source: {medium.source} ({medium.status})."
    titles = ("salt", "formula", "mg/L", "umol/L", "brings", "status")
    return f"## {medium.name}\n\n{medium.title}. {brings}\n{source}\n\n{_table(titles, rows)}"


def weight_table() -> str:
    """The terms of the score, with what one unit of each costs."""
    rows = [(f"`{name}`", MEANINGS[name], f"{weight:g}") for name, weight in WEIGHTS.items()]
    return _table(("term", "counts", "weight"), rows)


def caution_table() -> str:
    """Every caution: its text, the tasks and the answers that show it, its source and status."""
    used = Supplies({"f2": 1.0}, NOTHING, 1.0, 1.0, 1.0, 1, 1.0, 1.0, 1.0).cautions
    answers = {
        **{f"reckon {name}": keys for name, keys in reckoning.CARE.items()},
        "supplies": used,
        "log crashed": CLEANING,
        "log condemned": CLEANING,
        "away --note": visitor_note.CARE,
        "card --nutrient": ("nutrient",),
        "card --vessel": tuple(key for kind in vessel_card.SHOWN for key in TASK_KINDS[kind].cautions),
    }
    carrying = sorted(kind for kind, record in TASK_KINDS.items() if record.carries)
    rows = []
    for key, told in CAUTIONS.items():
        kinds = [kind for kind, record in TASK_KINDS.items() if key in record.cautions]
        kinds += ["prepare before a start"] if key in CLEANING else []
        kinds += [f"{', '.join(carrying)} with several strains"] if key == STRAIN_TOOLS else []
        shown = [f"`{name}`" for name, keys in answers.items() if key in keys]
        rows.append(
            (f"`{key}`", told.text, ", ".join(kinds), ", ".join(shown) or "-", told.status, told.source)
        )
    return _table(("caution", "text", "at tasks", "in answers", "status", "source"), rows)


def plausible_table() -> str:
    """What is usual and what is possible, as far as it does not depend on a strain."""
    table = [each for each in vars(plausible).values() if isinstance(each, Bounds)]
    doses = [bounds_for.dose_bounds(medium) for medium in media().values()]
    rows = []
    for each, whose in [
        *((each, "") for each in table),
        *zip(doses, (f" with {name}" for name in media()), strict=True),
    ]:
        possible = f"{shown(each.least)} to {shown(each.most)}" if each.most < math.inf else "-"
        rows.append(
            (
                f"{each.what}{whose}",
                each.unit or "-",
                usual_span(replace(each, unit="")),
                possible,
                f"`{each.code}`",
            )
        )
    return _table(("quantity", "unit", "usual", "possible", "warning"), rows)


MADE: dict[str, Callable[[], str]] = {
    **{f"plan-{name}": partial(key_table, name) for name in tables()},
    "units": unit_table,
    "plausible": plausible_table,
    "commands": command_pages,
    "shared-words": shared_table,
    "reckon": reckon_pages,
    "log-kinds": log_kind_table,
    "log-keys": log_key_table,
    "causes": cause_list,
    "strains": strain_tables,
    "media": medium_tables,
    "weights": weight_table,
    "cautions": caution_table,
}


def parts_of(text: str) -> list[str]:
    """The names of the made parts of a page."""
    return [found[2] for found in _MADE.finditer(text)]


def renewed(text: str) -> str:
    """A page with its made parts as they should be."""
    return _MADE.sub(lambda found: f"{found[1]}{MADE[found[2]]()}\n{found[3]}", text)


def main() -> None:
    """Rewrite what has changed and say so."""
    for page in PAGES:
        old = page.read_text(encoding="utf-8")
        new = renewed(old)
        if new != old:
            page.write_text(new, encoding="utf-8")
            print(f"{page}: rewritten")


if __name__ == "__main__":
    main()
