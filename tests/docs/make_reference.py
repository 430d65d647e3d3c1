"""The parts of the reference that are made from the program itself, and how to renew them.

A part stands in a page between `<!--made:NAME-->` and `<!--end-->`; the rest of a page is written by hand.

Run: python tests/docs/make_reference.py
"""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import partial
from pathlib import Path

from command_pages import command_pages, log_options, reckon_pages, shared_table
from plan_keys import key_table, tables

from greenrota.culture.bench.sanitation import CAUTIONS
from greenrota.culture.bounds import bounds_for, plausible
from greenrota.culture.bounds.bounds import Bounds, shown, usual_span
from greenrota.culture.data.medium import media
from greenrota.culture.data.strain import strains
from greenrota.logbook.vocabulary import CAUSES, KEYS, KINDS
from greenrota.planfile.text.spelling import SPELLINGS
from greenrota.rota.kinds import CLEANING, STRAIN_TOOLS, TASK_KINDS
from greenrota.rota.search.score import TERMS
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
# Sources that many figures have, and how they are named there.
_SHORT = {
    "Edwards et al. 2015 Table 1": "Edwards",
    "Edwards et al. 2015": "Edwards",
    "Kremer et al. 2017 compilation": "Kremer",
    "Anderson et al. 2021 fits": "Anderson",
    "Anderson et al. 2021 fit": "Anderson",
    "Bernhardt et al. 2018 data": "Bernhardt",
    "Bernard & Remond 2012 as used by Kooi et al. 2017": "Kooi",
    "FAO 361 Table 2.2": "FAO",
    "Heasman et al. 2000": "Heasman",
    "Alkhamis & Qin 2013": "Alkhamis",
    "Minggat et al. 2021": "Minggat",
}
_UNSAID = "our choice"  # the status of a strain's figure where none is named
_OTHERS, _MANY = "the others", 4  # so many strains and more with one source are not named one by one
_MADE = re.compile(r"(<!--made:([a-z-]+)-->\n).*?(<!--end-->)", re.DOTALL)


# Spellings that the text above the list stands for: l in place of L, and singulars.
_LIKE_ANOTHER = re.compile(r"(?<![a-z_])m?l\b|^cell/|^drop/")


def unit_table() -> str:
    """Every spelling of a unit by what it measures, but for those that differ as the text above the list says."""
    by_measure: dict[str, list[str]] = {}
    for spelling, unit in SPELLINGS.items():
        found = by_measure.setdefault(unit.measures, [])
        found += [] if _LIKE_ANOTHER.search(spelling) else [f"`{spelling}`"]
    return "\n".join(f"- {measures}: {' '.join(found)}" for measures, found in by_measure.items())


def log_kind_table() -> str:
    """Every kind of entry with the keys it takes; those it must have are marked."""
    rows = []
    for kind, rule in KINDS.items():
        own = [key for key in KEYS if key in rule.keys and key not in ("reason", "text")]
        instead = f", or {' and '.join(f'`{key}`' for key in rule.instead)}" if rule.instead else ""
        shown = [f"`{key}`{f' (needed{instead})' if key in rule.required else ''}" for key in own]
        if rule.any_of:
            shown = [f"one at least of {', '.join(f'`{key}`' for key in rule.any_of)}"]
        free = "; the vessel may be `-`" if rule.subject_free else ""
        rows.append(f"- `{kind}`: {', '.join(shown) or 'none'}{free}")
    return "\n".join(rows)


def log_key_table() -> str:
    """Every key of an entry, by what it holds, with what `greenrota log` says of its option."""
    about = log_options()
    held: dict[str, list[str]] = {}
    for key, sort in KEYS.items():
        held.setdefault(sort.value, []).append(f"- `{key}`: {about[key]}")
    return "\n\n".join(
        "\n".join([f"{holds[0].upper()}{holds[1:]}:", "", *keys]) for holds, keys in held.items()
    )


def cause_list() -> str:
    """The causes of a crash, set in as part of a list."""
    return "  " + ", ".join(f"`{cause}`" for cause in CAUSES)


def strain_tables() -> str:
    """Every figure of the shipped strains with its value, its source and how far that was seen."""
    titles = "\n".join(f"- {name}: {strain.title}, a {strain.group}" for name, strain in strains().items())
    keys: dict[str, list[str]] = {}
    for key in next(iter(strains().values())).sources:
        keys.setdefault(_sources_of(key), []).append(_with_value(key))
    text = "\n\n".join(f"{', '.join(named)}{told}" for told, named in keys.items())
    for whole, short in _SHORT.items():
        text = text.replace(whole, short)
    named = "; ".join(f"*{short}*: {whole}" for short, whole in {v: k for k, v in _SHORT.items()}.items())
    return f"{titles}\n\nNamed in short: {named}.\n\n{text}"


def _values(key: str) -> dict[str, str]:
    values = {name: getattr(strain, key) for name, strain in strains().items()}
    return {name: _figure(value) for name, value in values.items()}


def _figure(value: float) -> str:
    """A figure as it is read: 1.1e6 for a million and a tenth.

    >>> _figure(1.1e6), _figure(10000), _figure(0.0244)
    ('1.1e6', '10000', '0.0244')
    """
    return f"{value:.12g}" if abs(value) < 1e5 else re.sub(r"\.?0*e\+0?", "e", f"{value:e}")


def _with_value(key: str) -> str:
    """A figure, with its value where it is the same for all strains."""
    values = set(_values(key).values())
    return f"`{key}` {values.pop()}" if len(values) == 1 else f"`{key}`"


def _sources_of(key: str) -> str:
    """The sources of a figure; strains that share one stand together."""
    shared: dict[tuple[str, str], list[str]] = {}
    for name, strain in strains().items():
        source = strain.sources[key]
        shared.setdefault((source.status, source.text), []).append(name)
    statuses = {status for status, _ in shared}
    one = statuses.pop() if len(statuses) == 1 else None
    common = f" ({one})" if one and one != _UNSAID else ""
    if len(shared) == 1 and len(set(_values(key).values())) == 1:
        return f"{common}: {next(iter(shared))[1]}."
    most = max(shared.values(), key=len)
    lines = [
        f"- {_named(key, names, names is most)}: {'' if status in (one, _UNSAID) else f'*{status}*; '}{text}"
        for (status, text), names in sorted(
            shared.items(), key=lambda each: each[1] is most and len(most) > _MANY
        )
    ]
    return "\n".join([f"{common}:", "", *lines])


def _named(key: str, names: list[str], are_most: bool) -> str:
    """Strains with their value of a figure; many that have one value are not named one by one."""
    values = _values(key)
    own = {values[name] for name in names}
    alike_for_all = len(set(values.values())) == 1
    if are_most and len(names) > _MANY and len(own) == 1:
        return _OTHERS if alike_for_all else f"{_OTHERS} {own.pop()}"
    return ", ".join(name if alike_for_all else f"{name} {values[name]}" for name in names)


def medium_tables() -> str:
    """Every shipped medium: what it brings and its source, then its salts in mg/L; a salt's own status is said."""
    parts = []
    known: dict[str, dict[str, str]] = {}
    for name, medium in media().items():
        salts = {
            c.name: f"{c.name} {c.final_mg_per_l:.6g}" + ("" if c.status == "copy" else f" ({c.status})")
            for c in medium.compounds
        }
        like = next((other for other, theirs in known.items() if salts.items() < theirs.items()), None)
        known[name] = salts
        listed = ", ".join(salts.values())
        if like is not None:
            listed = f"as {like}, without {', '.join(salt for salt in known[like] if salt not in salts)}"
        parts.append(
            f"**{name}**: {medium.title}; nitrogen {medium.nitrogen_umol_l:.1f}, phosphorus "
            f"{medium.phosphorus_umol_l:.1f}, silicon {medium.silicon_umol_l:.1f} umol/L. "
            f"{medium.source} ({medium.status}). In mg/L: {listed}."
        )
    return "\n\n".join(parts)


def weight_table() -> str:
    """The terms of the score, with what one unit of each costs."""
    return "\n".join(f"- `{name}`, {term.weight:g}: {term.meaning}" for name, term in TERMS.items())


def caution_table() -> str:
    """Every caution by the tasks and answers that show it: its text, its status and its source."""
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
    places: dict[str, list[str]] = {}
    for key, told in CAUTIONS.items():
        kinds = [kind for kind, record in TASK_KINDS.items() if key in record.cautions]
        kinds += ["prepare before a start"] if key in CLEANING else []
        kinds += [f"{', '.join(carrying)} with several strains"] if key == STRAIN_TOOLS else []
        shown = [f"`{name}`" for name, keys in answers.items() if key in keys]
        where = f"At {', '.join(kinds)}{'; in ' if shown else ''}{', '.join(shown)}:"
        text = f"- `{key}`: {told.text} *{told.status}*: {told.source}."
        places.setdefault(where, []).append(text)
    return "\n\n".join("\n".join([where, "", *texts]) for where, texts in places.items())


def plausible_table() -> str:
    """What is usual and what is possible, as far as it does not depend on a strain."""
    table = [each for each in vars(plausible).values() if isinstance(each, Bounds)]
    spans: dict[tuple[str, str], list[str]] = {}
    for name, medium in media().items():
        found = bounds_for.dose_bounds(medium)
        spans.setdefault(_span_of(found, True), []).append(name)
    keyless = ("chlorine", "bleach")  # what is possible of the others stands with their keys
    rows = [(each.what, *_span_of(each, each.what in keyless)) for each in table]
    rows += [(f"dose with {', '.join(names)}", *span) for span, names in spans.items()]
    by_code: dict[str, dict[str, list[str]]] = {}
    for what, span, code in rows:
        by_code.setdefault(code, {}).setdefault(what, []).append(span)
    return "\n".join(
        f"- {code}: {'; '.join(f'{what} ' + ', or '.join(found) for what, found in told.items())}"
        for code, told in by_code.items()
    )


def _span_of(each: Bounds, with_possible: bool) -> tuple[str, str]:
    possible = f" ({shown(each.least)} to {shown(each.most)})" if with_possible else ""
    unit = f" {each.unit}" if each.unit else ""
    return f"{usual_span(each._replace(unit=''))}{possible}{unit}", f"`{each.code}`"


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
